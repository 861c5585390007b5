/* Laws of flow in sections of any shape: scale, direction, and depths and
 * roughnesses that come back from the flow they gave. */
#include "property_section.h"

#include "engineering/capacity.h"
#include "engineering/flow.h"
#include "engineering/flow_depth.h"

enum { FLOW_CASES = 60 };

#define FOR_FLOWS(seed)                                            \
    draws d = {seed};                                              \
    double xy[2 * RECIPE_POINTS_MAX];                              \
    for (int kind = 0; kind < RECIPE_KINDS; kind++)                \
        for (int i = 0; i < FLOW_CASES; i++) {                     \
            const recipe r = random_recipe(&d, (recipe_kind)kind); \
            const hn_section s = build_recipe(&r, 1, xy);          \
            const hn_flow_model m = random_model(&d);
#define END_FLOWS }

/* Turbulent: slopes of sewers and roughness below a twentieth of the pipe. */
static hn_flow_model random_model(draws *d)
{
    return (hn_flow_model){.law = (hn_flow_law)draw_below(d, 2),
                           .rule = (hn_part_full_rule)draw_below(d, 3),
                           .n = draw(d, 0.008, 0.02),
                           .k_mm = draw_log(d, 0.05, 5),
                           .viscosity_m2_per_s = HN_VISCOSITY_10C_M2_PER_S,
                           .slope_m_per_m = draw_log(d, 1e-3, 0.1)};
}

/* Manning: A R^(2/3), so lengths times k carry k^(8/3); at any fill and rule. */
static void manning_flow_scales_with_eight_thirds(void **state)
{
    (void)state;
    FOR_FLOWS(1)
    double other_xy[2 * RECIPE_POINTS_MAX];
    const double k = draw_log(&d, 0.3, 3), fill = draw(&d, 0.02, 0.99), y = fill * s.height_m;
    const hn_section t = build_recipe(&r, k, other_xy);
    hn_flow_model manning = m;

    manning.law = HN_FLOW_MANNING;
    const hn_flow_peak a = hn_peak_flow(&s, &manning), b = hn_peak_flow(&t, &manning);
    const double more = pow(k, 8.0 / 3), faster = pow(k, 2.0 / 3);
    assert_close(hn_flow_full_m3_per_s(&t, &manning), more * hn_flow_full_m3_per_s(&s, &manning),
                 1e-12);
    assert_close(hn_velocity_at_depth_m_per_s(&t, &manning, k * y),
                 faster * hn_velocity_at_depth_m_per_s(&s, &manning, y), 1e-9);
    assert_close(hn_flow_at_depth_m3_per_s(&t, &manning, k * y),
                 more * hn_flow_at_depth_m3_per_s(&s, &manning, y), 1e-9);
    assert_close(b.flow_m3_per_s, more * a.flow_m3_per_s, 1e-9);
    END_FLOWS
}

static void smoother_and_steeper_pipes_carry_more(void **state)
{
    (void)state;
    FOR_FLOWS(2)
    const double y = s.height_m * draw(&d, 0.2, 1), q = hn_flow_at_depth_m3_per_s(&s, &m, y);
    hn_flow_model rough = m, steep = m;

    rough.n *= 1.1;
    rough.k_mm *= 1.1;
    steep.slope_m_per_m *= 1.1;
    assert_true(hn_flow_at_depth_m3_per_s(&s, &rough, y) < q);
    assert_true(hn_flow_at_depth_m3_per_s(&s, &steep, y) > q);
    assert_true(hn_flow_full_m3_per_s(&s, &rough) < hn_flow_full_m3_per_s(&s, &m));
    steep.slope_m_per_m = 4 * m.slope_m_per_m; /* Manning: the root of the slope */
    if (m.law == HN_FLOW_MANNING)
        assert_close(hn_flow_at_depth_m3_per_s(&s, &steep, y), 2 * q, 1e-13);
    else
        assert_true(hn_flow_at_depth_m3_per_s(&s, &steep, y) > 2 * q); /* less viscous drag */
    END_FLOWS
}

static void no_depth_carries_more_than_the_peak(void **state)
{
    (void)state;
    FOR_FLOWS(3)
    const hn_flow_peak q = hn_peak_flow(&s, &m), v = hn_peak_velocity(&s, &m);

    assert_true(q.depth_m > 0 && q.depth_m <= s.height_m);
    for (int k = 1; k <= 40; k++) {
        const double y = s.height_m * (k - draw(&d, 0, 1)) / 40;
        const double flow = hn_flow_at_depth_m3_per_s(&s, &m, y);
        const double speed = hn_velocity_at_depth_m_per_s(&s, &m, y);

        assert_law(!(flow > q.flow_m3_per_s * (1 + 1e-9)),
                   "kind %d, case %d: %.12g at %g, peak %.12g at %g", kind, i, flow, y,
                   q.flow_m3_per_s, q.depth_m);
        assert_law(!(speed > v.velocity_m_per_s * (1 + 1e-9)),
                   "kind %d, case %d: %.12g at %g, peak %.12g at %g", kind, i, speed, y,
                   v.velocity_m_per_s, v.depth_m);
    }
    END_FLOWS
}

/* The depth put back carries the flow; below the peak more flow is deeper. A
 * star has bays: its curve may turn back, so only the flow is asked. */
static void a_normal_depth_carries_its_flow(void **state)
{
    (void)state;
    FOR_FLOWS(4)
    const hn_flow_peak most = hn_peak_flow(&s, &m);
    const double q = most.flow_m3_per_s * draw(&d, 0.01, 0.999);
    const hn_normal_flow at = hn_normal_depth(&s, &m, q, 0.6);
    const hn_normal_flow more = hn_normal_depth(&s, &m, q * 1.001, 0.6);
    const hn_normal_flow over = hn_normal_depth(&s, &m, most.flow_m3_per_s * 1.001, 0.6);

    assert_close(hn_flow_at_depth_m3_per_s(&s, &m, at.depth_m), q, 1e-9);
    assert_close(at.fill_0_1 * s.height_m, at.depth_m, 1e-14);
    assert_close(at.velocity_m_per_s, hn_velocity_at_depth_m_per_s(&s, &m, at.depth_m), 1e-9);
    assert_int_equal(at.surcharged, HN_NO);
    assert_int_equal(at.self_cleansing, at.velocity_m_per_s >= 0.6 ? HN_YES : HN_NO);
    assert_int_equal(over.surcharged, HN_YES);
    assert_true(over.depth_m == s.height_m);
    if (kind != RECIPE_STAR && more.surcharged == HN_NO)
        assert_true(more.depth_m >= at.depth_m);
    END_FLOWS
}

static void roughness_comes_back_from_the_velocity(void **state)
{
    draws d = {5};

    (void)state;
    for (int i = 0; i < 4000; i++) {
        const double radius = draw_log(&d, 0.02, 1), n = draw(&d, 0.008, 0.03);
        const double slope = draw_log(&d, 1e-4, 0.1), k = draw_log(&d, 0.01, 5);
        const double v = hn_manning_velocity_m_per_s(radius, n, slope);
        const double rough = hn_colebrook_velocity_m_per_s(radius, k, slope, 1.31e-6);

        assert_close(hn_equivalent_manning_n(radius, v, slope), n, 1e-14);
        assert_close(hn_manning_velocity_m_per_s(
                         radius, hn_equivalent_manning_n(radius, rough, slope), slope),
                     rough, 1e-14);
        assert_true(hn_colebrook_velocity_m_per_s(radius * 1.01, k, slope, 1.31e-6) > rough);
        assert_true(hn_colebrook_velocity_m_per_s(radius, k * 1.01, slope, 1.31e-6) < rough);
        assert_true(hn_colebrook_velocity_m_per_s(radius, k, slope, 1.141e-6) > rough);
        /* Darcy-Weisbach with the friction factor that this velocity means,
         * put into Colebrook's own equation */
        const double dia = 4 * radius, f = 2 * HN_GRAVITY_M_PER_S2 * dia * slope / (rough * rough);
        assert_close(1 / sqrt(f),
                     -2 * log10(k / 1000 / (3.71 * dia) + 2.51 * 1.31e-6 / (rough * dia * sqrt(f))),
                     1e-12);
    }
}

static void capacity_before_and_after_agrees_with_itself(void **state)
{
    (void)state;
    FOR_FLOWS(6)
    const hn_section after = hn_section_inset(&s, r.width * 0.01);
    const double before_k = m.law == HN_FLOW_MANNING ? m.n : m.k_mm, after_k = before_k * 0.8;
    hn_capacity_rules rules = {m.law, m.slope_m_per_m, m.viscosity_m2_per_s, draw(&d, 0, 0.3), NAN,
                               NAN};
    const hn_capacity_change c = hn_capacity_compare(&s, before_k, &after, after_k, &rules);
    const hn_capacity_change back = hn_capacity_compare(&after, after_k, &s, before_k, &rules);

    if (after.problem)
        continue;
    assert_close(c.ratio, c.after.flow_m3_per_s / c.before.flow_m3_per_s, 1e-12);
    assert_close(c.ratio * back.ratio, 1, 1e-12);
    assert_true(fabs(c.loss_pct - 100 * (1 - c.ratio)) < 1e-12);
    assert_true(hn_capacity_compare(&s, before_k, &after, after_k * 0.9, &rules).ratio > c.ratio);
    if (m.law == HN_FLOW_MANNING) /* at the break-even roughness nothing changes */
        assert_close(hn_capacity_compare(&s, m.n, &after, m.n * c.break_even_n_ratio, &rules).ratio,
                     1, 1e-12);
    rules.required_m3_per_s = c.after.flow_m3_per_s * 0.99;
    rules.loss_limit_pct = c.loss_pct - 1;
    const hn_capacity_change gate = hn_capacity_compare(&s, before_k, &after, after_k, &rules);
    assert_int_equal(gate.carries_required, HN_YES);
    assert_int_equal(gate.loss_beyond_limit, HN_YES);
    END_FLOWS
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(manning_flow_scales_with_eight_thirds),
        cmocka_unit_test(smoother_and_steeper_pipes_carry_more),
        cmocka_unit_test(no_depth_carries_more_than_the_peak),
        cmocka_unit_test(a_normal_depth_carries_its_flow),
        cmocka_unit_test(roughness_comes_back_from_the_velocity),
        cmocka_unit_test(capacity_before_and_after_agrees_with_itself),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
