/* Distance to a context layer. Boundaries and lines go through the leg grid;
 * whether a line lies wholly inside a polygon needs one point only, since a
 * line that is partly inside crosses the boundary. */
#include "base/alloc.h"
#include "base/line_grid.h"
#include "base/parallel.h"
#include "consequence/consequence.h"
#include "consequence/inside.h"

#include <stdio.h>

enum { THREADS_MAX = 64 };

typedef struct nearness_job {
    const hn_table *table;
    const hn_plane *plane;
    hn_line_grid *grid;
    hn_inside *inside[THREADS_MAX];
    float *out;
} nearness_job;

static hn_leg leg_of(const hn_plane *plane, const double *a, const double *b, size_t item)
{
    hn_leg leg = {a[0] * plane->x_m, a[1] * plane->y_m, b[0] * plane->x_m, b[1] * plane->y_m,
                  (uint32_t)item};

    return leg;
}

static size_t legs_of(const hn_context_shapes *s, const hn_plane *plane, hn_leg *legs)
{
    size_t count = 0;

    for (size_t p = 0; p < s->parts; p++) {
        size_t from = s->start[p], to = s->start[p + 1];

        if (s->kind[p] == HN_PART_POINT)
            for (size_t k = from; k < to; k++)
                legs[count++] = leg_of(plane, s->xy + 2 * k, s->xy + 2 * k, s->feature[p]);
        else
            for (size_t k = from + 1; k < to; k++)
                legs[count++] = leg_of(plane, s->xy + 2 * k - 2, s->xy + 2 * k, s->feature[p]);
    }
    return count;
}

static hn_status build_grid(const hn_context_shapes *s, const hn_plane *plane, double search_m,
                            hn_line_grid **out, hn_error *err)
{
    size_t points = s->parts ? s->start[s->parts] : 0;
    hn_leg *legs = hn_alloc(points, sizeof *legs);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(legs);
    HN_TRY(hn_line_grid_new(legs, legs_of(s, plane, legs), search_m, plane->min_x * plane->x_m,
                            plane->min_y * plane->y_m, plane->max_x * plane->x_m,
                            plane->max_y * plane->y_m, out, err));
out:
    hn_free(legs);
    return rc;
}

static double row_distance_m(const nearness_job *job, size_t row)
{
    const hn_lines *lines = &job->table->lines;
    double best = INFINITY, distance;

    for (size_t k = lines->start[row]; k < lines->start[row + 1] && best > 0.0; k++) {
        const double *at = lines->xy + 2 * k;
        int starts = k == lines->start[row] || (lines->break_before && lines->break_before[k]);
        hn_leg leg = leg_of(job->plane, starts ? at : at - 2, at, 0);

        if (starts && k + 1 < lines->start[row + 1])
            continue; /* the next leg covers this point */
        /* no less than `best` when there is nothing nearer */
        distance = hn_line_grid_nearest_within(job->grid, &leg, best, NULL);
        best = distance < best ? distance : best;
    }
    return best;
}

static void fill_rows(void *context, size_t begin, size_t end, int worker)
{
    nearness_job *job = context;

    for (size_t row = begin; row < end; row++) {
        const double *first = job->table->lines.xy + 2 * job->table->lines.start[row];
        double distance;

        if (hn_line_points(&job->table->lines, row) == 0)
            continue;
        distance = row_distance_m(job, row);
        if (distance > 0.0 && job->inside[worker] &&
            hn_inside_test(job->inside[worker], first[0], first[1]))
            distance = 0.0;
        job->out[row] = (float)distance;
    }
}

hn_status hn_nearness(hn_table *table, const char *name, double search_m,
                      const hn_context_shapes *shapes, const hn_plane *plane, int threads,
                      size_t *mended, hn_error *err)
{
    nearness_job job = {.table = table, .plane = plane};
    char column[96], title[128], meaning[192];
    hn_status rc = HN_OK;

    snprintf(column, sizeof column, "near_%.64s_m", name);
    snprintf(title, sizeof title, "Distance to %.64s", name);
    snprintf(meaning, sizeof meaning,
             "Distance to the nearest %.64s; empty when none is within %g m", name, search_m);
    threads = threads < 1 ? 1 : threads > THREADS_MAX ? THREADS_MAX : threads;
    HN_TRY(hn_table_add_extra(table, column, title, meaning, &job.out, err));
    HN_TRY(build_grid(shapes, plane, search_m, &job.grid, err));
    for (int i = 0; i < threads; i++)
        HN_TRY(hn_inside_new(shapes, &job.inside[i], mended, err));
    hn_parallel(threads, table->rows, fill_rows, &job);
out:
    hn_line_grid_free(job.grid);
    for (int i = 0; i < THREADS_MAX; i++)
        hn_inside_free(job.inside[i]);
    return rc;
}
