/* Missing, infinite and impossible numbers in loads and linings. */
#include "property_missing.h"

#include "engineering/grouted.h"
#include "engineering/grouted_quantities.h"
#include "engineering/liner_wall.h"
#include "engineering/load.h"
#include "engineering/load_traffic.h"

/* ---- grouted linings ---- */

CALL2(hn_ring_crown_moment)
CALL2(hn_ring_springline_moment)
CALL3(hn_ring_pressure_moment)
CALL4(hn_grouting_buckling_kpa)
CALL3(hn_profile_buckling_kpa)
CALL5(hn_grout_lift_m)
CALL2(hn_circle_segment_m2)
CALL2(hn_panel_moment_knm_per_m)
CALL3(hn_panel_deflection_m)
CALL2(hn_panel_span_m)
CALL5(hn_grout_volume_m3)
CALL2(hn_annulus_m2)

static size_t wall_results(const hn_composite *c, double *y)
{
    const double all[] = {
        c->thickness_mm,      c->area_mm2_per_m,         c->centroid_mm,
        c->inertia_mm4_per_m, c->slip_inertia_mm4_per_m, c->unbonded_inertia_mm4_per_m,
        c->bond_ratio};

    memcpy(y, all, sizeof all);
    return 7;
}

static size_t call_composite(const double *x, double *y)
{
    const hn_wall_layer layers[] = {{x[0], x[1]}, {x[2], x[3]}};
    const hn_composite c = hn_composite_wall(layers, 2, x[4]);

    return wall_results(&c, y);
}

static size_t call_cracked(const double *x, double *y)
{
    const hn_wall_layer layers[] = {{x[0], x[1]}, {x[2], x[3]}};
    const hn_composite c = hn_cracked_composite_wall(layers, 2, x[4], 1);

    return wall_results(&c, y);
}

static size_t call_cracking(const double *x, double *y)
{
    const hn_composite wall = {.centroid_mm = x[0], .inertia_mm4_per_m = x[1]};

    y[0] = hn_cracking_moment_knm_per_m(&wall, x[2], x[3], x[4]);
    return 1;
}

static size_t call_flotation(const double *x, double *y)
{
    const hn_flotation_input in = {x[0], x[1], x[2], x[3], x[4]};

    y[0] = hn_flotation_kn_per_m(&in, x[5]);
    return 1;
}

static size_t call_first_lift(const double *x, double *y)
{
    const hn_flotation_input in = {x[0], x[1], x[2], x[3], x[4]};

    y[0] = hn_first_lift_m(&in);
    return 1;
}

/* The results that hang on each input differ: those that need them all. */
static size_t call_takeoff(const double *x, double *y)
{
    const hn_grouted_input in = {.length_m = x[0],
                                 .host_area_m2 = x[1],
                                 .liner_area_m2 = x[2],
                                 .host_height_m = x[3],
                                 .allowance = x[4],
                                 .ring_spacing_m = 0.5,
                                 .panels_per_ring = 8,
                                 .ring_m3 = x[5],
                                 .lift_m = x[6],
                                 .pour_length_m = x[7],
                                 .vent_spacing_m = 10,
                                 .grout_kg_per_m3 = 2100,
                                 .delivery_m3 = x[8]};

    y[0] = hn_grouted_takeoff(&in, 3.0).deliveries;
    return 1;
}

/* One result each: rings, joints, weight, vents. */
static size_t call_takeoff_parts(const double *x, double *y)
{
    hn_grouted_input in = {.length_m = 30,
                           .host_area_m2 = 1.2,
                           .liner_area_m2 = 1.0,
                           .host_height_m = 1.3,
                           .allowance = 0.1,
                           .ring_spacing_m = 0.5,
                           .panels_per_ring = 8,
                           .ring_m3 = 0.01,
                           .lift_m = 0.5,
                           .pour_length_m = 12,
                           .vent_spacing_m = 10,
                           .grout_kg_per_m3 = 2100,
                           .delivery_m3 = 6};

    y[0] = hn_grouted_takeoff(&in, x[0]).ring_joints_m;
    in.grout_kg_per_m3 = x[1];
    y[0] += hn_grouted_takeoff(&in, 3.0).grout_kg;
    in.vent_spacing_m = x[2];
    y[0] += hn_grouted_takeoff(&in, 3.0).vents;
    return 1;
}

static void grouted_linings_without_an_input_give_nothing(void **state)
{
    static const law laws[] = {
        LAW(hn_ring_crown_moment, "pp", 20, 0.5),
        LAW(hn_ring_springline_moment, "pp", 20, 0.5),
        LAW(hn_ring_pressure_moment, "ppp", 50, 0.5, 0.5),
        LAW(hn_grouting_buckling_kpa, "pppp", 3000, 20, 980, 0.3),
        LAW(hn_profile_buckling_kpa, "ppp", 1, 0.98, 0.3),
        LAW(hn_grout_lift_m, "ppppp", 60, 2, 5, 3, 18),
        LAW(hn_circle_segment_m2, "pp", 0.5, 0.3),
        LAW(hn_panel_moment_knm_per_m, "pp", 10, 0.5),
        LAW(hn_panel_deflection_m, "ppp", 10, 0.5, 2),
        LAW(hn_panel_span_m, "pp", 10, 0.5),
        LAW(hn_grout_volume_m3, "ppppp", 1.2, 1.0, 30, 0.1, 0.2),
        LAW(hn_annulus_m2, "pp", 1.2, 1.0),
        LAW(composite, "ppppp", 60, 20000, 30, 3000, 20000),
        LAW(cracked, "ppppp", 60, 20000, 30, 3000, 20000),
        LAW(cracking, "spspp", 40, 1e8, 0, 3, 1),
        LAW(flotation, "pppppp", 1.0, 18, 0.8, 2, 1, 0.4),
        LAW(first_lift, "ppppp", 1.0, 18, 0.8, 2, 1),
        LAW(takeoff, "ppppppppp", 30, 1.2, 1.0, 1.3, 0.1, 0.01, 0.5, 12, 6),
        LAW(takeoff_parts, "ppp", 3.0, 2100, 10),
    };

    (void)state;
    CHECK_LAWS(laws);
}

/* ---- loads ---- */

CALL2(hn_buoyancy_factor)
CALL5(hn_total_load_mpa)
CALL3(hn_prism_load_kn_per_m)
CALL3(hn_marston_coefficient)
CALL4(hn_marston_load_kn_per_m)
CALL2(hn_projecting_coefficient)
CALL4(hn_projecting_load_kn_per_m)
CALL3(hn_three_edge_load_kn_per_m)
CALL2(hn_d_load_kn_per_m2)
CALL1(hn_impact_factor)
CALL3(hn_point_load_share)
CALL4(hn_offset_load_share)
CALL3(hn_two_truck_share_per_m)
CALL5(hn_wheel_pressure_kpa)
CALL2(hn_rigid_pavement_factor)
CALL2(hn_square_spread_kpa)
CALL1(hn_lrfd_spread_kpa)
CALL1(hn_tandem_spread_kpa)

static size_t call_tables(const double *x, double *y)
{
    y[0] = hn_live_load_table_kpa(HN_LOAD_TABLE_HIGHWAY, x[0]);
    y[1] = hn_live_load_table_kpa(HN_LOAD_TABLE_RAILWAY, x[0]);
    return 2;
}

static size_t call_wheel(const double *x, double *y)
{
    const hn_wheel_load load = hn_wheel_load_on_pipe(x[0], x[1], x[2], x[3]);

    y[0] = load.line_kn_per_m;
    y[1] = load.pressure_kpa;
    return 2;
}

static void loads_without_an_input_give_nothing(void **state)
{
    static const law laws[] = {
        LAW(hn_buoyancy_factor, "sp", 1, 3),
        LAW(hn_total_load_mpa, "spppp", 1, 3, 19, 0.8, 0.01),
        LAW(hn_prism_load_kn_per_m, "ppp", 19, 3, 0.6),
        LAW(hn_marston_coefficient, "ppp", 0.13, 3, 1.2),
        LAW(hn_marston_coefficient, "ppp", 0, 3, 1.2),
        LAW(hn_marston_load_kn_per_m, "pppp", 0.13, 19, 3, 1.2),
        LAW(hn_projecting_coefficient, "pp", 0.5, 4),
        LAW(hn_projecting_load_kn_per_m, "pppp", 0.5, 19, 3, 0.6),
        LAW(hn_three_edge_load_kn_per_m, "ppp", 30, 1.2, 1.5),
        LAW(hn_d_load_kn_per_m2, "pp", 30, 0.6),
        LAW(hn_impact_factor, "p", 0.5),
        LAW(hn_point_load_share, "ppp", 0.3, 0.45, 1.5),
        LAW(hn_point_load_share, "ppp", 0.3, 0.45, 0),
        LAW(hn_offset_load_share, "ppps", 0.3, 0.45, 1.5, 0.2),
        LAW(hn_two_truck_share_per_m, "ppp", 0.6, 0.9, 1.5),
        LAW(hn_wheel_pressure_kpa, "ppppp", 0.2, 71, 1.15, 0.9, 0.6),
        LAW(hn_rigid_pavement_factor, "pp", 1.5, 0.2),
        LAW(hn_square_spread_kpa, "pp", 71, 1.5),
        LAW(hn_lrfd_spread_kpa, "p", 1.5),
        LAW(hn_tandem_spread_kpa, "p", 1.5),
        LAW(tables, "p", 1.5),
        LAW(wheel, "pppp", 0.6, 1.5, 71, 0.9),
    };

    (void)state;
    CHECK_LAWS(laws);
}

/* ---- liner walls ---- */

CALL1(hn_ovality_factor)
CALL2(hn_elastic_support_luscher)
CALL2(hn_long_term_modulus_mpa)
CALL3(hn_round_up_wall)

static size_t call_support(const double *x, double *y)
{
    y[0] = hn_elastic_support(x[0], HN_LINER_SI);
    y[1] = hn_elastic_support(x[0], HN_LINER_US);
    return 2;
}

static size_t call_pressure(const double *x, double *y)
{
    const hn_liner_wall_input in = {.diameter_mm = x[0],
                                    .ovality_pct = x[1],
                                    .modulus_long_mpa = x[2],
                                    .poisson = x[3],
                                    .enhancement = x[4],
                                    .safety = x[5]};

    y[0] = hn_buckling_pressure_mpa(&in, x[6]);
    return 1;
}

static size_t call_walls(const double *x, double *y)
{
    const hn_liner_wall_input in = {.diameter_mm = x[0],
                                    .modulus_long_mpa = x[1],
                                    .poisson = x[2],
                                    .enhancement = x[3],
                                    .safety = x[4]};

    y[0] = hn_wall_e1_mm(&in, x[5], x[6]);
    return 1;
}

static size_t call_bending(const double *x, double *y)
{
    const hn_liner_wall_input in = {
        .diameter_mm = x[0], .ovality_pct = x[1], .strength_long_mpa = x[2], .safety = x[3]};

    y[0] = hn_wall_e2_mm(&in, x[4]);
    return 1;
}

static size_t call_soil(const double *x, double *y)
{
    const hn_liner_wall_input in = {
        .diameter_mm = x[0], .modulus_long_mpa = x[1], .safety = x[2], .soil_modulus_mpa = x[3]};
    const hn_liner_wall loads = {
        .ovality_factor = x[4], .buoyancy = x[5], .elastic_support = x[6], .total_load_mpa = x[7]};

    y[0] = hn_wall_e3_mm(&in, &loads);
    return 1;
}

static size_t call_stiffness(const double *x, double *y)
{
    const hn_liner_wall_input in = {.diameter_mm = x[0], .modulus_short_mpa = x[1]};

    y[0] = hn_wall_e4_mm(&in);
    return 1;
}

static size_t call_design(const double *x, double *y)
{
    const hn_liner_wall_input in = {
        x[0],       x[1], x[2],  x[3],  x[4],  x[5],  x[6], x[7],
        x[8],       x[9], x[10], x[11], x[12], x[13], 1,    HN_LINER_SINCE_2007B,
        HN_LINER_SI};
    const hn_liner_wall wall = hn_liner_wall_design(&in);

    y[0] = wall.required_mm;
    assert_true((wall.status == HN_LINER_DESIGNED) == isfinite(wall.required_mm));
    return 1;
}

static void liner_walls_without_an_input_are_not_designed(void **state)
{
    static const law laws[] = {
        LAW(hn_ovality_factor, "p", 3),
        LAW(hn_elastic_support_luscher, "pp", 3, 0.6),
        LAW(hn_long_term_modulus_mpa, "pp", 2000, 0.5),
        LAW(hn_round_up_wall, "psp", 7.3, 3, 0.5),
        LAW(hn_round_up_wall, "psp", 7.3, 9, 0.5),
        LAW(support, "p", 3),
        LAW(pressure, "ppppppp", 600, 2, 1000, 0.3, 7, 2, 9),
        LAW(walls, "pppppps", 600, 1000, 0.3, 7, 2, 0.83, 0.03),
        LAW(bending, "pppps", 600, 2, 30, 2, 0.03),
        LAW(soil, "pppppppp", 600, 1000, 2, 7, 0.83, 0.8, 0.3, 0.08),
        LAW(stiffness, "pp", 600, 2000),
        LAW(design, "ppppppppsspppp", 600, 2, 2000, 1000, 30, 0.3, 7, 2, 3, 2.4, 4, 19, 7, 0.01),
        LAW(design, "pppp...psspppp", 600, 0, 2000, 1000, 30, 0.3, 7, 2, 0, 0, 4, 19, 7, 0.01),
    };

    (void)state;
    CHECK_LAWS(laws);
}

static void an_infinite_input_is_out_of_range(void **state)
{
    const hn_liner_wall_input sound = {
        600,        2, 2000, 1000, 30, 0.3, 7, 2, 3, 2.4, 4, 19, 7, 0.01, 1, HN_LINER_SINCE_2007B,
        HN_LINER_SI};

    (void)state;
    for (size_t k = 0; k < 14; k++) {
        hn_liner_wall_input in = sound;
        double *fields = (double *)&in;

        fields[k] = INFINITY;
        assert_int_equal(hn_liner_wall_design(&in).status, HN_LINER_OUT_OF_RANGE);
        fields[k] = -INFINITY;
        assert_int_equal(hn_liner_wall_design(&in).status, HN_LINER_OUT_OF_RANGE);
        fields[k] = NAN;
        assert_int_equal(hn_liner_wall_design(&in).status, HN_LINER_UNKNOWN);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(grouted_linings_without_an_input_give_nothing),
        cmocka_unit_test(loads_without_an_input_give_nothing),
        cmocka_unit_test(liner_walls_without_an_input_are_not_designed),
        cmocka_unit_test(an_infinite_input_is_out_of_range),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
