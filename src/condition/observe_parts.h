/* condition/observe_parts.h - the steps of hn_observe; inside of condition/ only. */
#ifndef HN_CONDITION_OBSERVE_PARTS_H
#define HN_CONDITION_OBSERVE_PARTS_H

#include "condition/observe.h"

typedef struct hn_observing {
    const hn_table *table;
    const hn_plan *plan;
    const hn_plane *plane;
    int threads;
    hn_inspections *inspections;
    hn_observations *o;
    hn_observe_stats *out;
    hn_issue_list *issues;
    int32_t *inspection_row; /* segment of each inspection record */
    uint32_t *record_of;     /* per visit: inspection record, UINT32_MAX none */
    size_t listed[HN_FOUND_COUNT];
} hn_observing;

/* Counts `times`; lists the visit while the list of this finding is short. */
void hn_observe_found(hn_observing *w, hn_observe_finding what, size_t visit, size_t times,
                      const char *value);

/* Segments of inspections and visits, and which visit is which inspection
 * (observe_match.c). Visits are in their final order afterwards. */
HN_MUST_CHECK hn_status hn_observe_match(hn_observing *w, hn_error *err);
/* Start and end marks, codes, lengths, doubles (observe_lines.c). */
HN_MUST_CHECK hn_status hn_observe_lines(hn_observing *w, hn_error *err);
/* Values and roll-ups on all threads (observe_grade.c). */
HN_MUST_CHECK hn_status hn_observe_grade(hn_observing *w, hn_error *err);
/* Grades into inspections (observe_fill.c). */
HN_MUST_CHECK hn_status hn_observe_fill(hn_observing *w, hn_error *err);
/* Worst first within a segment; in a large network the others are dropped
 * (observe_rank.c). */
HN_MUST_CHECK hn_status hn_observe_rank(hn_observing *w, hn_error *err);

#endif
