/* What is not a number, or cannot be one, never turns into a plausible answer:
 * one table of every engineering function that takes numbers, each argument in
 * turn replaced by NaN, both infinities and a number below its range. */
#include "property.h"

#include "engineering/capacity.h"
#include "engineering/economics.h"
#include "engineering/economics_chain.h"
#include "engineering/flow.h"
#include "engineering/grouted.h"
#include "engineering/grouted_quantities.h"
#include "engineering/liner_wall.h"
#include "engineering/load.h"
#include "engineering/load_traffic.h"
#include "engineering/section_depth.h"
#include "engineering/section_elliptic.h"
#include "engineering/trench.h"

#include <string.h>

enum { ARGUMENTS_MAX = 16, RESULTS_MAX = 16 };

/* Fills y with the results that need every argument; returns how many. */
typedef size_t (*called)(const double *x, double *y);

/* One letter an argument.
 *   p  below 0 is out of range
 *   s  any sign has a meaning
 *   r  a rate: -1 and less is out of range
 *   .  does not count in this case */
typedef struct law {
    const char *name;
    called call;
    const char *kinds;
    double good[ARGUMENTS_MAX];
} law;

#define CALL1(f)                                       \
    static size_t call_##f(const double *x, double *y) \
    {                                                  \
        y[0] = f(x[0]);                                \
        return 1;                                      \
    }
#define CALL2(f)                                       \
    static size_t call_##f(const double *x, double *y) \
    {                                                  \
        y[0] = f(x[0], x[1]);                          \
        return 1;                                      \
    }
#define CALL3(f)                                       \
    static size_t call_##f(const double *x, double *y) \
    {                                                  \
        y[0] = f(x[0], x[1], x[2]);                    \
        return 1;                                      \
    }
#define CALL4(f)                                       \
    static size_t call_##f(const double *x, double *y) \
    {                                                  \
        y[0] = f(x[0], x[1], x[2], x[3]);              \
        return 1;                                      \
    }
#define CALL5(f)                                       \
    static size_t call_##f(const double *x, double *y) \
    {                                                  \
        y[0] = f(x[0], x[1], x[2], x[3], x[4]);        \
        return 1;                                      \
    }
#define LAW(f, kinds, ...)   \
    {                        \
#f, call_##f, kinds, \
        {                    \
            __VA_ARGS__      \
        }                    \
    }

static void check_bad(const law *l, int argument, double bad)
{
    double x[ARGUMENTS_MAX], y[RESULTS_MAX];
    size_t results;

    memcpy(x, l->good, sizeof x);
    x[argument] = bad;
    results = l->call(x, y);
    for (size_t i = 0; i < results; i++)
        assert_law(!isfinite(y[i]), "%s, argument %d = %g: result %zu is %.17g", l->name,
                   argument + 1, bad, i, y[i]);
    if (isnan(bad))
        for (size_t i = 0; i < results; i++)
            assert_law(isnan(y[i]), "%s, argument %d = NaN: result %zu is %g", l->name,
                       argument + 1, i, y[i]);
}

static void check_law(const law *l)
{
    double y[RESULTS_MAX];
    size_t results = l->call(l->good, y);

    for (size_t i = 0; i < results; i++)
        assert_law(isfinite(y[i]), "%s: result %zu of sound arguments is %g", l->name, i, y[i]);
    for (int a = 0; l->kinds[a]; a++) {
        if (l->kinds[a] == '.')
            continue;
        check_bad(l, a, NAN);
        check_bad(l, a, INFINITY);
        check_bad(l, a, -INFINITY);
        if (l->kinds[a] == 'p')
            check_bad(l, a, -0.5);
        if (l->kinds[a] == 'r') {
            check_bad(l, a, -1.0);
            check_bad(l, a, -3.0);
        }
    }
}

#define CHECK_LAWS(laws)                                          \
    for (size_t i_ = 0; i_ < sizeof(laws) / sizeof *(laws); i_++) \
    check_law(&(laws)[i_])

/* ---- economics ---- */

CALL2(hn_factor_pf)
CALL2(hn_factor_fp)
CALL2(hn_factor_pa)
CALL2(hn_factor_ap)
CALL2(hn_factor_fa)
CALL2(hn_factor_af)
CALL2(hn_factor_pg)
CALL2(hn_factor_ag)
CALL3(hn_factor_escalating_pa)
CALL3(hn_factor_escalating_pf)
CALL2(hn_nominal_rate)
CALL2(hn_real_rate)
CALL2(hn_implied_inflation)
CALL3(hn_escalate_by_index)
CALL3(hn_residual_value)
CALL5(hn_equivalent_annual_cost)
CALL2(hn_round_money)
CALL3(hn_break_even_ratio)

static size_t call_present_value(const double *x, double *y)
{
    y[0] = hn_present_value(x[0], x[1], x[2], 0);
    y[1] = hn_present_value(x[0], x[1], x[2], 1);
    return 2;
}

static size_t call_markups(const double *x, double *y)
{
    const hn_percent_step steps[] = {{x[1], 1}, {x[2], 0}};

    y[0] = hn_add_markups(x[0], steps, 2, x[3], NULL);
    return 1;
}

static size_t call_interpolate(const double *x, double *y)
{
    const double sizes[] = {100, 200, 400}, rates[] = {10, 15, 30};
    hn_rate_fit fit;

    y[0] = hn_interpolate_rate(sizes, rates, 3, x[0], &fit);
    return 1;
}

static size_t call_chain(const double *x, double *y)
{
    const hn_chain_plan plan = {{x[0], x[1], x[2]}, 1, {x[3], x[4], x[5]}, x[6], x[7], 1};
    const hn_chain chain = hn_replacement_chain(&plan);

    y[0] = chain.present_value;
    y[1] = chain.annual_cost;
    return 2;
}

static void economics_without_an_input_gives_nothing(void **state)
{
    static const law laws[] = {
        LAW(hn_factor_pf, "rp", 0.03, 10),
        LAW(hn_factor_fp, "rp", 0.03, 10),
        LAW(hn_factor_pa, "rp", 0.03, 10),
        LAW(hn_factor_ap, "rp", 0.03, 10),
        LAW(hn_factor_fa, "rp", 0.03, 10),
        LAW(hn_factor_af, "rp", 0.03, 10),
        LAW(hn_factor_pg, "rp", 0.03, 10),
        LAW(hn_factor_ag, "rp", 0.03, 10),
        LAW(hn_factor_pa, "rp", 0.0, 10),
        LAW(hn_factor_pg, "rp", 0.0, 10),
        LAW(hn_factor_escalating_pa, "rrp", 0.03, 0.01, 10),
        LAW(hn_factor_escalating_pf, "rrp", 0.03, 0.01, 10),
        LAW(hn_nominal_rate, "rr", 0.02, 0.01),
        LAW(hn_real_rate, "rr", 0.02, 0.01),
        LAW(hn_implied_inflation, "rr", 0.02, 0.01),
        LAW(hn_escalate_by_index, "spp", 100, 90, 110),
        LAW(hn_residual_value, "spp", 100, 50, 20),
        LAW(hn_residual_value, "spp", 100, 50, 60),
        LAW(hn_equivalent_annual_cost, "sssrp", 100, 10, 2, 0.03, 20),
        LAW(hn_round_money, "sp", 123.4, 5),
        LAW(hn_break_even_ratio, "ppr", 50, 100, 0.03),
        LAW(present_value, "srp", 100, 0.03, 10),
        LAW(markups, "sssp", 100, 10, 20, 0.01),
        LAW(interpolate, "p", 300),
        LAW(chain, "spsspsrp", 100, 50, 1, 300, 40, 2, 0.03, 130),
    };

    (void)state;
    CHECK_LAWS(laws);
}

/* ---- flow ---- */

CALL3(hn_manning_velocity_m_per_s)
CALL4(hn_colebrook_velocity_m_per_s)
CALL3(hn_equivalent_manning_n)

static hn_section_measures measures(double area_m2, double radius_m)
{
    return (hn_section_measures){area_m2, area_m2 / radius_m, radius_m, NAN, NAN};
}

static size_t call_full(const double *x, double *y)
{
    const hn_section_measures full = measures(x[0], x[1]);

    y[0] = hn_manning_full_m3_per_s(&full, x[2], x[3]);
    return 1;
}

static size_t call_colebrook_full(const double *x, double *y)
{
    const hn_section_measures full = measures(x[0], x[1]);

    y[0] = hn_colebrook_full_m3_per_s(&full, x[2], x[3], x[4]);
    return 1;
}

static size_t call_ratio(const double *x, double *y)
{
    const hn_section_measures before = measures(x[0], x[1]), after = measures(x[2], x[3]);

    y[0] = hn_manning_capacity_ratio(&before, x[4], &after, x[5]);
    return 1;
}

static size_t call_break_even(const double *x, double *y)
{
    const hn_section_measures before = measures(x[0], x[1]), after = measures(x[2], x[3]);

    y[0] = hn_break_even_roughness(&before, &after);
    return 1;
}

static size_t call_manning_depth(const double *x, double *y)
{
    const hn_section s = hn_section_circle(x[0]);
    const hn_flow_model model = {.n = x[1], .slope_m_per_m = x[2]};

    y[0] = hn_velocity_at_depth_m_per_s(&s, &model, x[3]);
    y[1] = hn_flow_at_depth_m3_per_s(&s, &model, x[3]);
    return 2;
}

static size_t call_colebrook_depth(const double *x, double *y)
{
    const hn_section s = hn_section_circle(x[0]);
    const hn_flow_model model = {
        .law = HN_FLOW_COLEBROOK, .k_mm = x[1], .viscosity_m2_per_s = x[2], .slope_m_per_m = x[3]};

    y[0] = hn_velocity_at_depth_m_per_s(&s, &model, x[4]);
    y[1] = hn_flow_at_depth_m3_per_s(&s, &model, x[4]);
    return 2;
}

static size_t call_peaks(const double *x, double *y)
{
    const hn_section s = hn_section_circle(x[0]);
    const hn_flow_model model = {.n = x[1], .slope_m_per_m = x[2]};
    const hn_flow_peak v = hn_peak_velocity(&s, &model), q = hn_peak_flow(&s, &model);
    const double all[] = {v.depth_m,
                          v.velocity_m_per_s,
                          v.flow_m3_per_s,
                          q.depth_m,
                          q.velocity_m_per_s,
                          q.flow_m3_per_s,
                          hn_velocity_full_m_per_s(&s, &model),
                          hn_flow_full_m3_per_s(&s, &model)};

    memcpy(y, all, sizeof all);
    return 8;
}

static size_t call_normal(const double *x, double *y)
{
    const hn_section s = hn_section_circle(x[0]);
    const hn_flow_model model = {.n = x[1], .slope_m_per_m = x[2]};
    const hn_normal_flow r = hn_normal_depth(&s, &model, x[3], 0.6);

    y[0] = r.depth_m;
    y[1] = r.fill_0_1;
    y[2] = r.velocity_m_per_s;
    assert_true((r.surcharged == HN_UNKNOWN) == isnan(r.depth_m));
    assert_true((r.self_cleansing == HN_UNKNOWN) == isnan(r.depth_m));
    return 3;
}

static size_t call_capacity(const double *x, double *y)
{
    const hn_section before = hn_section_circle(x[0]), after = hn_section_circle(x[1]);
    const hn_capacity_rules rules = {HN_FLOW_MANNING, x[4], 0, x[5], NAN, NAN};
    const hn_capacity_change c = hn_capacity_compare(&before, x[2], &after, x[3], &rules);

    y[0] = c.before.flow_m3_per_s + c.after.flow_m3_per_s;
    return 1;
}

static void flow_without_an_input_gives_nothing(void **state)
{
    static const law laws[] = {
        LAW(hn_manning_velocity_m_per_s, "ppp", 0.1, 0.013, 0.004),
        LAW(hn_colebrook_velocity_m_per_s, "pppp", 0.1, 1.5, 0.004, 1.31e-6),
        LAW(hn_equivalent_manning_n, "ppp", 0.1, 1, 0.004),
        LAW(full, "pppp", 0.1, 0.1, 0.013, 0.004),
        LAW(colebrook_full, "ppppp", 0.1, 0.1, 1.5, 0.004, 1.31e-6),
        LAW(ratio, "pppppp", 0.2, 0.12, 0.15, 0.1, 0.013, 0.01),
        LAW(break_even, "pppp", 0.2, 0.12, 0.15, 0.1),
        LAW(manning_depth, "pppp", 400, 0.013, 0.004, 0.15),
        LAW(manning_depth, "pppp", 400, 0.013, 0.004, 0.0),
        LAW(colebrook_depth, "ppppp", 400, 1.5, 1.31e-6, 0.004, 0.15),
        LAW(peaks, "ppp", 400, 0.013, 0.004),
        LAW(normal, "pppp", 400, 0.013, 0.004, 0.05),
        LAW(normal, "pppp", 400, 0.013, 0.004, 0.0),
        LAW(normal, "pppp", 400, 0.013, 0.004, 5.0),
        LAW(capacity, "pppppp", 400, 380, 0.013, 0.01, 0.004, 0.1),
    };

    (void)state;
    CHECK_LAWS(laws);
}

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

/* ---- sections and trenches ---- */

CALL2(hn_ellipse_perimeter)
CALL3(hn_ellipse_arc_length)
CALL3(hn_trench_least_width_m)

static size_t section_results(const hn_section *s, double *y)
{
    const hn_section_measures m = hn_section_full(s);

    y[0] = m.area_m2;
    y[1] = m.perimeter_m;
    y[2] = m.hydraulic_radius_m;
    assert_true((s->problem == NULL) == isfinite(m.area_m2));
    return 3;
}

#define CALL_SECTION(name, built)                         \
    static size_t call_##name(const double *x, double *y) \
    {                                                     \
        const hn_section s = built;                       \
                                                          \
        return section_results(&s, y);                    \
    }

CALL_SECTION(circle, hn_section_circle(x[0]))
CALL_SECTION(egg, hn_section_egg(x[0], x[1], x[2]))
CALL_SECTION(egg_standard, hn_section_egg_standard(x[0]))
CALL_SECTION(egg_new, hn_section_egg_new(x[0]))
CALL_SECTION(egg_sized, hn_section_from_size(HN_SECTION_EGG, x[0], x[1]))
CALL_SECTION(horseshoe_sized, hn_section_from_size(HN_SECTION_HORSESHOE, x[0], x[1]))
CALL_SECTION(rectangle, hn_section_from_size(HN_SECTION_RECTANGLE, x[0], x[1]))
CALL_SECTION(ellipse, hn_section_from_size(HN_SECTION_ELLIPSE, x[0], x[1]))
CALL_SECTION(arch_sized, hn_section_from_size(HN_SECTION_ARCH, x[0], x[1]))
CALL_SECTION(channel_sized, hn_section_from_size(HN_SECTION_CHANNEL, x[0], x[1]))
CALL_SECTION(horseshoe, hn_section_horseshoe(x[0], x[1], x[2], 900, 800))
CALL_SECTION(arch, hn_section_arch(x[0], x[1], x[2]))
CALL_SECTION(channel, hn_section_channel(x[0], x[1], x[2]))
CALL_SECTION(known, hn_section_known(x[0], x[1]))
CALL_SECTION(polygon, hn_section_polygon(x, 3))

static size_t call_inset(const double *x, double *y)
{
    const hn_section host = hn_section_egg_standard(x[0]);
    const hn_section s = hn_section_inset_unequal(&host, x[1], x[2], x[3]);

    return section_results(&s, y);
}

/* NaN in an override means "keep", so only the infinite and the negative. */
static void an_override_beyond_numbers_gives_a_problem(void **state)
{
    static const double bad[] = {INFINITY, -INFINITY, -1.0, 0.0};
    const hn_section circle = hn_section_circle(500), none = hn_section_circle(NAN);

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        assert_non_null(hn_section_override(circle, bad[i], NAN).problem);
        assert_non_null(hn_section_override(circle, NAN, bad[i]).problem);
        assert_non_null(hn_section_override(circle, bad[i], bad[i]).problem);
        assert_non_null(hn_section_override(none, bad[i], 0.1).problem);
    }
}

static size_t call_at_depth(const double *x, double *y)
{
    const hn_section s = hn_section_circle(x[0]);
    const hn_section_wet wet = hn_section_at_depth(&s, x[1]);
    const double all[] = {wet.depth_m, wet.area_m2, wet.perimeter_m, wet.hydraulic_radius_m,
                          wet.top_width_m};

    memcpy(y, all, sizeof all);
    return 5;
}

static size_t call_depth_of(const double *x, double *y)
{
    const hn_section s = hn_section_circle(x[0]);

    y[0] = hn_section_depth_from_area(&s, x[1]);
    return 1;
}

static size_t trench_results(const hn_trench_input *in, double *y)
{
    const hn_trench t = hn_trench_takeoff(in);
    const double all[] = {t.depth_m,    t.width_m,     t.top_width_m, t.dug_m3,   t.pipe_m3,
                          t.bedding_m3, t.backfill_m3, t.imported_m3, t.spoil_m3, t.pavement_m2};

    memcpy(y, all, sizeof all);
    return 10;
}

/* No width: the least one, for which the inside diameter is needed. */
static size_t call_trench(const double *x, double *y)
{
    const hn_trench_input in = {x[0], x[1], x[2], x[3], x[4], x[5],  NAN,
                                x[6], 1.5,  x[7], x[8], x[9], x[10], 2};

    return trench_results(&in, y);
}

static size_t call_wide_trench(const double *x, double *y)
{
    const hn_trench_input in = {40,   NAN, x[0], 3,   0.15, 0.3,  x[1],
                                x[2], 1.5, 0.2,  0.2, 0.5,  1.25, 2};

    return trench_results(&in, y);
}

static void sections_without_an_input_have_no_measures(void **state)
{
    static const law laws[] = {
        LAW(circle, "p", 500),
        LAW(egg, "ppp", 300, 100, 900),
        LAW(egg_standard, "p", 600),
        LAW(egg_new, "p", 600),
        LAW(egg_sized, "pp", 600, 900),
        LAW(horseshoe_sized, "pp", 600, 700),
        LAW(rectangle, "pp", 600, 700),
        LAW(ellipse, "pp", 600, 700),
        LAW(arch_sized, "pp", 600, 700),
        LAW(channel_sized, "pp", 600, 700),
        LAW(horseshoe, "ppp", 800, 1000, 100),
        LAW(arch, "ppp", 800, 1000, 400),
        LAW(channel, "ppp", 800, 500, 600),
        LAW(known, "pp", 1.0, 0.25),
        LAW(polygon, "ssssss", 0, 0, 1, 0, 0.5, 1),
        LAW(inset, "pppp", 600, 10, 8, 12),
        LAW(depth_of, "pp", 500, 0.1),
        LAW(hn_ellipse_perimeter, "pp", 0.5, 0.7),
        LAW(hn_ellipse_arc_length, "pps", 0.5, 0.7, 0.3),
        LAW(hn_trench_least_width_m, "ppp", 0.6, 0.7, 3),
    };
    static const law wet = LAW(at_depth, "pp", 500, 0.1);
    static const law wide = LAW(wide_trench, "ppp", 0.7, 1.6, 0.1);
    static const law trench =
        LAW(trench, "ppppppppppp", 40, 0.6, 0.7, 3, 0.15, 0.3, 0, 0.2, 0.2, 0.5, 1.25);

    (void)state;
    CHECK_LAWS(laws);
    check_law(&wet);
    check_law(&trench);
    check_law(&wide);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(economics_without_an_input_gives_nothing),
        cmocka_unit_test(flow_without_an_input_gives_nothing),
        cmocka_unit_test(grouted_linings_without_an_input_give_nothing),
        cmocka_unit_test(loads_without_an_input_give_nothing),
        cmocka_unit_test(liner_walls_without_an_input_are_not_designed),
        cmocka_unit_test(sections_without_an_input_have_no_measures),
        cmocka_unit_test(an_override_beyond_numbers_gives_a_problem),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
