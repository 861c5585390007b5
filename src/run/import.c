#include "run/import.h"

#include <string.h>

static void reading_progress(void *context, double share)
{
    hn_state_progress(context, share);
}

hn_status hn_import_network(hn_state *s, hn_error *err)
{
    hn_source_note *note = hn_state_note_source(s, &s->plan->network);
    hn_read_stats stats = {0};
    hn_status rc = HN_OK;

    HN_TRY(hn_network_read(&s->plan->network, s->threads, &s->issues, reading_progress, s,
                           &s->table, &s->crs, &stats, err));
    note->rows_read = stats.rows_read;
    note->rows_kept = stats.rows_kept;
    note->rows_rejected = stats.rows_rejected;
    memcpy(note->layer, stats.layer, sizeof note->layer);
    memcpy(note->driver, stats.driver, sizeof note->driver);
    if (s->table->rows == 0) {
        rc = hn_fail(err, HN_ERR_INPUT, "network: layer \"%s\" of \"%s\" has no usable row",
                     stats.layer, note->shown);
        hn_hint(err, stats.rows_read ? "every row was rejected: run haunch check on the plan"
                                     : "the layer is empty, or `where` lets nothing through");
        goto out;
    }
    hn_table_trim(s->table);
    s->table->as_of = s->plan->as_of;
    s->table->as_of_year = s->plan->as_of_year;
    s->table->cost_low_pct = s->plan->estimate_low_pct;
    s->table->cost_high_pct = s->plan->estimate_high_pct;
    s->plane = hn_plane_of(&s->table->lines, s->crs.is_geographic, s->crs.metres_per_unit);
    if (s->plane.latitude_span_deg > 1.0)
        hn_issue_add(&s->issues, HN_SEVERITY_NOTE, "wide_in_degrees", "", "crs", s->crs.name,
                     "the layer is in degrees and spans more than one degree of latitude",
                     "nearness and snapping are up to some per cent off; lengths are exact",
                     (double)NAN, (double)NAN);
out:
    return rc;
}
