/* Soil loads: published Marston and projecting-pipe figures, limits, missing data. */
#include "engineering/load.h"

#include "test_util.h"

static const double foot = 0.3048, lb_ft = 0.0145939029372064, lb_ft3 = 0.157087463846246;

static void a_published_trench_load_comes_back(void **state)
{
    (void)state;
    /* Moser, Example 3.1: chart reading 2.4, closed form 2.3807. */
    assert_close(hn_marston_coefficient(0.165, 14, 3), 2.38066, 2e-6);
    assert_close(hn_marston_load_kn_per_m(0.165, 120 * lb_ft3, 14 * foot, 3 * foot) / lb_ft,
                 2571.12, 1e-5);
    /* SI: C 2.65 read off a chart, closed form 2.595. */
    assert_close(hn_marston_coefficient(0.110, 2.5, 0.65), 2.59517, 2e-6);
}

static void the_trench_carries_part_of_the_prism(void **state)
{
    (void)state;
    for (double cover = 0.1; cover < 20; cover *= 1.6) {
        const double prism = hn_prism_load_kn_per_m(18, cover, 1.2);
        const double trench = hn_marston_load_kn_per_m(0.15, 18, cover, 1.2);
        assert_true(trench < prism);
        assert_close(hn_marston_load_kn_per_m(0, 18, cover, 1.2), prism, 1e-12);
    }
}

static void a_projecting_pipe_takes_more_than_the_prism(void **state)
{
    (void)state;
    /* Cc = 1.50 x 11.2 - 0.07 = 16.73 at 14 ft over a 1.25 ft pipe. */
    const double load = hn_projecting_load_kn_per_m(0.5, 20, 14 * foot, 1.25 * foot);
    assert_close(load, 16.73 * 20 * 0.381 * 0.381, 1e-12);
    static const double rows[][3] = {{0.1, 1.23, 0.02}, {0.3, 1.39, 0.05}, {0.5, 1.50, 0.07},
                                     {0.7, 1.59, 0.09}, {1.0, 1.69, 0.12}, {2.0, 1.93, 0.17}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_close(hn_projecting_load_kn_per_m(rows[i][0], 1, 2, 1), rows[i][1] * 2 - rows[i][2],
                     1e-12);
    assert_close(hn_projecting_load_kn_per_m(0.6, 1, 2, 1), 1.545 * 2 - 0.08, 1e-12);
    assert_true(isnan(hn_projecting_load_kn_per_m(0.5, 20, 0.05, 1)));
    assert_true(isnan(hn_projecting_load_kn_per_m(2.1, 20, 3, 1)));
}

static void bedding_turns_load_into_pipe_strength(void **state)
{
    (void)state;
    assert_close(hn_three_edge_load_kn_per_m(2592, 1.5, 1.9), 2046.32, 1e-5);
    assert_close(hn_d_load_kn_per_m2(hn_three_edge_load_kn_per_m(2592, 1.5, 1.1), 1.25), 2827.64,
                 1e-5);
    assert_true(isnan(hn_d_load_kn_per_m2(1, 0)));
}

static void total_load_adds_water_soil_and_traffic(void **state)
{
    (void)state;
    assert_close(hn_total_load_mpa(2, 5, 20, 0.9, 0.01), 0.00981 * 2 + 0.09 + 0.01, 1e-12);
    assert_close(hn_total_load_mpa(-3, 5, 20, 1, 0), 0.1, 1e-12);
    assert_close(hn_total_load_mpa(7, 5, 20, 0.67, 0), 0.06867 + 0.067, 1e-12);
    assert_close(hn_buoyancy_factor(1, 0), 1, 0);
    assert_close(hn_buoyancy_factor(20, 16), 0.67, 1e-12);
}

static void a_missing_number_stays_missing(void **state)
{
    (void)state;
    assert_true(isnan(hn_buoyancy_factor(NAN, 2)));
    assert_true(isnan(hn_buoyancy_factor(1, NAN)));
    assert_true(isnan(hn_total_load_mpa(NAN, 5, 20, 1, 0)));
    assert_true(isnan(hn_total_load_mpa(1, 5, 20, NAN, 0)));
    assert_true(isnan(hn_total_load_mpa(1, 5, 20, 1, NAN)));
    assert_true(isnan(hn_prism_load_kn_per_m(20, NAN, 1)));
    assert_true(isnan(hn_marston_load_kn_per_m(NAN, 20, 2, 1)));
    assert_true(isnan(hn_marston_load_kn_per_m(0.15, 20, 2, NAN)));
    assert_true(isnan(hn_projecting_load_kn_per_m(NAN, 20, 2, 1)));
    assert_true(isnan(hn_three_edge_load_kn_per_m(NAN, 1.5, 1.9)));
}

static void every_backfill_has_its_friction(void **state)
{
    (void)state;
    assert_close(hn_backfill_kmu(HN_BACKFILL_GRANULAR), 0.192, 0);
    assert_close(hn_backfill_kmu(HN_BACKFILL_SATURATED_CLAY), 0.110, 0);
    assert_true(isnan(hn_backfill_kmu(HN_BACKFILL_COUNT)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_published_trench_load_comes_back),
        cmocka_unit_test(the_trench_carries_part_of_the_prism),
        cmocka_unit_test(a_projecting_pipe_takes_more_than_the_prism),
        cmocka_unit_test(bedding_turns_load_into_pipe_strength),
        cmocka_unit_test(total_load_adds_water_soil_and_traffic),
        cmocka_unit_test(a_missing_number_stays_missing),
        cmocka_unit_test(every_backfill_has_its_friction),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
