/* optimise/model.h - a problem made ready: rows turned to at most, alternatives that can
 * never be taken closed, and one way to ask for them whichever form they came in.
 */
#ifndef HN_OPTIMISE_MODEL_H
#define HN_OPTIMISE_MODEL_H

#include "optimise/optimise.h"

/* Entry of the table form: row counts an alternative of a cell (group, method, year). */
typedef struct hn_cell_row {
    uint32_t row;
    hn_row_basis basis;
} hn_cell_row;

typedef struct hn_model {
    const hn_choice_problem *problem;
    const hn_choice_list *list;
    const hn_choice_table *table;
    size_t items, rows, width, use_width; /* most alternatives, most uses of one */
    double *limit; /* [rows] as at most: an at-least row is turned by its sign */
    double *sign;  /* [rows] 1 or -1 */
    double *size;  /* [rows] what excesses of a row are measured by */
    int32_t *carry_to, *carry_from;
    double *carry_limit;
    uint32_t *order; /* rows so that a giver comes before its receiver */
    int has_carry;
    uint8_t *must;      /* [items] */
    double step;        /* all values are multiples of it; 0: not known */
    double value_scale; /* a value that is large here */
    /* list form */
    uint8_t *closed;   /* [alternatives] */
    double *reference; /* [items] */
    /* table form */
    uint64_t *open;       /* [items][methods] bits of years */
    double *class_top;    /* [classes] greatest benefit */
    uint32_t *cell_first; /* [groups * methods * years + 1] */
    hn_cell_row *cell_rows;
    int basis_used[3];
} hn_model;

/* Prices of rows, and for the table form their sums for each cell. */
typedef struct hn_row_prices {
    double *row;     /* [rows], >= 0, of the turned rows */
    double *cell[3]; /* [cells] by basis; cost includes escalation */
} hn_row_prices;

HN_MUST_CHECK hn_status hn_model_new(hn_model *model, const hn_choice_problem *problem,
                                     hn_error *err);
void hn_model_clear(hn_model *model);
HN_MUST_CHECK hn_status hn_model_list(hn_model *model, hn_error *err); /* parts of _new */
HN_MUST_CHECK hn_status hn_model_table(hn_model *model, hn_error *err);

HN_MUST_CHECK hn_status hn_row_prices_new(const hn_model *model, hn_row_prices *prices,
                                          hn_error *err);
void hn_row_prices_clear(hn_row_prices *prices);
void hn_row_prices_set(const hn_model *model, hn_row_prices *prices, const double *row);

size_t hn_model_width(const hn_model *model, size_t item);
int hn_model_open(const hn_model *model, size_t item, size_t alternative);
double hn_model_value(const hn_model *model, size_t item, size_t alternative);
/* What one unit of temperature is for this item. */
double hn_model_reference(const hn_model *model, size_t item);
/* Uses of the turned rows; at most use_width of them. */
size_t hn_model_uses(const hn_model *model, size_t item, size_t alternative, hn_choice_use *uses);
/* Value less priced uses of every alternative; -INFINITY for closed ones. Returns the
 * number of alternatives. */
size_t hn_model_reduced(const hn_model *model, const hn_row_prices *prices, size_t item,
                        double *reduced);

/* Closes what cannot be in any choice that keeps the limits. */
HN_MUST_CHECK hn_status hn_presolve(hn_model *model, hn_error *err);
/* Greatest amount that row r can pay for, money carried to it counted: [rows]. */
void hn_row_most(const hn_model *model, double *most);
/* Least use of each turned row by the compulsory items: [rows]. */
void hn_row_forced(const hn_model *model, double *forced);

#endif
