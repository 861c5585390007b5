/* Depth, cover, slope and bend from what was recorded and drawn. */
#include "base/parallel.h"
#include "network/network.h"

static const double DEGREES = 180.0 / 3.14159265358979323846;
/* Vertices closer than this do not make a bend: drawing noise (local rule). */
static const double SHORTEST_LEG_M = 0.25;

static double depth_at(double recorded, double ground, double invert)
{
    return isnan(recorded) ? ground - invert : recorded;
}

/* Mean of the ends that are known. */
static double mean_known(double a, double b)
{
    if (isnan(a))
        return b;
    return isnan(b) ? a : 0.5 * (a + b);
}

static double depth_m(const hn_table *t, size_t i)
{
    double up = depth_at((double)hn_f32(t, HN_COL_DEPTH_UP_M, i), (double)hn_f32(t, HN_COL_GROUND_UP_M, i),
                         hn_f64(t, HN_COL_INVERT_UP_M, i));
    double down = depth_at((double)hn_f32(t, HN_COL_DEPTH_DOWN_M, i), (double)hn_f32(t, HN_COL_GROUND_DOWN_M, i),
                           hn_f64(t, HN_COL_INVERT_DOWN_M, i));
    double depth = mean_known(up, down);

    return depth > 0.0 ? depth : (double)NAN;
}

static double slope(const hn_table *t, size_t i)
{
    double fall = hn_f64(t, HN_COL_INVERT_UP_M, i) - hn_f64(t, HN_COL_INVERT_DOWN_M, i);
    double from_inverts = fall / hn_f64(t, HN_COL_LENGTH_M, i);

    return isnan(from_inverts) ? (double)hn_f32(t, HN_COL_SLOPE_RECORDED, i) : from_inverts;
}

static double turn_deg(const double a[2], const double b[2])
{
    double dot = a[0] * b[0] + a[1] * b[1], cross = a[0] * b[1] - a[1] * b[0];

    return fabs(atan2(cross, dot)) * DEGREES;
}

/* Sharpest change of direction between consecutive legs of one part. */
static double drawn_bend_deg(const hn_lines *lines, size_t row, const hn_plane *plane)
{
    double sharpest = 0.0, leg[2] = {0, 0}, before[2];
    int have_leg = 0;
    size_t n = hn_line_points(lines, row), from = lines->start[row];

    for (size_t k = from + 1; k < from + n; k++) {
        before[0] = leg[0];
        before[1] = leg[1];
        leg[0] = (lines->xy[2 * k] - lines->xy[2 * k - 2]) * plane->x_m;
        leg[1] = (lines->xy[2 * k + 1] - lines->xy[2 * k - 1]) * plane->y_m;
        if (lines->break_before && lines->break_before[k]) {
            have_leg = 0;
            continue;
        }
        if (hypot(leg[0], leg[1]) < SHORTEST_LEG_M) {
            leg[0] = before[0];
            leg[1] = before[1];
            continue;
        }
        if (have_leg) {
            double turn = turn_deg(before, leg);

            sharpest = turn > sharpest ? turn : sharpest;
        }
        have_leg = 1;
    }
    return n >= 2 ? sharpest : (double)NAN;
}

typedef struct deriving {
    hn_table *table;
    const hn_plane *plane;
} deriving;

static void derive_rows(void *context, size_t begin, size_t end, int worker)
{
    const deriving *d = context;
    hn_table *t = d->table;

    (void)worker;
    for (size_t i = begin; i < end; i++) {
        double bend = (double)hn_f32(t, HN_COL_BEND_RECORDED_DEG, i);
        double depth = depth_m(t, i);
        double cover = depth - hn_f64(t, HN_COL_HEIGHT_MM, i) / 1000.0;

        HN_F32(t, BEND_DEG)[i] =
            (float)(isnan(bend) ? drawn_bend_deg(&t->lines, i, d->plane) : bend);
        HN_F32(t, DEPTH_M)[i] = (float)depth;
        HN_F32(t, COVER_M)[i] = (float)(cover > 0.0 ? cover : isnan(cover) ? cover : 0.0);
        HN_F32(t, SLOPE)[i] = (float)slope(t, i);
        if (HN_I32(t, SOURCE_ROWS)[i] == HN_I32_MISSING)
            HN_I32(t, SOURCE_ROWS)[i] = 1;
    }
}

hn_status hn_network_derive(hn_table *table, const hn_plane *plane, int threads, hn_error *err)
{
    static const hn_column_id mine[] = {HN_COL_BEND_DEG, HN_COL_DEPTH_M, HN_COL_COVER_M,
                                        HN_COL_SLOPE, HN_COL_SOURCE_ROWS};
    deriving d = {table, plane};
    hn_status rc = HN_OK;

    for (size_t i = 0; i < sizeof mine / sizeof mine[0]; i++)
        HN_TRY(hn_table_want(table, mine[i], err));
    hn_parallel(threads, table->rows, derive_rows, &d);
out:
    return rc;
}
