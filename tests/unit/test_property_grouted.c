/* Laws of grouted linings: layered walls, rings, wet grout, takeoff. */
#include "property.h"

#include "engineering/grouted.h"
#include "engineering/grouted_quantities.h"
#include "engineering/section_depth.h"

enum { CASES = 4000, LAYERS_MAX = 5 };

static size_t random_layers(draws *d, hn_wall_layer *layers)
{
    const size_t count = 1 + draw_below(d, LAYERS_MAX);

    for (size_t i = 0; i < count; i++)
        layers[i] = (hn_wall_layer){draw_log(d, 3, 300), draw_log(d, 500, 40000)};
    return count;
}

static void bonds_and_host_only_ever_help(void **state)
{
    draws d = {1};
    hn_wall_layer layers[LAYERS_MAX];

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const size_t count = random_layers(&d, layers);
        const hn_composite w = hn_composite_wall(layers, count, 20000);
        const double sound = 1 + 1e-11; /* differences of sums of n t y^2 */

        assert_true(w.unbonded_inertia_mm4_per_m <= w.slip_inertia_mm4_per_m * sound);
        assert_true(w.slip_inertia_mm4_per_m <= w.inertia_mm4_per_m * sound);
        assert_true(w.bond_ratio >= 1 / sound);
        assert_true(w.centroid_mm > 0 && w.centroid_mm < w.thickness_mm);
        for (int outside = 0; count > 1 && outside < 2; outside++) {
            const hn_composite c = hn_cracked_composite_wall(layers, count, 20000, outside);

            assert_true(c.inertia_mm4_per_m <= w.inertia_mm4_per_m * sound);
            assert_true(c.area_mm2_per_m <= w.area_mm2_per_m * sound);
        }
    }
}

/* A: t, I: t^3; both with E over the reference. In inches with psi the same
 * wall has 25.4 and 25.4^3 times smaller numbers. */
static void layered_walls_scale(void **state)
{
    draws d = {2};
    hn_wall_layer layers[LAYERS_MAX];

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const size_t count = random_layers(&d, layers);
        const hn_composite w = hn_composite_wall(layers, count, 20000);
        const double s = i % 2 ? 1 / 25.4 : draw_log(&d, 0.3, 3), e = draw_log(&d, 0.2, 5);

        for (size_t k = 0; k < count; k++)
            layers[k] = (hn_wall_layer){s * layers[k].thickness_mm, e * layers[k].modulus_mpa};
        const hn_composite scaled = hn_composite_wall(layers, count, 20000);
        assert_close(scaled.area_mm2_per_m, s * e * w.area_mm2_per_m, 1e-12);
        assert_close(scaled.centroid_mm, s * w.centroid_mm, 1e-12);
        assert_close(scaled.inertia_mm4_per_m, s * s * s * e * w.inertia_mm4_per_m, 1e-10);
        const hn_composite same = hn_composite_wall(layers, count, e * 20000);
        assert_close(same.area_mm2_per_m, s * w.area_mm2_per_m, 1e-12);
        assert_close(same.bond_ratio, w.bond_ratio, 1e-10);
    }
}

/* One plate cut into layers is the plate: I = b t^3/12. */
static void a_plate_cut_in_layers_is_the_plate(void **state)
{
    draws d = {3};
    hn_wall_layer layers[LAYERS_MAX];

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const size_t count = random_layers(&d, layers);
        double t = 0;

        for (size_t k = 0; k < count; k++) {
            layers[k].modulus_mpa = 9000;
            t += layers[k].thickness_mm;
        }
        const hn_composite w = hn_composite_wall(layers, count, 9000);
        assert_close(w.inertia_mm4_per_m, 1000 * t * t * t / 12, 1e-11);
        assert_close(w.centroid_mm, t / 2, 1e-12);
        assert_close(hn_cracking_moment_knm_per_m(&w, 0, 3, 1), 3 * t * t / 6 / 1000, 1e-11);
    }
}

static void ring_moments_scale_with_the_radius(void **state)
{
    draws d = {4};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double w = draw_log(&d, 1, 200), r = draw(&d, 0.2, 3), s = draw_log(&d, 0.2, 5);
        const double k = draw(&d, 0, 1), p = draw(&d, 5, 200);

        assert_close(hn_ring_crown_moment(w, s * r), s * hn_ring_crown_moment(w, r), 1e-14);
        assert_close(hn_ring_springline_moment(w, s * r), s * hn_ring_springline_moment(w, r),
                     1e-14);
        assert_close(hn_ring_pressure_moment(p, k, s * r), s * s * hn_ring_pressure_moment(p, k, r),
                     1e-13);
        /* statics of a quarter ring: half the load with arm r */
        assert_close(hn_ring_crown_moment(w, r) + hn_ring_springline_moment(w, r), w * r / 2,
                     1e-14);
        assert_true(hn_ring_pressure_moment(p, k * 0.9, r) >= hn_ring_pressure_moment(p, k, r));
    }
}

static void wet_grout_is_held_by_thicker_linings(void **state)
{
    draws d = {5};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double e = draw_log(&d, 1000, 30000), dia = draw(&d, 300, 3000),
                     nu = draw(&d, 0, 0.45);
        const double t = dia * draw(&d, 0.01, 0.1), s = draw_log(&d, 0.2, 5);
        const double p = hn_grouting_buckling_kpa(e, t, dia, nu);
        const double safety = draw(&d, 1, 3), inside = draw(&d, 0, 20), pump = draw(&d, 0, 20);
        const double h = hn_grout_lift_m(p, safety, inside, pump, 18);

        assert_true(hn_grouting_buckling_kpa(e, t * 1.01, dia, nu) > p);
        assert_true(hn_grouting_buckling_kpa(e, t, dia * 1.01, nu) < p);
        assert_close(hn_grouting_buckling_kpa(e, s * t, s * dia, nu), p, 1e-13);
        /* a plain wall is a profile of EI = E t^3/12 */
        assert_close(hn_profile_buckling_kpa(e * t * t * t / 12 / 1e6, dia / 1000, nu), p, 1e-12);
        /* the lift put back presses as much as is allowed */
        assert_close(18 * h + pump + p / safety, inside + 2 * p / safety, 1e-12);
    }
}

static void floating_begins_at_the_first_lift(void **state)
{
    draws d = {6};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double dia = draw(&d, 0.3, 3);
        const hn_flotation_input in = {dia, draw(&d, 12, 24), draw(&d, 0, 3) * dia,
                                       draw(&d, 0, 9) * dia * dia, draw(&d, 0, 3)};
        const double weight = in.liner_kn_per_m + in.water_kn_per_m + in.hold_down_kn_per_m;
        const double h = hn_first_lift_m(&in), some = draw(&d, 0, 1) * dia;

        /* 1e-12 of the full uplift: near the crown the depth itself is 1e-16 coarse */
        if (h < dia)
            assert_true(fabs(hn_flotation_kn_per_m(&in, h)) <
                        1e-12 * in.grout_kn_per_m3 * dia * dia);
        else
            assert_true(hn_flotation_kn_per_m(&in, dia) <= 0);
        assert_true(hn_flotation_kn_per_m(&in, some) >= hn_flotation_kn_per_m(&in, some * 0.9));
        assert_close(hn_flotation_kn_per_m(&in, 0), -weight, 1e-15);
    }
}

static void a_circle_segment_is_a_part_filled_circle(void **state)
{
    draws d = {7};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double r = draw(&d, 0.1, 2), h = draw(&d, 0, 2) * r, s = draw_log(&d, 0.2, 5);
        const hn_section circle = hn_section_circle(2000 * r);
        const double area = hn_circle_segment_m2(r, h), whole = 4 * atan(1.0) * r * r;

        assert_true(fabs(area - hn_section_at_depth(&circle, h).area_m2) < 1e-12 * whole);
        assert_true(fabs(hn_circle_segment_m2(s * r, s * h) - s * s * area) <
                    1e-12 * s * s * whole);
        assert_true(fabs(hn_circle_segment_m2(r, 2 * r - h) + area - whole) < 1e-12 * whole);
    }
}

static void a_panel_span_put_back_gives_the_moment(void **state)
{
    draws d = {8};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double p = draw_log(&d, 1, 100), m = draw_log(&d, 0.01, 10),
                     ei = draw_log(&d, 0.1, 100);
        const double span = hn_panel_span_m(p, m), s = draw_log(&d, 0.2, 5);

        assert_close(hn_panel_moment_knm_per_m(p, span), m, 1e-14);
        assert_close(hn_panel_span_m(p, hn_panel_moment_knm_per_m(p, s)), s, 1e-14);
        assert_close(hn_panel_deflection_m(p, s * span, ei),
                     s * s * s * s * hn_panel_deflection_m(p, span, ei), 1e-13);
        /* deflection and moment of one beam: 5/48 M s^2/EI */
        assert_close(hn_panel_deflection_m(p, span, ei), 5 * m * span * span / (48 * ei), 1e-13);
    }
}

static void takeoff_counts_cover_what_they_count(void **state)
{
    draws d = {9};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double outer = draw(&d, 0.8, 3), inner = outer * draw(&d, 0.7, 0.95);
        const double pi = 4 * atan(1.0);
        const hn_grouted_input in = {.length_m = draw(&d, 2, 300),
                                     .host_area_m2 = pi / 4 * outer * outer,
                                     .liner_area_m2 = pi / 4 * inner * inner,
                                     .host_height_m = outer,
                                     .allowance = draw(&d, 0, 0.2),
                                     .ring_spacing_m = draw(&d, 0.2, 1.5),
                                     .panels_per_ring = (int)draw_below(&d, 20) + 3,
                                     .ring_m3 = draw(&d, 0, 0.001),
                                     .lift_m = draw(&d, 0.1, 1),
                                     .pour_length_m = draw(&d, 3, 30),
                                     .vent_spacing_m = draw(&d, 2, 20),
                                     .grout_kg_per_m3 = 2000,
                                     .delivery_m3 = draw(&d, 0.05, 8)};
        const hn_grouted_quantities q = hn_grouted_takeoff(&in, pi * inner);

        assert_close(q.grout_m3 + q.rings_m3,
                     hn_annulus_m2(outer, inner) * in.length_m * (1 + in.allowance), 1e-12);
        assert_true((q.rings - 1) * in.ring_spacing_m >= in.length_m * (1 - 1e-9));
        assert_true((q.rings - 2) * in.ring_spacing_m < in.length_m);
        assert_true(q.panels == (q.rings - 1) * in.panels_per_ring);
        assert_true(q.lifts * in.lift_m >= outer * (1 - 1e-9));
        assert_true((q.lifts - 1) * in.lift_m < outer);
        assert_true(q.sections * in.pour_length_m >= in.length_m * (1 - 1e-9));
        assert_true(q.pours == q.lifts * q.sections && q.vents >= 2 * q.sections);
        assert_true(q.deliveries * in.delivery_m3 >= q.grout_m3 * (1 - 1e-8));
        assert_true(q.deliveries >= q.pours);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bonds_and_host_only_ever_help),
        cmocka_unit_test(layered_walls_scale),
        cmocka_unit_test(a_plate_cut_in_layers_is_the_plate),
        cmocka_unit_test(ring_moments_scale_with_the_radius),
        cmocka_unit_test(wet_grout_is_held_by_thicker_linings),
        cmocka_unit_test(floating_begins_at_the_first_lift),
        cmocka_unit_test(a_circle_segment_is_a_part_filled_circle),
        cmocka_unit_test(a_panel_span_put_back_gives_the_moment),
        cmocka_unit_test(takeoff_counts_cover_what_they_count),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
