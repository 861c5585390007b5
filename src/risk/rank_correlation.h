/* risk/rank_correlation.h - how alike two orders of the same things are.
 *
 *   rho = sum (a - ma)(b - mb) / sqrt(sum (a - ma)^2 sum (b - mb)^2)
 *
 * over ranks in which equal things share the mean of their places: Spearman's rho
 * with ties. Source: M. G. Kendall, Rank Correlation Methods (1948), chapter 3, from
 * memory.
 */
#ifndef HN_RISK_RANK_CORRELATION_H
#define HN_RISK_RANK_CORRELATION_H

#include "base/status.h"

#include <stddef.h>
#include <stdint.h>

/* Ranks 1 to count by rising key (base/radix.h), equal keys sharing their mean.
 * `then` decides among equal keys of `lead`; NULL: nothing does. Errors:
 * HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_mean_ranks(const uint64_t *lead, const uint64_t *then, size_t count,
                                      double *out, hn_error *err);

/* -1 to 1; NaN when one of the two has no order at all (all equal, or fewer than 2). */
double hn_rank_correlation(const double *a, const double *b, size_t count);

#endif
