/* condition/condition.h - what is known of each segment, and how it goes on.
 *
 *   hn_condition_join      inspections to segments; the ruling one per segment
 *   hn_condition_history   every inspection of a segment, for haunch fit
 *   hn_condition_outlook   cohorts, grades moved to today, chances by year
 */
#ifndef HN_CONDITION_CONDITION_H
#define HN_CONDITION_CONDITION_H

#include "base/status.h"
#include "condition/history.h"
#include "plan/plan.h"
#include "table/inspections.h"
#include "table/issues.h"
#include "table/matches.h"
#include "table/outlook.h"
#include "table/plane.h"
#include "table/segment_table.h"

typedef struct hn_join_stats {
    size_t records;
    size_t by[HN_MATCH_COUNT];       /* records by how they matched */
    size_t complete, partial;        /* of the matched ones */
    size_t segments_observed;        /* segments with a ruling inspection */
    size_t worse_partial_kept;
    size_t superseded;               /* records older than the ruling one */
    size_t before_lining;            /* records from before the last lining */
    double confidence[HN_MATCH_COUNT]; /* sum over the records */
    size_t doubtful[HN_MATCH_COUNT]; /* records with a confidence below HN_MATCH_DOUBTFUL */
    size_t fit_several[HN_MATCH_COUNT]; /* records that fit two segments or more */
    size_t twice[HN_MATCH_COUNT]; /* records of a day that claim one segment whole twice */
} hn_join_stats;

/* Joins by segment id, else node pair, else reversed pair, else the nearest
 * line within snap distance of the record's place. The latest complete
 * inspection rules; a later partial one that saw worse is kept. Writes the
 * observed columns of the table. Unmatched and doubly matched records become issues.
 * matches, may be NULL: gets a line for each matched record (condition/confidence.h). */
HN_MUST_CHECK hn_status hn_condition_join(hn_table *table, const hn_inspections *inspections,
                                          const hn_plan *plan, const hn_plane *plane, int threads,
                                          hn_join_stats *stats, hn_matches *matches,
                                          hn_issue_list *issues, hn_error *err);

/* Fills cohort, basis, shares of grades today, chances of failure. */
HN_MUST_CHECK hn_status hn_condition_outlook(hn_table *table, const hn_plan *plan, int threads,
                                             hn_outlook *out, hn_error *err);

#endif
