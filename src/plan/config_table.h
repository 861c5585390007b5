/* plan/config_table.h - one config table as an array of structs.
 *
 * The idea: a table is described, not coded. A list of hn_cell_spec says which
 * column goes to which field and what it accepts; the same list makes the
 * checks, the messages and the struct. Only what ties tables together is code
 * (config_methods.c and its neighbours).
 */
#ifndef HN_PLAN_CONFIG_TABLE_H
#define HN_PLAN_CONFIG_TABLE_H

#include "base/arena.h"
#include "base/status.h"
#include "read/text_table.h"

#include <stddef.h>

typedef enum hn_cell_kind {
    HN_CELL_TEXT,   /* const char *, NULL when blank */
    HN_CELL_NUMBER, /* double, NaN when blank */
    HN_CELL_WHOLE,  /* int, `blank` when blank */
    HN_CELL_CHOICE  /* int: index in `choices`, `blank` when blank */
} hn_cell_kind;

typedef enum hn_cell_need {
    HN_CELL_OPTIONAL, /* the column may be left out */
    HN_CELL_COLUMN,   /* the column must be there, cells may be blank */
    HN_CELL_VALUE     /* every cell must be filled */
} hn_cell_need;

enum { HN_CELL_NO_FIELD = -1 }; /* checked, but kept by code of the table */

typedef struct hn_cell_spec {
    const char *column; /* NULL ends a list */
    hn_cell_kind kind;
    hn_cell_need need;
    long offset;                /* of the field in the row struct, or HN_CELL_NO_FIELD */
    double low, high;           /* accepted, both included */
    const char *const *choices; /* NULL-ended */
    int blank;
} hn_cell_spec;

#define HN_TEXT_CELL(type, field, need)                                        \
    {                                                                          \
#field, HN_CELL_TEXT, need, (long)offsetof(type, field), 0, 0, NULL, 0 \
    }
#define HN_NUMBER_CELL(type, field, need, low, high)                                  \
    {                                                                                 \
#field, HN_CELL_NUMBER, need, (long)offsetof(type, field), low, high, NULL, 0 \
    }

typedef struct hn_table_spec {
    const hn_cell_spec *cells;
    size_t row_size;
    int may_be_empty;
    size_t max_rows; /* 0: no limit */
} hn_table_spec;

/* One table while it is read. Rows without any value are skipped; line[i] is
 * the row of record i as a spreadsheet shows it (the header is row 1). */
typedef struct hn_config_input {
    hn_arena *arena;
    const char *path;
    hn_text_table text;
    const hn_cell_spec *cells;
    size_t *line, *source_row;
    size_t count;
} hn_config_input;

/* Reads `path` into count structs of spec->row_size bytes, in the order of the
 * file; *rows is NULL only for an empty table that may be empty. */
HN_MUST_CHECK hn_status hn_config_rows(hn_config_input *in, const char *path, hn_arena *arena,
                                       const hn_table_spec *spec, void **rows, hn_error *err);

/* Text of a cell of record i; "" when blank or when there is no such column. */
const char *hn_config_text(const hn_config_input *in, size_t i, const char *column);

/* Records "path, row n, column c: ..." as HN_ERR_PLAN. */
hn_status hn_config_fail(const hn_config_input *in, size_t i, const char *column, hn_error *err,
                         const char *format, ...) HN_PRINTF(5, 6);

/* Fails when two records have the same texts in the columns (NULL-ended list). */
HN_MUST_CHECK hn_status hn_config_unique(const hn_config_input *in, const char *const *columns,
                                         hn_error *err);

/* Number of `word` among `count` names, SIZE_MAX and an error with the nearest
 * name when there is none. `what` names the kind of thing: "method". */
size_t hn_config_find(const hn_config_input *in, size_t i, const char *column, const char *word,
                      const char *what, const char *const *names, size_t count, hn_error *err);

/* "a, b, c" in the arena; "" when out of memory. */
const char *hn_config_list(hn_arena *arena, const char *const *names, size_t count);

/* Fails when a {placeholder} of a sentence is neither a column of the segment
 * table, a near_<name>_m, nor {limit}; {limit} only where has_limit. */
HN_MUST_CHECK hn_status hn_config_check_sentence(const hn_config_input *in, size_t i,
                                                 const char *column, int has_limit, hn_error *err);

#endif
