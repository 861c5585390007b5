/* Missing, infinite and impossible numbers in money, flow and sections. */
#include "property_missing.h"

#include "engineering/capacity.h"
#include "engineering/economics.h"
#include "engineering/economics_chain.h"
#include "engineering/flow.h"
#include "engineering/section_depth.h"
#include "engineering/section_elliptic.h"
#include "engineering/trench.h"

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
    assert_true((r.surcharged == HN_UNANSWERED) == isnan(r.depth_m));
    assert_true((r.self_cleansing == HN_UNANSWERED) == isnan(r.depth_m));
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
        cmocka_unit_test(sections_without_an_input_have_no_measures),
        cmocka_unit_test(an_override_beyond_numbers_gives_a_problem),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
