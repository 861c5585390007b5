/* unit/test_flow_depth.c - part-full flow, its maxima and the normal depth. */
#include "engineering/flow_depth.h"
#include "engineering/section_depth.h"
#include "test_util.h"

enum { KINDS = 8, MODELS = 6 };

static hn_section kind(int i)
{
    const hn_section all[KINDS] = {
        hn_section_circle(500.0),
        hn_section_egg_standard(600.0),
        hn_section_egg_new(600.0),
        hn_section_from_size(HN_SECTION_HORSESHOE, 1500.0, 1500.0),
        hn_section_from_size(HN_SECTION_RECTANGLE, 1200.0, 900.0),
        hn_section_from_size(HN_SECTION_ELLIPSE, 900.0, 600.0),
        hn_section_from_size(HN_SECTION_ARCH, 1800.0, 1100.0),
        hn_section_channel(1500.0, 700.0, 600.0),
    };

    return all[i];
}

static hn_flow_model model(int i)
{
    hn_flow_model m = {.law = i % 2 ? HN_FLOW_COLEBROOK : HN_FLOW_MANNING,
                       .n = 0.013,
                       .k_mm = 1.5,
                       .viscosity_m2_per_s = 1.31e-6,
                       .slope_m_per_m = 0.004};

    m.rule = (hn_part_full_rule)(i / 2);
    return m;
}

static void normal_depth_carries_the_flow(void **state)
{
    (void)state;
    for (int i = 0; i < KINDS; i++)
        for (int j = 0; j < MODELS; j++) {
            const hn_section s = kind(i);
            const hn_flow_model m = model(j);
            const double most = hn_peak_flow(&s, &m).flow_m3_per_s;
            for (double share = 0.001; share < 0.999; share += 0.0499) {
                const hn_normal_flow r = hn_normal_depth(&s, &m, share * most, NAN);
                assert_int_equal(r.surcharged, HN_NO);
                assert_close(hn_flow_at_depth_m3_per_s(&s, &m, r.depth_m), share * most, 1e-9);
                assert_close(r.velocity_m_per_s, hn_velocity_at_depth_m_per_s(&s, &m, r.depth_m),
                             1e-9);
                assert_close(r.fill_0_1, r.depth_m / s.height_m, 1e-15);
            }
        }
}

static void no_depth_carries_more_than_the_peak(void **state)
{
    (void)state;
    for (int i = 0; i < KINDS; i++)
        for (int j = 0; j < MODELS; j++) {
            const hn_section s = kind(i);
            const hn_flow_model m = model(j);
            const hn_flow_peak flow = hn_peak_flow(&s, &m), velocity = hn_peak_velocity(&s, &m);
            for (int step = 1; step < 2000; step++) {
                const double depth_m = s.height_m * step / 2000.0;
                const double v = hn_velocity_at_depth_m_per_s(&s, &m, depth_m);
                if (depth_m < 0.003 && isnan(v))
                    continue; /* thinner than the roughness: outside the law */
                assert_true(v <= velocity.velocity_m_per_s * (1.0 + 1e-12));
                assert_true(hn_flow_at_depth_m3_per_s(&s, &m, depth_m) <=
                            flow.flow_m3_per_s * (1.0 + 1e-12));
            }
        }
}

static void a_pipe_carries_more_at_part_depth_than_full(void **state)
{
    const hn_section pipe = hn_section_circle(500.0);
    const hn_flow_model m = model(0);
    const hn_normal_flow r =
        hn_normal_depth(&pipe, &m, 1.05 * hn_flow_full_m3_per_s(&pipe, &m), NAN);

    (void)state;
    assert_int_equal(r.surcharged, HN_NO);
    assert_true(r.fill_0_1 > 0.82 && r.fill_0_1 < 0.9382);
    assert_true(r.most_m3_per_s > r.full_m3_per_s);
}

static void more_than_the_peak_is_a_surcharge(void **state)
{
    const hn_section pipe = hn_section_circle(500.0);
    const hn_flow_model m = model(0);
    const double flow = 1.08 * hn_flow_full_m3_per_s(&pipe, &m);
    const hn_normal_flow r = hn_normal_depth(&pipe, &m, flow, 0.7);

    (void)state;
    assert_int_equal(r.surcharged, HN_YES);
    assert_true(r.depth_m == pipe.height_m && r.fill_0_1 == 1.0);
    assert_close(r.velocity_m_per_s, flow / hn_section_full(&pipe).area_m2, 1e-14);
}

static void slow_flow_is_flagged(void **state)
{
    const hn_section pipe = hn_section_circle(300.0);
    hn_flow_model m = model(0);

    (void)state;
    m.slope_m_per_m = 0.0005;
    assert_int_equal(hn_normal_depth(&pipe, &m, 0.005, 0.7).self_cleansing, HN_NO);
    m.slope_m_per_m = 0.05;
    assert_int_equal(hn_normal_depth(&pipe, &m, 0.005, 0.7).self_cleansing, HN_YES);
    assert_int_equal(hn_normal_depth(&pipe, &m, 0.005, NAN).self_cleansing, HN_UNANSWERED);
    assert_int_equal(hn_normal_depth(&pipe, &m, NAN, 0.7).self_cleansing, HN_UNANSWERED);
    assert_int_equal(hn_normal_depth(&pipe, &m, 0.0, 0.7).self_cleansing, HN_NO);
}

static void half_full_circle_flows_at_the_full_velocity(void **state)
{
    const hn_section pipe = hn_section_circle(500.0);

    (void)state;
    for (int j = 0; j < 4; j++) { /* law and 5/8 rule; the surface brakes in the third */
        const hn_flow_model m = model(j);
        assert_close(hn_velocity_at_depth_m_per_s(&pipe, &m, 0.25),
                     hn_velocity_full_m_per_s(&pipe, &m), 1e-12);
    }
    const hn_flow_model braked = model(4);
    assert_close(hn_velocity_at_depth_m_per_s(&pipe, &braked, 0.25) /
                     hn_velocity_full_m_per_s(&pipe, &braked),
                 pow(1.0 / (1.0 + 1.0 / 3.14159265358979323846), 2.0 / 3.0), 1e-12);
}

static void a_full_box_is_slower_than_an_almost_full_one(void **state)
{
    const hn_section box = hn_section_from_size(HN_SECTION_RECTANGLE, 1200.0, 900.0);
    const hn_flow_model m = model(0);

    (void)state;
    assert_close(hn_peak_flow(&box, &m).depth_m, box.height_m, 1e-9);
    assert_close(hn_peak_flow(&box, &m).flow_m3_per_s / hn_flow_full_m3_per_s(&box, &m),
                 pow((2.0 * 1.2 + 1.8) / (1.2 + 1.8), 2.0 / 3.0), 1e-9);
}

static void what_is_not_known_stays_unknown(void **state)
{
    const hn_section pipe = hn_section_circle(300.0), broken = hn_section_circle(NAN);
    hn_flow_model m = model(0);

    (void)state;
    assert_true(isnan(hn_normal_depth(&broken, &m, 0.01, 0.7).depth_m));
    assert_int_equal(hn_normal_depth(&broken, &m, 0.01, 0.7).surcharged, HN_UNANSWERED);
    assert_true(isnan(hn_normal_depth(&pipe, &m, -0.01, 0.7).depth_m));
    assert_true(isnan(hn_normal_depth(&pipe, &m, INFINITY, 0.7).depth_m));
    assert_true(isnan(hn_velocity_at_depth_m_per_s(&pipe, &m, NAN)));
    assert_true(isnan(hn_velocity_at_depth_m_per_s(&pipe, &m, 0.31)));
    m.slope_m_per_m = NAN;
    assert_true(isnan(hn_peak_flow(&pipe, &m).flow_m3_per_s));
    assert_int_equal(hn_normal_depth(&pipe, &m, 0.01, 0.7).surcharged, HN_UNANSWERED);
    assert_true(isnan(hn_velocity_at_depth_m_per_s(&pipe, &m, 0.0)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(normal_depth_carries_the_flow),
        cmocka_unit_test(no_depth_carries_more_than_the_peak),
        cmocka_unit_test(a_pipe_carries_more_at_part_depth_than_full),
        cmocka_unit_test(more_than_the_peak_is_a_surcharge),
        cmocka_unit_test(slow_flow_is_flagged),
        cmocka_unit_test(half_full_circle_flows_at_the_full_velocity),
        cmocka_unit_test(a_full_box_is_slower_than_an_almost_full_one),
        cmocka_unit_test(what_is_not_known_stays_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
