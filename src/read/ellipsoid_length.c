#include "read/ellipsoid_length.h"

#include "base/parallel.h"
#include "read/ellipsoid.h"
#include "read/scale_cells.h"

#include <math.h>
#include <string.h>

static const double SHORT_EDGE_M = 1000.0;
static const double FLAT_LATITUDE_MAX = 85.0; /* nearer the pole tan2(phi) spoils the formula */
static const double RADIANS_PER_DEGREE = 0.01745329251994329577;

enum { MAX_WORKERS = 64, BLOCK_CELLS = 16 };

typedef struct length_job {
    const hn_lines *lines;
    double *length_m;
    hn_scale_cells cells;
    hn_ellipsoid ellipsoid[MAX_WORKERS];
    int workers;
} length_job;

/* Middle-latitude formula; NaN when the edge is too long for it. */
static double short_geographic(const hn_ellipsoid *e, const double a[2], const double b[2])
{
    double to_radians = e->degrees_per_unit * RADIANS_PER_DEGREE;
    double middle = (a[1] + b[1]) / 2.0 * to_radians;
    double sine = sin(middle), cosine = sqrt(1.0 - sine * sine);
    double w = 1.0 - e->geod.e2 * sine * sine;
    double n = e->geod.a / sqrt(w);
    double m = n * (1.0 - e->geod.e2) / w;
    double north = m * (b[1] - a[1]) * to_radians;
    double east = n * cosine * (b[0] - a[0]) * to_radians;
    double square = north * north + east * east;

    if (!(square <= SHORT_EDGE_M * SHORT_EDGE_M) ||
        !(fabs(middle) <= FLAT_LATITUDE_MAX * RADIANS_PER_DEGREE))
        return NAN;
    return sqrt(square);
}

static int is_short_projected(const hn_ellipsoid *e, const double a[2], const double b[2])
{
    double dx = b[0] - a[0], dy = b[1] - a[1], limit = SHORT_EDGE_M / e->metres_per_unit;

    return dx * dx + dy * dy <= limit * limit;
}

static double edge_length(const length_job *job, const hn_ellipsoid *e, const double a[2],
                          const double b[2])
{
    double metres = NAN;

    if (!e->to_lonlat)
        metres = short_geographic(e, a, b);
    else if (is_short_projected(e, a, b))
        metres = hn_scale_cells_length(&job->cells, a, b);
    return isnan(metres) ? hn_ellipsoid_distance(e, a, b) : metres;
}

static int is_edge(const hn_lines *lines, size_t end)
{
    return !lines->break_before || !lines->break_before[end];
}

static void measure(void *context, size_t begin, size_t end, int worker)
{
    length_job *job = context;
    const hn_lines *lines = job->lines;

    for (size_t row = begin; row < end; row++) {
        size_t first = lines->start[row], stop = lines->start[row + 1];
        double sum = stop > first ? 0.0 : NAN;

        for (size_t p = first + 1; p < stop; p++)
            if (is_edge(lines, p))
                sum += edge_length(job, &job->ellipsoid[worker], lines->xy + 2 * p - 2,
                                   lines->xy + 2 * p);
        job->length_m[row] = sum;
    }
}

static void fit_cells(void *context, size_t begin, size_t end, int worker)
{
    length_job *job = context;

    for (size_t i = begin; i < end; i++)
        hn_scale_cell_fit(&job->cells, i, &job->ellipsoid[worker]);
}

/* Whole-table step: which cells the short edges lie in. */
static hn_status count_edges(length_job *job, size_t rows, hn_error *err)
{
    const hn_lines *lines = job->lines;

    for (size_t row = 0; row < rows; row++)
        for (size_t p = lines->start[row] + 1; p < lines->start[row + 1]; p++) {
            const double *a = lines->xy + 2 * p - 2, *b = lines->xy + 2 * p;
            double middle[2] = {(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0};

            if (is_edge(lines, p) && is_short_projected(&job->ellipsoid[0], a, b) &&
                !hn_scale_cells_count(&job->cells, middle))
                return hn_fail(err, HN_ERR_MEMORY, "out of memory");
        }
    return HN_OK;
}

static hn_status make_workers(length_job *job, const char *crs_wkt, int threads, hn_error *err)
{
    hn_status rc = HN_OK;

    if (threads < 1)
        threads = 1;
    while (job->workers < threads && job->workers < MAX_WORKERS) {
        job->workers++;
        HN_TRY(hn_ellipsoid_init(&job->ellipsoid[job->workers - 1], crs_wkt, err));
    }
out:
    return rc;
}

hn_status hn_ellipsoid_lengths(const char *crs_wkt, const hn_lines *lines, size_t rows, int threads,
                               double *length_m, hn_error *err)
{
    hn_status rc = HN_OK;
    length_job job = {.lines = lines, .length_m = length_m};

    HN_TRY(make_workers(&job, crs_wkt, threads, err));
    if (job.ellipsoid[0].to_lonlat) {
        HN_TRY(hn_scale_cells_init(&job.cells, job.ellipsoid[0].metres_per_unit, err));
        HN_TRY(count_edges(&job, rows, err));
        hn_parallel_blocks(job.workers, job.cells.count, BLOCK_CELLS, fit_cells, &job);
    }
    hn_parallel(job.workers, rows, measure, &job);
out:
    for (int i = 0; i < job.workers; i++)
        hn_ellipsoid_clear(&job.ellipsoid[i]);
    hn_scale_cells_clear(&job.cells);
    return rc;
}
