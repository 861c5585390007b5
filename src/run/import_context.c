#include "run/import.h"

#include "read/context_source.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

static double processor_s(void)
{
    struct timespec t;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void tell_mended(hn_state *s, const hn_context_layer *layer, size_t mended)
{
    char value[64];

    snprintf(value, sizeof value, "%zu areas", mended);
    hn_issue_add(&s->issues, HN_SEVERITY_WARNING, "context_area_mended", NULL, layer->source.key,
                 value, "areas cross themselves, or have too few points",
                 "what is inside is judged after mending; draw them anew if that matters",
                 (double)NAN, (double)NAN);
}

/* Adds to *reading_s the processor time that reading took. */
static hn_status import_one(hn_state *s, const hn_context_layer *layer, double *reading_s,
                            hn_error *err)
{
    hn_source_note *note = hn_state_note_source(s, &layer->source);
    const double reach_x = layer->search_m / s->plane.x_m, reach_y = layer->search_m / s->plane.y_m;
    const double box[4] = {s->plane.min_x - reach_x, s->plane.min_y - reach_y,
                           s->plane.max_x + reach_x, s->plane.max_y + reach_y};
    hn_context_shapes shapes = {0};
    hn_context_stats stats = {0};
    size_t mended = 0;
    const double began_s = processor_s();
    hn_status rc = HN_OK;

    HN_TRY(hn_context_read(&layer->source, s->crs.wkt, box, &s->issues, &shapes, &stats, err));
    *reading_s += processor_s() - began_s;
    if (note) {
        note->rows_read = note->rows_kept = stats.features_read;
        memcpy(note->layer, stats.layer, sizeof note->layer);
    }
    HN_TRY(hn_nearness(s->table, layer->name, layer->search_m, &shapes, &s->plane, s->threads,
                       &mended, err));
    if (mended)
        tell_mended(s, layer, mended);
out:
    hn_context_shapes_clear(&shapes);
    return rc;
}

hn_status hn_import_context(hn_state *s, hn_error *err)
{
    double reading_s = 0.0;
    hn_status rc = HN_OK;

    for (size_t i = 0; i < s->plan->context_count; i++) {
        HN_TRY(import_one(s, &s->plan->context[i], &reading_s, err));
        hn_state_progress(s, (double)(i + 1) / (double)s->plan->context_count);
    }
    if (s->plan->context_count)
        hn_state_tell_part(s, "  of it reading the layers", reading_s);
out:
    return rc;
}
