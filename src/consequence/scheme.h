/* consequence/scheme.h - a points scheme, for users who are bound to one.
 *
 * The owner's table gives points to each segment, factor by factor, on two sides:
 * likelihood and consequence. A score orders; it is no expected loss, and money
 * is worked out beside it whatever the scheme. Limits of classes are fixed by the
 * plan, never quantiles of today's data.
 */
#ifndef HN_CONSEQUENCE_SCHEME_H
#define HN_CONSEQUENCE_SCHEME_H

#include "base/status.h"
#include "plan/plan.h"
#include "table/scheme_parts.h"
#include "table/segment_table.h"

/* Sum or product of the scores of the factors, held between least and most; 0 for
 * no factor at all in a sum, 1 in a product. NaN when a score is. *limited (may be
 * NULL) gets what the limits added to the sum or the product; 0 within them. */
double hn_side_score(const hn_score_side *side, const double *scores, size_t count,
                     double *limited);

/* Class of a side's score: 1 + the number of limits that it reaches. NaN: 0. */
int hn_score_class_of(const hn_score_side *side, double score);

/* Score of the scheme from the scores of its sides (HN_LIKELIHOOD, HN_CONSEQUENCE):
 * sum, product, or product of the class numbers. NaN for HN_SCHEME_MONEY. */
double hn_scheme_score(hn_scheme scheme, const hn_score_side sides[HN_SIDES],
                       const double score[HN_SIDES]);

/* Fills the columns of owner "score" but the rank; nothing for HN_SCHEME_MONEY.
 * After the consequence, whose columns the conditions may use. The parts are the
 * caller's (hn_scheme_parts_clear). */
HN_MUST_CHECK hn_status hn_scheme_run(hn_table *table, const hn_plan *plan, int threads,
                                      hn_scheme_parts *parts, hn_error *err);
void hn_scheme_parts_clear(hn_scheme_parts *parts);

#endif
