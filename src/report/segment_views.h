/* report/segment_views.h - segments, act-now list and findings as layers. */
#ifndef HN_REPORT_SEGMENT_VIEWS_H
#define HN_REPORT_SEGMENT_VIEWS_H

#include "base/arena.h"
#include "plan/plan.h"
#include "table/issues.h"
#include "table/view.h"

typedef struct hn_segment_views {
    const hn_table *table;
    const hn_plan *plan;
    const hn_issue_list *issues;
    uint32_t *by_priority; /* row of priority 1, 2 ...; in the arena */
    int is_by_priority;    /* the segments layer is in that order, not in the table's */
    uint32_t *act_now;     /* rows of the act-now list, soonest first */
    uint32_t *issue_order; /* issues by severity, rule, segment */
    hn_column_id *ids;     /* table columns shown, in order */
    size_t id_count;
    uint8_t kinds[HN_COL_COUNT]; /* hn_kind by column */
    hn_view segments, act_now_list, data_issues;
} hn_segment_views;

/* Builds the three views; everything lies in `arena`. */
HN_MUST_CHECK hn_status hn_segment_views_make(const hn_table *table, const hn_plan *plan,
                                              const hn_issue_list *issues, hn_arena *arena,
                                              hn_segment_views *out, hn_error *err);

/* One sentence for people: what is wrong, what to do, what it costs and saves. */
const char *hn_segment_reason(const hn_table *table, const hn_plan *plan, size_t row,
                              hn_scratch *scratch);

/* Line of a row as one part per drawn part. */
void hn_segment_shape(const hn_table *table, size_t row, hn_shape_ref *out, hn_scratch *scratch);

#endif
