/* Traffic loads: point load share against an independent integral, code spreads
 * and tables. */
#include "engineering/load_traffic.h"

#include "test_util.h"

static const double foot = 0.3048, kip_kn = 4.4482216152605, lbft2 = 0.04788025898;

/* Boussinesq pressure under a point load, summed over the rectangle. */
static double integral(double a, double b, double h, double offset)
{
    enum { STEPS = 400 };
    double sum = 0;
    for (int i = 0; i < STEPS; i++) {
        for (int j = 0; j < STEPS; j++) {
            const double x = -a + (i + 0.5) * 2 * a / STEPS - offset;
            const double y = -b + (j + 0.5) * 2 * b / STEPS;
            sum += pow(x * x + y * y + h * h, -2.5);
        }
    }
    const double cell = 4 * a * b / STEPS / STEPS;
    return 3 * h * h * h / (2 * 3.14159265358979323846) * sum * cell;
}

static void the_share_is_the_integral_of_the_pressure(void **state)
{
    (void)state;
    assert_close(hn_point_load_share(0.3, 0.4572, 1.2), integral(0.3, 0.4572, 1.2, 0), 1e-5);
    assert_close(hn_point_load_share(1, 1, 1), integral(1, 1, 1, 0), 1e-5);
    assert_close(hn_offset_load_share(0.3, 0.4572, 1.2, 0.9), integral(0.3, 0.4572, 1.2, 0.9),
                 1e-5);
    assert_close(hn_offset_load_share(0.6, 0.4572, 1.2, 0.2), integral(0.6, 0.4572, 1.2, 0.2),
                 1e-5);
}

static void published_influence_coefficients_come_back(void **state)
{
    (void)state;
    /* Moser, Table 2.6: D/2H, M/2H, Cs to three decimals. */
    static const double rows[][3] = {{0.1, 0.1, 0.019}, {1.5, 0.1, 0.121}, {0.5, 0.2, 0.155},
                                     {1.0, 0.3, 0.318}, {0.8, 0.4, 0.373}, {0.4, 0.4, 0.241}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_true(fabs(hn_point_load_share(rows[i][0], rows[i][1], 1) - rows[i][2]) < 0.001);
}

static void the_share_runs_from_all_to_nothing(void **state)
{
    (void)state;
    assert_close(hn_point_load_share(0.5, 0.5, 0), 1, 0);
    double last = 1;
    for (double depth = 0.05; depth < 200; depth *= 1.3) {
        const double share = hn_point_load_share(0.5, 0.4572, depth);
        assert_true(share < last && share > 0);
        last = share;
    }
    assert_close(hn_offset_load_share(0.5, 0.5, 0, 0.6), 0, 0);
    assert_close(hn_offset_load_share(0.5, 0.5, 1, 0.7), hn_offset_load_share(0.5, 0.5, 1, -0.7),
                 1e-12);
}

static void two_trucks_match_the_published_table(void **state)
{
    (void)state;
    /* Facility Piping Systems Handbook, Table 6.11: 36 in at 6 ft 0.075, 30 in at
     * 4 ft 0.107, within its 0.0012. */
    const double a = hn_two_truck_share_per_m(38.3 * 0.0254, 3 * foot, 6 * foot) * foot;
    const double b = hn_two_truck_share_per_m(32.0 * 0.0254, 3 * foot, 4 * foot) * foot;
    assert_true(fabs(a - 0.075) < 0.0012);
    assert_true(fabs(b - 0.107) < 0.0012);
}

static void a_wheel_on_the_pipe_keeps_its_parts(void **state)
{
    (void)state;
    const hn_wheel_load load = hn_wheel_load_on_pipe(0.5, 0.5, 71.17, 0.9144);
    assert_close(load.impact, 1.35, 0);
    assert_close(load.line_kn_per_m, load.share * 71.17 * 1.35 / 0.9144, 1e-12);
    assert_close(load.pressure_kpa, load.line_kn_per_m / 0.5, 1e-12);
    assert_true(isnan(hn_wheel_load_on_pipe(0.5, NAN, 71.17, 0.9144).pressure_kpa));
    assert_true(isnan(hn_wheel_load_on_pipe(0.5, 1, NAN, 0.9144).pressure_kpa));
}

static void impact_falls_with_cover(void **state)
{
    (void)state;
    assert_close(hn_impact_factor(0), 1.5, 0);
    assert_close(hn_impact_factor(0.3048), 1.5, 0);
    assert_close(hn_impact_factor(0.31), 1.35, 0);
    assert_close(hn_impact_factor(0.9), 1.15, 0);
    assert_close(hn_impact_factor(1), 1, 0);
    assert_true(isnan(hn_impact_factor(-0.1)));
    assert_true(isnan(hn_impact_factor(NAN)));
}

static void tables_are_read_straight_between_rows(void **state)
{
    (void)state;
    assert_close(hn_live_load_table_kpa(HN_LOAD_TABLE_HIGHWAY, 2 * foot), 800 * lbft2, 1e-9);
    assert_close(hn_live_load_table_kpa(HN_LOAD_TABLE_HIGHWAY, 2.5 * foot), 700 * lbft2, 1e-9);
    assert_close(hn_live_load_table_kpa(HN_LOAD_TABLE_HIGHWAY, 9 * foot), 0, 0);
    assert_true(isnan(hn_live_load_table_kpa(HN_LOAD_TABLE_HIGHWAY, 0.2)));
    assert_close(hn_live_load_table_kpa(HN_LOAD_TABLE_RAILWAY, 25 * foot), 200 * lbft2, 1e-9);
    assert_true(isnan(hn_live_load_table_kpa(HN_LOAD_TABLE_RAILWAY, NAN)));
    assert_close(hn_rigid_pavement_factor(2 * foot, 0.1016), 0.0244, 1e-9);
    assert_close(hn_rigid_pavement_factor(10 * foot, 0.254), 0.0029, 1e-9);
    assert_close(hn_rigid_pavement_factor(7 * foot, 5 * 0.0254),
                 (0.0093 + 0.0071 + 0.0065 + 0.0052) / 4, 1e-9);
    assert_true(isnan(hn_rigid_pavement_factor(1 * foot, 0.1016)));
}

static void code_spreads_match_hand_values(void **state)
{
    (void)state;
    /* 16,000 lb over a square of 1.75 x 2 ft: 16000 / 3.5^2 = 1306.12 lb/ft2. */
    assert_close(hn_square_spread_kpa(16 * kip_kn, 2 * foot) / lbft2, 1306.122, 1e-6);
    /* 2 ft, one wheel: 16000 x 1.2475 / (3.96667 x 3.13333) = 1605.94. */
    assert_close(hn_lrfd_spread_kpa(2 * foot) / lbft2, 1605.94, 1e-5);
    /* 8 ft, both wheels, no impact: 32000 / (16.8667 x 10.0333) = 189.093. */
    assert_close(hn_lrfd_spread_kpa(8 * foot) / lbft2, 189.093, 1e-5);
    /* 0.6 m, one wheel: 150 / 1.09282^2; 2 m, four: 600 / (4.7094 x 3.9094). */
    assert_close(hn_tandem_spread_kpa(0.6), 125.601, 1e-5);
    assert_close(hn_tandem_spread_kpa(2), 32.5893, 1e-5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_share_is_the_integral_of_the_pressure),
        cmocka_unit_test(published_influence_coefficients_come_back),
        cmocka_unit_test(the_share_runs_from_all_to_nothing),
        cmocka_unit_test(two_trucks_match_the_published_table),
        cmocka_unit_test(a_wheel_on_the_pipe_keeps_its_parts),
        cmocka_unit_test(impact_falls_with_cover),
        cmocka_unit_test(tables_are_read_straight_between_rows),
        cmocka_unit_test(code_spreads_match_hand_values),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
