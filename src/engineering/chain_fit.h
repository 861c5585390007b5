/* engineering/chain_fit.h - rates of the five-grade chain by maximum likelihood. */
#ifndef HN_ENGINEERING_CHAIN_FIT_H
#define HN_ENGINEERING_CHAIN_FIT_H

#include "engineering/chain_likelihood.h"

enum { HN_CHAIN_RATES = HN_GRADES - 1, HN_CHAIN_PARAMETERS = HN_CHAIN_RATES + 1 };

/* Bounds of a fitted rate: a mean stay of a million years, and of ten weeks as
 * in the deterioration table. Source: local rule. */
#define HN_CHAIN_RATE_LEAST 1e-6
#define HN_CHAIN_RATE_MOST  5.0
/* Bounds of a fitted growth: doubling every 2.3 years, or halving. Local rule. */
#define HN_CHAIN_GROWTH_MOST 0.3

typedef struct hn_chain_fit_spec {
    const hn_chain_data *data;
    const double (*read)[HN_GRADES]; /* misreading matrix or NULL */
    double start[HN_CHAIN_RATES];    /* first guess, > 0 */
    double prior[HN_CHAIN_RATES];    /* centre of the prior, > 0; unused when weight is 0 */
    double prior_weight;             /* >= 0 */
    int with_growth;                 /* 1: exp(b age) on all rates; data kept by_age */
    int with_intervals;              /* 1: profile intervals, which cost most of the time */
} hn_chain_fit_spec;

typedef struct hn_chain_fit {
    double rate_per_year[HN_CHAIN_RATES];
    double se_log_rate[HN_CHAIN_RATES]; /* of ln(rate); NaN where the data do not say */
    double low[HN_CHAIN_RATES], high[HN_CHAIN_RATES]; /* 95 %; 0 and INFINITY: open */
    int at_bound[HN_CHAIN_RATES]; /* 1: the likelihood still rises beyond the bound */
    double growth_per_year, growth_se;
    double log_likelihood; /* without the prior */
    double aic;            /* 2 x parameters - 2 ln L */
    int parameters, has_converged, evaluations;
} hn_chain_fit;

/* Maximises  ln L - prior_weight / 2 x sum (ln rate - ln prior)^2.
 *
 * Rates are fitted as logarithms, so that none becomes negative. Standard errors
 * are from the inverse of the observed information, the matrix of second
 * derivatives of what is maximised; intervals are where its profile falls by
 * 3.841 / 2 (chi-square, 1 degree of freedom, 95 %).
 *
 * Errors: HN_ERR_MEMORY; HN_ERR_INPUT when the readings have no chance at the
 * first guess. Nothing depends on threads or the order of readings.
 *
 * Source: search: D. Kraft, "A software package for sequential quadratic programming",
 * DFVLR-FB 88-28 (1988), as in the library NLopt; profile: D. J. Venzon, S. H.
 * Moolgavkar, Applied Statistics 37 (1988) 87-94; AIC: H. Akaike, IEEE Trans.
 * Automatic Control 19 (1974) 716-723. All from memory. */
HN_MUST_CHECK hn_status hn_chain_fit_rates(const hn_chain_fit_spec *spec, hn_chain_fit *out,
                                           hn_error *err);

/* Rate of one threshold from n pipes of one age, k of them beyond it.
 *   rate = -ln(1 - k/n) / t,  se = sqrt(k / (n (n - k))) / t
 * NaN unless 0 <= k < n and t > 0. Source: elementary, from the binomial
 * likelihood with p = 1 - exp(-rate t). */
double hn_chain_rate_of_share(double beyond, double pipes, double age_years);
double hn_chain_rate_of_share_se(double beyond, double pipes, double age_years);

/* Version of NLopt. */
const char *hn_nlopt_version(void);

#endif
