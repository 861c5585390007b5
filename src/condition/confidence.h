/* condition/confidence.h - how sure it is that a record belongs to its segment. */
#ifndef HN_CONDITION_CONFIDENCE_H
#define HN_CONDITION_CONFIDENCE_H

#include "plan/plan.h"
#include "table/inspections.h"
#include "table/matches.h"

/* Confidence of a match, 0 to 1, no probability in the strict sense.
 *
 * It begins at 0.95 by segment id, 0.9 by node pair, 0.8 by reversed pair, and by place at
 * 0.7 on the line falling to 0.35 at the reach of the search. Each fact that agrees
 * (nodes of a match that did not rest on them; the length seen of a complete record with
 * that of the segment, within the tolerances of the plan) halves what is missing to 1; each
 * that contradicts (other nodes; another length, or more seen than there is; a date before
 * the year of construction) halves it; without a date 0.8 of it stays. Source: local rule.
 *
 * record: its number; row: segment; how: hn_match; apart_m: distance from the line, NaN;
 * reach_m: of the search. *evidence gets the bits of table/matches.h. */
double hn_match_confidence(const hn_table *table, const hn_plan *plan,
                           const hn_inspections *inspections, size_t record, size_t row, int how,
                           double apart_m, double reach_m, uint8_t *evidence);

#endif
