/* table/loss.h - expected loss in money, tabulated so that a segment costs a
 * few multiplications.
 *
 *   keep(t)       = sum over g of share_g x sum over k >= t of d_k a_k(g)
 *   after(m, t)   = sum over k >= t of d_k a_j(cohort and grade after m),
 *                   j = (k - t) mod life: at the end of its life the method is
 *                   done again, as its yearly cost assumes
 *   avoided(m, t) = sum over treated drivers of cost_driver (keep(t) - after(m, t)),
 *                   never below 0
 *
 * a_k: chance of failure in year k; d_k = (1 + rate)^-(k+1): a loss counts at
 * the end of its year. Source: expected value of a sequence of yearly losses,
 * standard engineering economy; end-of-year convention: local rule.
 */
#ifndef HN_TABLE_LOSS_H
#define HN_TABLE_LOSS_H

#include "base/status.h"
#include "table/outlook.h"

typedef struct hn_treatment {
    int treats[HN_OUTLOOK_DRIVERS];
    int cohort_after;  /* HN_NO_WORK, HN_OWN_COHORT or a cohort number */
    int grade_after;   /* 1 .. 5 */
    double life_years; /* then it is done again */
} hn_treatment;

enum { HN_NO_WORK = -1, HN_OWN_COHORT = -2 };

typedef struct hn_loss {
    size_t years, classes, methods; /* classes: of the outlook */
    double *discount;               /* d_k */
    double *keep;                   /* [class][driver][grade][t], t = 0 .. years (0 at the end) */
    double *after;                  /* [method and class today][driver][t] */
    size_t *after_first; /* per method: its first there; one class unless HN_OWN_COHORT */
    hn_treatment *treatments;
} hn_loss;

HN_MUST_CHECK hn_status hn_loss_init(hn_loss *loss, const hn_outlook *outlook,
                                     const hn_treatment *treatments, size_t methods,
                                     double rate_per_year, hn_error *err);
void hn_loss_clear(hn_loss *loss);

/* Present value per unit of cost of doing nothing from year t on, per driver. */
double hn_loss_keep(const hn_loss *loss, const hn_outlook *outlook, size_t row, int driver,
                    size_t t);
/* Present value of the loss that the method avoids when done in year t.
 * cost[driver]: cost of one failure. NaN when a treated driver's cost is NaN. */
double hn_loss_avoided(const hn_loss *loss, const hn_outlook *outlook, size_t row, size_t method,
                       size_t t, const double cost[HN_OUTLOOK_DRIVERS]);
/* Expected loss of the single year k (not discounted) after the method was done
 * in year t <= k; method SIZE_MAX: nothing done. */
double hn_loss_of_year(const hn_loss *loss, const hn_outlook *outlook, size_t row, size_t method,
                       size_t t, size_t k, const double cost[HN_OUTLOOK_DRIVERS]);

#endif
