/* engineering/economics.h - money over time: factors, escalation, life cycle.
 *
 * Rates are shares a year (0.03 is 3 %), times are years, money is in any one
 * currency and price date. A rate of 0 is a case of its own everywhere. NaN in,
 * infinite, or out of range (rate <= -1, negative time), NaN out.
 *
 * Source of the factors: the textbook interest formulas, as in L. Blank and A.
 * Tarquin, Engineering Economy, McGraw-Hill; checked against a published 0.25 %
 * interest table.
 */
#ifndef HN_ENGINEERING_ECONOMICS_H
#define HN_ENGINEERING_ECONOMICS_H

#include <stddef.h>

/* P/F = (1+i)^-n: value today of 1 paid after n years. */
double hn_factor_pf(double rate, double years);
/* F/P = (1+i)^n. */
double hn_factor_fp(double rate, double years);
/* P/A = (1 - (1+i)^-n) / i; n at i = 0: value today of 1 at the end of each year. */
double hn_factor_pa(double rate, double years);
/* A/P = 1 / (P/A); 1/n at i = 0. years > 0. */
double hn_factor_ap(double rate, double years);
/* F/A = ((1+i)^n - 1) / i; n at i = 0. */
double hn_factor_fa(double rate, double years);
/* A/F = 1 / (F/A). years > 0. */
double hn_factor_af(double rate, double years);
/* P/G = (P/A - n (P/F)) / i; n (n-1) / 2 at i = 0: value today of 0, 1, 2 ...
 * at the ends of years 1, 2, 3 ... */
double hn_factor_pg(double rate, double years);
/* A/G = P/G x A/P. years > 0. */
double hn_factor_ag(double rate, double years);

/* Value today of `cost` paid after `years`. mid_year: payments spread over the
 * year before, P/F (1+i)^0.5. */
double hn_present_value(double cost, double rate, double years, int mid_year);

/* Value today of yearly payments of 1 (today's price) whose price rises by
 * `escalation` a year: q (1 - q^n) / (1 - q), q = (1+e)/(1+i); n at q = 1. */
double hn_factor_escalating_pa(double rate, double escalation, double years);
/* ((1+e)/(1+i))^n: one payment after n years whose price rises by e a year. */
double hn_factor_escalating_pf(double rate, double escalation, double years);

/* Fisher: (1 + nominal) = (1 + real)(1 + inflation). */
double hn_nominal_rate(double real, double inflation);
double hn_real_rate(double nominal, double inflation);
double hn_implied_inflation(double nominal, double real);

/* cost x index_target / index_base; both indices > 0. */
double hn_escalate_by_index(double cost, double index_base, double index_target);

/* Straight-line share of unused life: cost (life - age) / life, 0 from the end of
 * life on. life_years > 0, age_years >= 0. Source: common practice, no source. */
double hn_residual_value(double cost, double life_years, double age_years);

/* Equal yearly cost of one work over its life.
 * EUAC = P (A/P) - S (A/F) + OM. life_years > 0. */
double hn_equivalent_annual_cost(double first_cost, double salvage, double yearly_cost, double rate,
                                 double life_years);

/* `value` rounded to a multiple of `step`, half away from zero; a value that misses
 * the half by a rounding error of the computer counts as a half. step 0: as it is. */
double hn_round_money(double value, double step);

/* A mark-up in per cent: on the running total (compound) or on the base. */
typedef struct hn_percent_step {
    double percent;
    int compound;
} hn_percent_step;

/* Base with `count` mark-ups in the order given. each_step > 0 rounds the total
 * to that step after each one. amounts (may be NULL) gets what each one added. */
double hn_add_markups(double base, const hn_percent_step *steps, size_t count, double each_step,
                      double *amounts);

/* How a looked-up rate was found. */
typedef enum hn_rate_fit {
    HN_RATE_EXACT,        /* a row of the table */
    HN_RATE_INTERPOLATED, /* between two rows */
    HN_RATE_BEYOND,       /* outside the table: value of the nearest end, to be flagged */
    HN_RATE_NONE          /* no table or no size: NaN */
} hn_rate_fit;

/* Rate of a size, straight in log(size) and log(rate) between rows. sizes:
 * strictly rising, > 0; rates > 0. Source: common practice (power rule between
 * sizes), no source. */
double hn_interpolate_rate(const double *sizes, const double *rates, size_t count, double size,
                           hn_rate_fit *fit);

#endif
