/* The leg grid against GEOS, pair by pair, on random legs. */
#include "test_util.h"

#include "base/line_grid.h"

#include <geos_c.h>

enum { LEGS = 400, QUERIES = 300 };

static double uniform(uint64_t *s)
{
    *s = *s * 6364136223846793005ULL + 1442695040888963407ULL;
    return (double)(*s >> 11) * 0x1p-53;
}

static hn_leg random_leg(uint64_t *s, double longest, uint32_t item)
{
    double x = 1000.0 * uniform(s), y = 1000.0 * uniform(s);

    return (hn_leg){x, y, x + longest * (uniform(s) - 0.5), y + longest * (uniform(s) - 0.5), item};
}

static GEOSGeometry *geos_of(GEOSContextHandle_t geos, const hn_leg *leg)
{
    GEOSCoordSequence *seq = GEOSCoordSeq_create_r(geos, 2, 2);

    GEOSCoordSeq_setXY_r(geos, seq, 0, leg->ax, leg->ay);
    GEOSCoordSeq_setXY_r(geos, seq, 1, leg->bx, leg->by);
    return GEOSGeom_createLineString_r(geos, seq);
}

static void nearest_agrees_with_geos(void **state)
{
    static hn_leg legs[LEGS];
    GEOSGeometry *shapes[LEGS];
    GEOSContextHandle_t geos = GEOS_init_r();
    hn_line_grid *grid;
    uint64_t s = 42;
    const double reach = 60.0;
    size_t hits = 0;

    (void)state;
    for (uint32_t i = 0; i < LEGS; i++) {
        legs[i] = random_leg(&s, i % 10 ? 80.0 : 900.0, i);
        shapes[i] = geos_of(geos, &legs[i]);
    }
    assert_int_equal(hn_line_grid_new(legs, LEGS, reach, 0, 0, 1000, 1000, &grid, NULL), HN_OK);
    for (int q = 0; q < QUERIES; q++) {
        hn_leg query = random_leg(&s, 70.0, 0);
        GEOSGeometry *shape = geos_of(geos, &query);
        double best = INFINITY, found = hn_line_grid_nearest(grid, &query, NULL);

        for (int i = 0; i < LEGS; i++) {
            double d;

            assert_int_equal(GEOSDistance_r(geos, shape, shapes[i], &d), 1);
            best = d < best ? d : best;
        }
        GEOSGeom_destroy_r(geos, shape);
        if (best <= reach) {
            assert_true(fabs(found - best) < 1e-9);
            hits++;
        } else {
            assert_true(isinf(found));
        }
    }
    assert_true(hits > QUERIES / 4 && hits < QUERIES);
    for (int i = 0; i < LEGS; i++)
        GEOSGeom_destroy_r(geos, shapes[i]);
    GEOS_finish_r(geos);
    hn_line_grid_free(grid);
}

static void crossing_touching_and_point_legs(void **state)
{
    hn_leg a = {0, 0, 10, 0, 0}, across = {5, -5, 5, 5, 0}, end = {10, 0, 20, 5, 0},
           along = {2, 0, 4, 0, 0}, point = {3, 4, 3, 4, 0};

    (void)state;
    assert_true(hn_leg_distance(&a, &across) == 0.0);
    assert_true(hn_leg_distance(&a, &end) == 0.0);
    assert_true(hn_leg_distance(&a, &along) == 0.0);
    assert_close(hn_leg_distance(&a, &point), 4.0, 1e-15);
    assert_close(hn_leg_distance(&point, &a), 4.0, 1e-15);
}

static void an_empty_layer_is_near_nothing(void **state)
{
    hn_leg query = {1, 1, 2, 2, 0};
    hn_line_grid *grid;
    uint32_t item;

    (void)state;
    assert_int_equal(hn_line_grid_new(NULL, 0, 10.0, 0, 0, 100, 100, &grid, NULL), HN_OK);
    assert_true(isinf(hn_line_grid_nearest(grid, &query, &item)));
    assert_int_equal(item, UINT32_MAX);
    hn_line_grid_free(grid);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nearest_agrees_with_geos),
        cmocka_unit_test(crossing_touching_and_point_legs),
        cmocka_unit_test(an_empty_layer_is_near_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
