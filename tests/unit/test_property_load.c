/* Laws of soil and traffic loads, and of the trench that is dug for a pipe. */
#include "property.h"

#include "engineering/load.h"
#include "engineering/load_traffic.h"
#include "engineering/trench.h"

enum { CASES = 4000 };

static const double foot_m = 0.3048, pound_kn = 0.45359237 * 9.80665 / 1000;

static void soil_loads_grow_with_cover_and_width(void **state)
{
    draws d = {1};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double kmu = draw(&d, 0.05, 0.25), w = draw(&d, 15, 24), h = draw_log(&d, 0.1, 20);
        const double b = draw(&d, 0.4, 4), more = draw(&d, 1.001, 1.5);
        const double load = hn_marston_load_kn_per_m(kmu, w, h, b);

        assert_true(hn_marston_load_kn_per_m(kmu, w, h * more, b) > load);
        assert_true(hn_marston_load_kn_per_m(kmu, w, h, b * more) > load);
        assert_true(hn_marston_load_kn_per_m(kmu * more, w, h, b) < load);
        assert_close(hn_marston_load_kn_per_m(kmu, w * more, h, b), more * load, 1e-13);
        assert_true(load < hn_prism_load_kn_per_m(w, h, b));
        assert_true(hn_prism_load_kn_per_m(w, h * more, b) > hn_prism_load_kn_per_m(w, h, b));
        assert_true(hn_marston_coefficient(kmu, h, b) < 1 / (2 * kmu)); /* its limit at depth */
    }
}

/* Load a metre is weight times an area. */
static void soil_loads_scale_with_the_square(void **state)
{
    draws d = {2};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double kmu = draw(&d, 0.05, 0.25), w = draw(&d, 15, 24), h = draw_log(&d, 0.5, 20);
        const double b = draw(&d, 0.4, 4), s = draw_log(&d, 0.2, 5), p = draw(&d, 0.1, 2);
        const double high = 3 * b + h; /* high enough for the projecting pipe's straight lines */
        const double projecting = hn_projecting_load_kn_per_m(p, w, high, b);

        assert_close(hn_marston_load_kn_per_m(kmu, w, s * h, s * b),
                     s * s * hn_marston_load_kn_per_m(kmu, w, h, b), 1e-12);
        assert_close(hn_prism_load_kn_per_m(w, s * h, s * b),
                     s * s * hn_prism_load_kn_per_m(w, h, b), 1e-13);
        assert_close(hn_projecting_load_kn_per_m(p, w, s * high, s * b), s * s * projecting, 1e-12);
        assert_true(projecting >= hn_prism_load_kn_per_m(w, high, b));
        assert_true(hn_projecting_load_kn_per_m(p, w, high * 1.1, b) > projecting);
        assert_close(hn_buoyancy_factor(s * h, s * high), hn_buoyancy_factor(h, high), 1e-14);
        assert_close(hn_d_load_kn_per_m2(hn_three_edge_load_kn_per_m(projecting, 1.5, 1.9), b) * b *
                         1.9 / 1.5,
                     projecting, 1e-13);
    }
}

/* Feet and pounds worked out by hand and converted: the same to rounding,
 * because the formulas have no rounded constant of their own. */
static void us_and_si_give_one_soil_load(void **state)
{
    draws d = {3};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double kmu = draw(&d, 0.05, 0.25), w = draw(&d, 90, 150); /* lb/ft3 */
        const double h = draw_log(&d, 1, 60), b = draw(&d, 1.5, 12);    /* ft */
        const double cd = (1 - exp(-2 * kmu * h / b)) / (2 * kmu);
        const double si_weight = w * pound_kn / (foot_m * foot_m * foot_m);

        assert_close(hn_marston_load_kn_per_m(kmu, si_weight, h * foot_m, b * foot_m),
                     cd * w * b * b * pound_kn / foot_m, 1e-12);
        assert_close(hn_prism_load_kn_per_m(si_weight, h * foot_m, b * foot_m),
                     w * h * b * pound_kn / foot_m, 1e-13);
    }
}

static void water_relieves_a_third_of_the_soil_at_most(void **state)
{
    draws d = {4};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double h = draw_log(&d, 0.1, 20), hw = draw(&d, -1, 1.5) * h;
        const double r = hn_buoyancy_factor(hw, h), more = hw + draw(&d, 0, 1) * h;
        const double w = draw(&d, 15, 24), live = draw(&d, 0, 0.05);

        assert_true(r >= 1 - 0.33 && r <= 1 && hn_buoyancy_factor(more, h) <= r);
        assert_true(hn_buoyancy_factor(fmax(hw, 0), h * 1.1) >= r);
        /* 9.81 > 0.33 w: water adds more than its buoyancy takes */
        assert_true(hn_total_load_mpa(more, h, w, hn_buoyancy_factor(more, h), live) >=
                    hn_total_load_mpa(hw, h, w, r, live) * (1 - 1e-14));
    }
}

static void the_share_of_a_wheel_falls_with_depth(void **state)
{
    draws d = {5};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double a = draw_log(&d, 0.05, 2), b = draw_log(&d, 0.05, 2), x = draw(&d, 0, 3);
        const double h = draw_log(&d, 0.05, 10), more = draw(&d, 1.001, 2),
                     s = draw_log(&d, 0.1, 10);
        const double share = hn_point_load_share(a, b, h), off = hn_offset_load_share(a, b, h, x);

        assert_true(share > 0 && share < 1);
        assert_true(hn_point_load_share(a, b, h * more) <= share);
        assert_true(hn_point_load_share(a * more, b, h) >= share);
        assert_true(hn_point_load_share(a, b * more, h) >= share);
        assert_close(hn_point_load_share(s * a, s * b, s * h), share, 1e-13);
        assert_close(hn_point_load_share(b, a, h), share, 1e-13);
        assert_true(off >= -1e-15 && off <= share + 1e-15);
        assert_true(fabs(hn_offset_load_share(a, b, h, -x) - off) < 1e-15);
        assert_true(hn_offset_load_share(a, b, h, x * more) <= off + 1e-15);
        /* the two halves of the rectangle share the load between them */
        assert_true(fabs(hn_offset_load_share(a / 2, b, h, x - a / 2) +
                         hn_offset_load_share(a / 2, b, h, x + a / 2) - off) < 1e-14);
    }
}

static void traffic_pressure_falls_with_cover(void **state)
{
    draws d = {6};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double b = draw_log(&d, 0.15, 2.5), h = draw_log(&d, 0.4, 8), more = draw(&d, 1, 1.5);
        const double wheel = draw(&d, 10, 150), pavement = draw(&d, 0.11, 0.25);
        const double cover = draw(&d, 0.62, 2.0);
        const hn_wheel_load one = hn_wheel_load_on_pipe(b, h, wheel, 0.9144);

        assert_true(hn_wheel_load_on_pipe(b, h * more, wheel, 0.9144).pressure_kpa <=
                    one.pressure_kpa);
        assert_close(hn_wheel_load_on_pipe(b, h, 2 * wheel, 0.9144).pressure_kpa,
                     2 * one.pressure_kpa, 1e-14);
        assert_close(one.pressure_kpa * b, one.line_kn_per_m, 1e-14);
        assert_true(hn_impact_factor(h * more) <= hn_impact_factor(h));
        assert_true(hn_live_load_table_kpa(HN_LOAD_TABLE_HIGHWAY, h * more) <=
                    hn_live_load_table_kpa(HN_LOAD_TABLE_HIGHWAY, h));
        assert_true(hn_live_load_table_kpa(HN_LOAD_TABLE_RAILWAY, (1 + h) * more) <=
                    hn_live_load_table_kpa(HN_LOAD_TABLE_RAILWAY, 1 + h));
        assert_true(hn_lrfd_spread_kpa(h * more) <= hn_lrfd_spread_kpa(h));
        assert_true(hn_tandem_spread_kpa(h * more) <= hn_tandem_spread_kpa(h));
        assert_close(hn_square_spread_kpa(wheel, h * more) * more * more,
                     hn_square_spread_kpa(wheel, h), 1e-13);
        assert_true(hn_rigid_pavement_factor(cover * more, pavement) <=
                    hn_rigid_pavement_factor(cover, pavement));
        assert_true(hn_rigid_pavement_factor(cover, pavement * 1.01) <=
                    hn_rigid_pavement_factor(cover, pavement));
    }
}

/* ---- trenches ---- */

static hn_trench_input random_trench(draws *d)
{
    hn_trench_input in = {.length_m = draw(d, 1, 200),
                          .inside_diameter_m = draw(d, 0.15, 1.5),
                          .cover_m = draw(d, 0.8, 8),
                          .bedding_m = draw(d, 0, 0.3),
                          .surround_m = draw(d, 0, 0.4),
                          .slope = draw_below(d, 2) ? draw(d, 0, 1.5) : 0,
                          .shored_from_m = HN_TRENCH_SHORED_FROM_M,
                          .pavement_extra_m = draw(d, 0, 0.3),
                          .pavement_m = draw(d, 0, 0.3),
                          .reuse_share = draw(d, 0, 1),
                          .bulking = draw(d, 1, 1.4),
                          .water_depth_m = draw(d, 0, 10)};

    in.outside_diameter_m = in.inside_diameter_m * draw(d, 1, 1.3);
    in.width_m = in.outside_diameter_m + draw(d, 0.3, 1.2);
    return in;
}

static void what_is_dug_is_accounted_for(void **state)
{
    draws d = {7};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        hn_trench_input in = random_trench(&d);
        const hn_trench t = hn_trench_takeoff(&in);
        const double reused = t.backfill_m3 - t.imported_m3;

        assert_close(t.pipe_m3 + t.bedding_m3 + t.backfill_m3, t.dug_m3, 1e-12);
        assert_close(t.spoil_m3 / in.bulking + reused, t.dug_m3, 1e-12);
        assert_true(t.bedding_m3 > 0 && t.imported_m3 >= 0 && reused >= 0 && t.spoil_m3 >= 0);
        in.width_m = NAN;
        const double least = hn_trench_takeoff(&in).width_m;
        assert_true(least >= in.outside_diameter_m + 0.4);
        in.cover_m += 1;
        assert_true(hn_trench_takeoff(&in).width_m >= least);
    }
}

/* All lengths times s: volumes s^3, areas s^2. With s = 0.3048 the same sheet in
 * feet and in metres, with 1e-12 for the products of a few rounded numbers. */
static void trench_volumes_scale_with_the_cube(void **state)
{
    draws d = {8};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        hn_trench_input in = random_trench(&d);
        const hn_trench one = hn_trench_takeoff(&in);
        const double s = i % 2 ? foot_m : draw_log(&d, 0.2, 5);
        double *lengths[] = {&in.length_m,   &in.inside_diameter_m, &in.outside_diameter_m,
                             &in.cover_m,    &in.bedding_m,         &in.surround_m,
                             &in.width_m,    &in.shored_from_m,     &in.pavement_extra_m,
                             &in.pavement_m, &in.water_depth_m};

        for (size_t k = 0; k < sizeof lengths / sizeof *lengths; k++)
            *lengths[k] *= s;
        const hn_trench other = hn_trench_takeoff(&in);
        assert_close(other.dug_m3, s * s * s * one.dug_m3, 1e-12);
        assert_close(other.bedding_m3, s * s * s * one.bedding_m3, 1e-12);
        assert_close(other.spoil_m3, s * s * s * one.spoil_m3, 1e-11);
        assert_close(other.shoring_m2, s * s * one.shoring_m2, 1e-12);
        assert_close(other.pavement_m2, s * s * one.pavement_m2, 1e-12);
        assert_close(other.drained_m, s * one.drained_m, 1e-12);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(soil_loads_grow_with_cover_and_width),
        cmocka_unit_test(soil_loads_scale_with_the_square),
        cmocka_unit_test(us_and_si_give_one_soil_load),
        cmocka_unit_test(water_relieves_a_third_of_the_soil_at_most),
        cmocka_unit_test(the_share_of_a_wheel_falls_with_depth),
        cmocka_unit_test(traffic_pressure_falls_with_cover),
        cmocka_unit_test(what_is_dug_is_accounted_for),
        cmocka_unit_test(trench_volumes_scale_with_the_cube),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
