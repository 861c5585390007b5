/* optimise/optimise.h - choose one alternative for each item, or none, so that the
 * sum of values is greatest and every row of limits is kept.
 *
 * The problem is a multiple-choice knapsack with many rows. The answer is a choice
 * that keeps every limit, and a bound that no choice can exceed; the gap between
 * the two is proven, not estimated. No limit is ever relaxed: where the wishes
 * cannot all be kept, the clashes are listed with their amounts.
 *
 * Source: H. Kellerer, U. Pferschy, D. Pisinger, Knapsack Problems, Springer 2004,
 * chapters 9 and 11 (from memory); A. M. Geoffrion, Lagrangean relaxation for integer
 * programming, Mathematical Programming Study 2 (1974) 82-114 (from memory).
 * docs/engineering/programme.md has the formulas.
 */
#ifndef HN_OPTIMISE_OPTIMISE_H
#define HN_OPTIMISE_OPTIMISE_H

#include <stddef.h>
#include <stdint.h>

#include "base/status.h"

enum {
    HN_CHOICE_NEVER = -1,     /* the item takes none of its alternatives */
    HN_CHOICE_YEARS_MAX = 64, /* years are bits of a mask */
    HN_CHOICE_METHODS_MAX = 32,
    HN_CHOICE_GROUPS_MAX = 256,
    HN_CHOICE_ROWS_MAX = 1024, /* the matrix of the dual is rows x rows */
    HN_CHOICE_WIDTH_MAX = 2048 /* alternatives of one item */
};

typedef enum hn_row_sense { HN_ROW_AT_MOST, HN_ROW_AT_LEAST } hn_row_sense;

/* One limit: sum of the uses of the chosen alternatives at most, or at least, `limit`,
 * all in the unit of the row. What is left of an at-most row may pass to row `carry_to`
 * (-1: none), at most `carry_limit`; a row receives from one row only. */
typedef struct hn_choice_row {
    hn_row_sense sense;
    double limit;
    int32_t carry_to;
    double carry_limit;
} hn_choice_row;

typedef struct hn_choice_use {
    uint32_t row;
    double amount;
} hn_choice_use;

/* The plain form: values and uses of every alternative are written out. */
typedef struct hn_choice_list {
    size_t items;
    const size_t *first_alternative; /* items + 1; alternatives of item i: [i] .. [i + 1] - 1 */
    const double *value;             /* of each alternative */
    const size_t *first_use;         /* alternatives + 1 */
    const hn_choice_use *uses;       /* each row at most once for an alternative */
    const uint8_t *compulsory;       /* per item: 1 takes exactly one; NULL: none is */
} hn_choice_list;

/* What a row of the table form counts. */
typedef enum hn_row_basis { HN_BASIS_COST, HN_BASIS_QUANTITY, HN_BASIS_COUNT } hn_row_basis;

/* Which alternatives a row counts: those of these groups, methods and years. */
typedef struct hn_row_scope {
    hn_row_basis basis;
    uint32_t methods; /* bit m */
    uint64_t years;   /* bit t */
    uint64_t groups[HN_CHOICE_GROUPS_MAX / 64];
} hn_row_scope;

/* A work that is settled (year_first = year_last, method >= 0) or must be done within
 * these years by any method (method -1). */
typedef struct hn_choice_demand {
    uint32_t item;
    int32_t method;
    int32_t year_first, year_last;
} hn_choice_demand;

/* The form for networks: alternative = method x years + year;
 *     value = weight[i] * benefit[class][method][year]
 *     cost  = cost[i][method] * escalation[method][year]
 * so that a million items need some 60 bytes each. */
typedef struct hn_choice_table {
    size_t items, methods, years, classes, groups;
    const double *weight;       /* [items], >= 0: money of one failure, for instance */
    const double *cost;         /* [items][methods] at the prices of year 0; NaN: not possible */
    const double *quantity;     /* [items], metres for instance; NULL: 0 */
    const uint16_t *class_of;   /* [items] */
    const uint8_t *group_of;    /* [items] district x fund; NULL: group 0 */
    const uint64_t *years_open; /* [items] bit t: year t is allowed; NULL: all */
    const double *benefit;      /* [classes][methods][years], >= 0 */
    const double *escalation;   /* [methods][years], > 0 */
    const hn_row_scope *scopes; /* one for each row */
    const hn_choice_demand *demands;
    size_t demand_count;
} hn_choice_table;

/* Exactly one of `list` and `table` is set. */
typedef struct hn_choice_problem {
    size_t row_count;
    const hn_choice_row *rows;
    const hn_choice_list *list;
    const hn_choice_table *table;
} hn_choice_problem;

/* Called now and then with the best value yet (NaN: none) and the bound (infinite: none);
 * anything but 0 stops the search, which then ends with its best choice. Where it is
 * called depends on counts only, but its answer may depend on clocks or signals. */
typedef int (*hn_choice_progress)(void *context, double value, double bound);

typedef struct hn_choice_options {
    int threads;     /* 0 or 1: the caller's only */
    double gap_goal; /* stop at this relative gap; 0: 1e-5 for large problems, else as near
                        to optimal as the counts allow */
    double effort;   /* multiplies the limits on counts; 0: 1 */
    hn_choice_progress progress;
    void *context;
} hn_choice_options;

typedef enum hn_clash_kind {
    HN_CLASH_ITEM,    /* a compulsory item has no alternative that fits any limit */
    HN_CLASH_DEMAND,  /* what is compulsory needs more than the limit of the row(s) */
    HN_CLASH_SHORT,   /* an at-least row cannot be reached even if all were spent on it */
    HN_CLASH_TOGETHER /* limits that cannot all be kept, though each could alone */
} hn_clash_kind;

/* Rows first_row .. last_row (a chain of carried rows, else one row): `needed` is more (or,
 * for at-least rows, less) than `available`; `amount` is the difference, in the unit of the
 * row: moving the limit by it removes this clash. */
typedef struct hn_clash {
    hn_clash_kind kind;
    int32_t first_row, last_row; /* -1: none */
    int32_t item;                /* HN_CLASH_ITEM, else -1 */
    double needed, available, amount;
} hn_clash;

typedef enum hn_choice_state {
    HN_CHOICE_OPTIMAL,    /* value = bound */
    HN_CHOICE_FEASIBLE,   /* every limit kept; the gap says how near the best */
    HN_CHOICE_INFEASIBLE, /* proven: no choice keeps every limit; see the clashes */
    HN_CHOICE_NOT_FOUND   /* none was found, but none was proven impossible */
} hn_choice_state;

typedef struct hn_choice_result {
    hn_choice_state state;
    int interrupted;     /* progress asked to stop */
    int32_t *choice;     /* [items] alternative or HN_CHOICE_NEVER; when no choice keeps every
                            limit: the one with the least excess, for the explanation only */
    double value;        /* of the choice */
    double bound;        /* no choice that keeps the limits is worth more */
    double gap;          /* (bound - value) / |bound|; NaN when nothing is feasible */
    double regret;       /* the gap by parts: items that do not take their best at these prices */
    double priced_slack; /* and what is left of limits that have a price */
    size_t rows;
    double *used;   /* [rows] */
    double *excess; /* [rows] beyond the limit, carried money counted; 0 when feasible */
    double *price;  /* [rows] value of one more unit of the limit, >= 0 */
    double slope;   /* gain in value if every at-most limit grew by its own size */
    hn_clash *clashes;
    size_t clash_count;
    size_t passes, nodes, open_items; /* work done, for the bench */
} hn_choice_result;

/* Solves. Errors: HN_ERR_INPUT for figures that make no problem (NaN, limits out of order,
 * indices out of range), HN_ERR_MEMORY. Infeasible wishes are a result, not an error.
 * The same problem gives the same bits on any number of threads. */
HN_MUST_CHECK hn_status hn_choice_solve(const hn_choice_problem *problem,
                                        const hn_choice_options *options, hn_choice_result *out,
                                        hn_error *err);
void hn_choice_result_clear(hn_choice_result *result);

/* Value, uses and worst excess of any choice, worked out anew and by itself: `used` has
 * row_count entries, *excess is the greatest relative excess over a limit (0: feasible),
 * *value NaN when an alternative is not allowed or a compulsory item has none. */
void hn_choice_check(const hn_choice_problem *problem, const int32_t *choice, double *value,
                     double *used, double *excess);

#endif
