/* engineering/chain_objective.h - what the fit maximises, as a function of a
 * vector of free parameters; shared by the files of the fit only. */
#ifndef HN_ENGINEERING_CHAIN_OBJECTIVE_H
#define HN_ENGINEERING_CHAIN_OBJECTIVE_H

#include "engineering/chain_fit.h"

/* Parameters: ln of the rates, then the growth. Some are held where they are. */
typedef struct hn_chain_objective {
    const hn_chain_fit_spec *spec;
    double (*move)[HN_GRADES][HN_GRADES];
    double at[HN_CHAIN_PARAMETERS]; /* values of all */
    int free[HN_CHAIN_PARAMETERS];  /* numbers of those that move */
    int count;                      /* how many move */
    int evaluations;
    /* Along a profile the second derivatives hardly change. With `reuse` those of the
     * last place are taken again while the steps shrink fast. */
    int reuse, has_factor;
    double factor[HN_CHAIN_PARAMETERS * HN_CHAIN_PARAMETERS]; /* decomposed */
    int flat[HN_CHAIN_PARAMETERS];
} hn_chain_objective;

/* -(ln L - penalty) with x for the free ones. Beyond the bounds it goes on as a
 * steep parabola, so that a search comes back. */
double hn_chain_loss_at(hn_chain_objective *objective, const double *x);
double hn_chain_log_likelihood_at(hn_chain_objective *objective, const double *x);

/* Least value from where `at` stands; `at` moves there. 1 when it converged.
 * 0 as well when memory is short: *is_short says so. */
int hn_chain_minimise(hn_chain_objective *objective, double *least, int *is_short);

/* Second derivatives at `at` by central differences; row by row, count x count.
 * flat[i]: 1 when nothing depends on the ith free one; its row is then (0..1..0). */
void hn_chain_information(hn_chain_objective *objective, double *out,
                          int flat[HN_CHAIN_PARAMETERS]);

/* Diagonal of the inverse of an n x n information, which is overwritten. 0 when it is
 * not positive definite. */
int hn_chain_variances(double *information, size_t n, double *variance);

double hn_chain_bound_low(int parameter);
double hn_chain_bound_high(int parameter);

#endif
