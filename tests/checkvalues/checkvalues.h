/* checkvalues/checkvalues.h - shared by the check runner and its families.
 *
 * A row of a check file gives inputs, the name of a result and its expected
 * value. A family knows how to work such rows out with the engine's own
 * functions. To add one: write check_<name>.c with a `const check_family`,
 * declare it here and put it into the list in families.c.
 *
 * Column names differ between files; the row accessors below know the
 * variants, so a family never looks at raw columns unless it wants to.
 */
#ifndef HN_CHECKVALUES_H
#define HN_CHECKVALUES_H

#include <stddef.h>

typedef struct check_table {
    char *text;  /* the file, cells cut apart in place */
    char **cell; /* rows * columns; row 0 is the header */
    int *line;   /* first line of each row in the file */
    size_t rows, columns;
} check_table;

typedef struct check_row {
    const check_table *table;
    size_t index;
    char quantity[256]; /* what to work out; one part when the row lists several by | */
    char expected[256]; /* the text of its expected value */
} check_row;

typedef enum check_state { CHECK_DONE, CHECK_CANNOT } check_state;

typedef struct check_result {
    int digits;    /* of this row's expected value, when fewer than the family's; 0: not said */
    double number; /* in the unit of the row */
    char text[64]; /* instead of the number, for expected values that are words */
    char why[256]; /* for CHECK_CANNOT */
} check_result;

typedef struct check_family {
    const char *name;
    /* Significant digits that expected values without a tolerance carry; 0:
     * as many as are printed. */
    int digits;
    int (*claims)(const check_row *row); /* is the row of this family? */
    check_state (*compute)(const check_row *row, check_result *result);
} check_family;

extern const check_family check_section, check_capacity;
extern const check_family check_structural, check_wall_matrix, check_economics;
extern const check_family check_grading;
extern const check_family check_deterioration, check_panel, check_risk;
extern const check_family *const check_families[]; /* ends with NULL */

/* Cell of a column by its exact header; "" when there is no such column. */
const char *check_cell(const check_row *row, const char *column);
int check_has_column(const check_row *row, const char *column);
const char *check_case(const check_row *row);   /* case, topic or shape */
const char *check_inputs(const check_row *row); /* inputs or input */
const char *check_unit(const check_row *row);

/* One of the inputs "name=number unit; name=number unit": the number, or NaN
 * when it is not there; `unit` (may be NULL) gets the text behind the number. */
double check_input(const check_row *row, const char *name, char unit[32]);
/* The same in SI by check_unit_factor; NaN when the unit is unknown. `bare` is
 * the unit of a number that stands without one. */
double check_input_si(const check_row *row, const char *name, const char *bare);
/* Factor to m, m2, m3, Pa, N, N/m, N/m3, kg; % and "-" as shares; NaN: unknown. */
double check_unit_factor(const char *unit);

/* For compute functions: return check_number(result, x); or a reason. */
check_state check_number(check_result *result, double number);
check_state check_word(check_result *result, const char *word);
check_state check_cannot(check_result *result, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Files: RFC 4180 text with quotes, a header line first. 0: cannot be read. */
int check_table_read(const char *path, check_table *table);
void check_table_free(check_table *table);

#endif
