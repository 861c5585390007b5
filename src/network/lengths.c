/* The length that counts. Cost follows length, so the choice is a stated rule
 * with a flag and not a silent preference. */
#include "network/network.h"

#include <stdio.h>

static void note_difference(const hn_table *table, size_t row, double drawn, double recorded,
                            hn_length_rule rule, hn_issue_list *issues)
{
    char value[64];
    size_t n = hn_line_points(&table->lines, row);
    const double *xy = n ? table->lines.xy + 2 * table->lines.start[row] : NULL;

    snprintf(value, sizeof value, "recorded %.2f m, drawn %.2f m", recorded, drawn);
    hn_issue_add(issues, HN_SEVERITY_WARNING, "length_differs",
                 hn_table_text(table, HN_COL_SEGMENT_ID, row), "length", value,
                 "recorded and drawn length differ beyond the tolerance",
                 rule == HN_LENGTH_USE_GEOMETRY ? "the drawn length is used"
                                                : "the recorded length is used",
                 xy ? xy[0] : (double)NAN, xy ? xy[1] : (double)NAN);
}

static hn_length_basis choose(double drawn, double recorded, const hn_plan *plan)
{
    double tolerance = fmax(plan->length_tolerance_m, plan->length_tolerance_pct / 100.0 * drawn);

    if (!(drawn > 0.0))
        return HN_LENGTH_RECORDED_NO_LINE;
    if (!(recorded > 0.0))
        return HN_LENGTH_GEOMETRY;
    if (fabs(recorded - drawn) <= tolerance)
        return HN_LENGTH_RECORDED;
    return plan->length_rule == HN_LENGTH_USE_GEOMETRY ? HN_LENGTH_GEOMETRY_DIFFERS
                                                       : HN_LENGTH_RECORDED_DIFFERS;
}

hn_status hn_network_lengths(hn_table *table, const hn_plan *plan, hn_network_stats *stats,
                             hn_issue_list *issues, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(hn_table_want(table, HN_COL_LENGTH_M, err));
    HN_TRY(hn_table_want(table, HN_COL_LENGTH_BASIS, err));
    stats->length_m = 0.0;
    for (size_t i = 0; i < table->rows; i++) {
        double drawn = hn_f64(table, HN_COL_LENGTH_GEOMETRY_M, i);
        double recorded = hn_f64(table, HN_COL_LENGTH_RECORDED_M, i);
        hn_length_basis basis = choose(drawn, recorded, plan);
        int use_recorded = basis == HN_LENGTH_RECORDED || basis == HN_LENGTH_RECORDED_DIFFERS ||
                           basis == HN_LENGTH_RECORDED_NO_LINE;

        HN_CODE(table, LENGTH_BASIS)[i] = (uint8_t)basis;
        HN_F64(table, LENGTH_M)[i] = use_recorded ? recorded : drawn;
        if (!(HN_F64(table, LENGTH_M)[i] > 0.0))
            HN_F64(table, LENGTH_M)[i] = (double)NAN;
        else
            stats->length_m += HN_F64(table, LENGTH_M)[i];
        if (basis == HN_LENGTH_GEOMETRY_DIFFERS || basis == HN_LENGTH_RECORDED_DIFFERS)
            note_difference(table, i, drawn, recorded, plan->length_rule, issues);
    }
out:
    return rc;
}
