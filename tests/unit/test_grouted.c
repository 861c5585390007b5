/* Grouted linings: sections worked out by hand, ring theory, statics. */
#include "engineering/grouted.h"

#include "test_util.h"

static const hn_wall_layer wall_layers[] = {{100, 25000}, {40, 20000}, {10, 2000}};

static void a_layered_wall_matches_the_hand_calculation(void **state)
{
    (void)state;
    const hn_composite wall = hn_composite_wall(wall_layers, 3, 20000);
    /* A = 125 + 40 + 1; ybar = (125 x 50 + 40 x 120 + 1 x 145) / 166. */
    assert_close(wall.thickness_mm, 150, 1e-15);
    assert_close(wall.area_mm2_per_m, 166000, 1e-12);
    assert_close(wall.centroid_mm, 11195.0 / 166, 1e-12);
    assert_close(wall.inertia_mm4_per_m, 264.045e6, 2e-6);
    assert_close(wall.slip_inertia_mm4_per_m, 110.118e6, 4e-6);
    assert_close(wall.unbonded_inertia_mm4_per_m, (1.25e6 + 64e3 + 100) * 1000 / 12, 1e-12);
    assert_close(wall.bond_ratio, 2.39784, 3e-6);
    /* 3 MPa at the inner face of the mortar. */
    assert_close(hn_cracking_moment_knm_per_m(&wall, 140, 3, 1), 10.9169, 5e-6);
}

static void one_material_is_one_plate(void **state)
{
    (void)state;
    const hn_wall_layer same[] = {{30, 5000}, {50, 5000}, {20, 5000}};
    const hn_composite wall = hn_composite_wall(same, 3, 5000);
    assert_close(wall.inertia_mm4_per_m, 100.0 * 100 * 100 / 12 * 1000, 1e-12);
    assert_close(wall.centroid_mm, 50, 1e-12);
    const hn_composite single = hn_composite_wall(same, 1, 5000);
    assert_close(single.bond_ratio, 1, 1e-12);
}

static void bonds_only_ever_help(void **state)
{
    (void)state;
    for (double host = 20; host < 400; host *= 1.5) {
        const hn_wall_layer layers[] = {{host, 28000}, {35, 20000}, {8, 2500}};
        const hn_composite wall = hn_composite_wall(layers, 3, 20000);
        assert_true(wall.unbonded_inertia_mm4_per_m < wall.slip_inertia_mm4_per_m);
        assert_true(wall.slip_inertia_mm4_per_m < wall.inertia_mm4_per_m);
        for (int outside = 0; outside <= 1; outside++) {
            const hn_composite cracked = hn_cracked_composite_wall(layers, 3, 20000, outside);
            assert_true(cracked.inertia_mm4_per_m < wall.inertia_mm4_per_m + 1);
        }
    }
}

static void the_axis_of_a_cracked_wall_balances_it(void **state)
{
    (void)state;
    /* Tension outside: host n = 1.25 counts from the axis to 100 mm. The first
     * moments about the axis x: 1.25 (100-x)^2/2 + 40 (120-x) + (145-x) = 0 has no
     * root below 100 (all terms positive), so the host drops out whole. */
    const hn_composite outer = hn_cracked_composite_wall(wall_layers, 3, 20000, 1);
    assert_close(outer.centroid_mm, (40 * 120 + 145.0) / 41, 1e-12);
    assert_close(outer.area_mm2_per_m, 41000, 1e-12);
    /* Tension inside: 1.25 x^2/2 = 40 (120-x) + (145-x), x = 61.7906... */
    const hn_composite inner = hn_cracked_composite_wall(wall_layers, 3, 20000, 0);
    const double x = (-41 + sqrt(41.0 * 41 + 4 * 0.625 * 4945)) / (2 * 0.625);
    assert_close(inner.centroid_mm, x, 1e-9);
    assert_close(inner.area_mm2_per_m, (1.25 * x + 41) * 1000, 1e-9);
}

static void ring_moments_follow_ring_theory(void **state)
{
    (void)state;
    assert_close(hn_ring_crown_moment(1, 1), 0.31831, 1e-5);
    assert_close(hn_ring_springline_moment(1, 1), 0.18169, 1e-5);
    /* Static check: crown and springline moments add up to W r / 2. */
    assert_close(hn_ring_crown_moment(7, 0.6) + hn_ring_springline_moment(7, 0.6), 7 * 0.6 / 2,
                 1e-12);
    assert_close(hn_ring_pressure_moment(1, 0.3, 1), 0.175, 1e-12);
    assert_close(hn_ring_pressure_moment(80, 1, 0.7), 0, 0);
}

static void wet_grout_limits_the_lift(void **state)
{
    (void)state;
    const double critical = hn_grouting_buckling_kpa(800, 32, 968, 0.45);
    assert_close(critical, 72.4792, 1e-6);
    assert_close(hn_grout_lift_m(critical, 2, 0, 0, 18), 2.01331, 3e-6);
    assert_close(hn_grout_lift_m(critical, 2, 9, 0, 18), 2.51331, 3e-6);
    assert_true(hn_grout_lift_m(critical, 2, 0, 50, 18) < 0);
    /* A solid wall as a profile: EI = E t^3 / 12 gives the same pressure. */
    const double stiffness = 800e3 * 0.032 * 0.032 * 0.032 / 12;
    assert_close(hn_profile_buckling_kpa(stiffness, 0.968, 0.45), critical, 1e-12);
}

static void a_lining_floats_when_grout_weighs_more(void **state)
{
    (void)state;
    hn_flotation_input in = {.outside_diameter_m = 1, .grout_kn_per_m3 = 18};
    in.liner_kn_per_m = 0.999554;
    assert_close(hn_flotation_kn_per_m(&in, 1), 13.1376, 1e-5);
    const double lift = hn_first_lift_m(&in);
    assert_close(lift, 0.123282, 2e-5);
    assert_true(hn_flotation_kn_per_m(&in, lift * 1.001) > 0);
    assert_true(hn_flotation_kn_per_m(&in, lift * 0.999) < 0);
    in.hold_down_kn_per_m = 20;
    assert_close(hn_first_lift_m(&in), 1, 0);
}

static void circle_segments_add_up_to_the_circle(void **state)
{
    (void)state;
    assert_close(hn_circle_segment_m2(0.5, 0.25), 0.153546, 5e-6);
    assert_close(hn_circle_segment_m2(0.5, 0.5), 0.392699, 5e-6);
    for (double h = 0; h <= 1; h += 0.125)
        assert_close(hn_circle_segment_m2(0.5, h) + hn_circle_segment_m2(0.5, 1 - h),
                     3.14159265358979323846 / 4, 1e-12);
    assert_true(isnan(hn_circle_segment_m2(0.5, 1.1)));
}

static void panels_are_simple_beams(void **state)
{
    (void)state;
    assert_close(hn_panel_moment_knm_per_m(18, 0.2), 0.09, 1e-12);
    assert_close(hn_panel_span_m(18, 0.09), 0.2, 1e-12);
    assert_close(hn_panel_deflection_m(18, 0.2, 0.5), 5 * 18 * 0.0016 / (384 * 0.5), 1e-12);
    assert_true(isnan(hn_panel_span_m(0, 1)));
    assert_true(isnan(hn_panel_deflection_m(18, 0.2, 0)));
}

static void a_missing_number_stays_missing(void **state)
{
    (void)state;
    const hn_wall_layer gap[] = {{100, NAN}, {40, 20000}};
    assert_true(isnan(hn_composite_wall(gap, 2, 20000).inertia_mm4_per_m));
    assert_true(isnan(hn_composite_wall(wall_layers, 0, 20000).centroid_mm));
    assert_true(isnan(hn_cracked_composite_wall(wall_layers, 1, 20000, 0).centroid_mm));
    assert_true(isnan(hn_grouting_buckling_kpa(NAN, 32, 968, 0.45)));
    assert_true(isnan(hn_grout_lift_m(NAN, 2, 0, 0, 18)));
    assert_true(isnan(hn_grout_lift_m(70, 2, 0, NAN, 18)));
    const hn_flotation_input in = {.outside_diameter_m = 1, .grout_kn_per_m3 = NAN};
    assert_true(isnan(hn_first_lift_m(&in)));
    assert_true(isnan(hn_ring_pressure_moment(NAN, 0.3, 1)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_layered_wall_matches_the_hand_calculation),
        cmocka_unit_test(one_material_is_one_plate),
        cmocka_unit_test(bonds_only_ever_help),
        cmocka_unit_test(the_axis_of_a_cracked_wall_balances_it),
        cmocka_unit_test(ring_moments_follow_ring_theory),
        cmocka_unit_test(wet_grout_limits_the_lift),
        cmocka_unit_test(a_lining_floats_when_grout_weighs_more),
        cmocka_unit_test(circle_segments_add_up_to_the_circle),
        cmocka_unit_test(panels_are_simple_beams),
        cmocka_unit_test(a_missing_number_stays_missing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
