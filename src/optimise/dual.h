/* optimise/dual.h - prices of the limits, and the bound that they prove. */
#ifndef HN_OPTIMISE_DUAL_H
#define HN_OPTIMISE_DUAL_H

#include "optimise/model.h"

/* What one look at all items gives at some prices and temperature. */
typedef struct hn_pass {
    double bound;     /* L(y), exact, guarded against rounding */
    double smooth;    /* the softened L */
    double *gradient; /* [rows] of the softened L */
    double *hessian;  /* [rows][rows], upper half */
} hn_pass;

typedef struct hn_dual {
    const hn_model *model;
    int threads;
    hn_row_prices prices;
    hn_pass pass;
    double *block; /* accumulators of the blocks */
    size_t blocks, block_size;
    double *best_row; /* [rows] prices of the best bound */
    double best;      /* the best bound */
    size_t passes;
    double *work;   /* rows * (rows + 8): the Newton step */
    double *low;    /* [rows] NULL: 0 */
    double *high;   /* [rows] most that a price may be; NULL: no limit */
    int values_off; /* 1: values count 0; then -L is the least excess (clashes) */
    hn_choice_progress progress;
    void *context;
    int stop; /* progress asked */
} hn_dual;

HN_MUST_CHECK hn_status hn_dual_new(hn_dual *dual, const hn_model *model, int threads,
                                    hn_error *err);
void hn_dual_clear(hn_dual *dual);

/* Every `stride`th item at the prices `row`; limits count `share` of themselves. theta 0:
 * the exact bound and a subgradient only. */
void hn_dual_pass(hn_dual *dual, const double *row, double theta, size_t stride, double share,
                  int curvature);
/* From prices made of values per use, down to the coldest temperature. */
void hn_dual_solve(hn_dual *dual);
/* Below this no choice can be worth less: a bound under it proves that there is none. */
double hn_dual_floor(const hn_model *model);

size_t hn_pass_blocks(size_t rows); /* of items, and numbers that each keeps */
size_t hn_pass_block_size(size_t rows);

#endif
