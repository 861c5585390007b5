#include "run/table_columns.h"
#include "run/tables.h"

static const hn_view_column report_columns[] = {
    HN_TEXT("topic", "Topic", "What is counted: observations, visits, grades or a finding"),
    HN_TEXT("item", "Item", "Which of them"),
    HN_WHOLE("records", "Records", "How many"),
    HN_SHARE("share", "Share", "Of the observations, or of the visits; empty where neither"),
};

static void line(hn_grid *g, const char *topic, const char *item, size_t count, size_t of)
{
    hn_grid_row(g);
    hn_grid_text(g, topic);
    hn_grid_text(g, item);
    hn_grid_int(g, (int64_t)count);
    if (of)
        hn_grid_real(g, (double)count / (double)of);
}

void hn_tables_observations(const hn_state *s, hn_tables *tables)
{
    hn_grid *g = &tables->grid[HN_TABLE_OBSERVATION_REPORT];
    const hn_observe_stats *n = &s->observed;

    hn_grid_init(g, "observation_report", "What became of the observations",
                 "Observations by the way their visit found its segment, grades given, and what "
                 "is doubtful; nothing is dropped unseen.",
                 report_columns, HN_COUNT_OF(report_columns));
    line(g, "observations", "read", n->observations, n->observations);
    for (int how = 0; how < HN_MATCH_COUNT; how++)
        line(g, "observations", hn_match_names[how], n->by[how], n->observations);
    line(g, "observations", "graded by the scheme of the plan", n->graded, n->observations);
    line(g, "observations", "grade cannot be told", n->cannot_tell, n->observations);
    line(g, "observations", "remarks not kept, for want of room", s->observations.remarks_dropped,
         n->observations);
    line(g, "visits", "surveys of one segment", n->visits, n->visits);
    line(g, "visits", "without a segment", n->visits_unmatched, n->visits);
    line(g, "visits", "direction not said, taken as with the flow", n->direction_assumed,
         n->visits);
    line(g, "visits", "inspections made from observations", n->added, n->visits);
    line(g, "grades", "given to inspections without one", n->filled, 0);
    line(g, "grades", "recorded, and the same within half a grade", n->agree, 0);
    line(g, "grades", "recorded, and different", n->differ, 0);
    line(g, "grades", "recorded ones replaced", n->replaced, 0);
    for (int f = 0; f < HN_FOUND_COUNT; f++)
        line(g, "finding", hn_observe_finding_names[f], n->found[f], 0);
}
