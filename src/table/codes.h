/* table/codes.h - the texts of the coded columns, as SQL, layers and tables
 * show them. Each list ends with NULL and follows its enum's order. */
#ifndef HN_TABLE_CODES_H
#define HN_TABLE_CODES_H

extern const char *const hn_shape_names[];
extern const char *const hn_length_basis_names[];
extern const char *const hn_condition_basis_names[];
extern const char *const hn_verdict_names[];
extern const char *const hn_programme_names[];

/* Index of a name in a NULL-ended list, or -1. */
int hn_code_of(const char *const *names, const char *name);

#endif
