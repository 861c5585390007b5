/* Part-full circles by their angle, against the general search and against
 * published ratios. */
#include "engineering/flow_circle.h"
#include "engineering/flow_depth.h"
#include "test_util.h"

#include <math.h>

static hn_flow_model manning(void)
{
    return (hn_flow_model){.law = HN_FLOW_MANNING, .rule = HN_PART_FULL_LAW, .n = 0.013,
                           .slope_m_per_m = 0.01};
}

/* The flow formula itself, straight from the definition. */
static double ratio_at(double depth)
{
    double angle = 2.0 * acos(1.0 - 2.0 * depth);

    return pow(angle - sin(angle), 5.0 / 3.0) /
           (2.0 * 3.14159265358979323846 * pow(angle, 2.0 / 3.0));
}

static void half_full_carries_half(void **state)
{
    (void)state;
    assert_close(hn_circle_depth_of_flow(0.5), 0.5, 1e-12);
    assert_close(hn_circle_area_share(0.5), 0.5, 1e-14);
}

/* Chow (1959), ch. 6: the greatest flow is 1.076 of the full one, at 0.938 D. */
static void the_greatest_flow_lies_below_the_crown(void **state)
{
    (void)state;
    assert_close(hn_circle_most_flow_ratio, 1.076, 5e-4);
    assert_close(hn_circle_most_flow_depth, 0.938, 5e-4);
    assert_close(ratio_at(hn_circle_most_flow_depth), hn_circle_most_flow_ratio, 1e-13);
    assert_true(ratio_at(hn_circle_most_flow_depth + 1e-4) < hn_circle_most_flow_ratio);
    assert_true(ratio_at(hn_circle_most_flow_depth - 1e-4) < hn_circle_most_flow_ratio);
}

static void the_depth_put_back_gives_the_flow(void **state)
{
    (void)state;
    for (double depth = 1e-4; depth < 0.938; depth += 1e-3) {
        double ratio = ratio_at(depth);

        /* near the top of the curve a depth is only as sharp as its square root */
        assert_close(hn_circle_depth_of_flow(ratio), depth, depth > 0.93 ? 1e-6 : 1e-11);
    }
    assert_close(hn_circle_depth_of_flow(0.0), 0.0, 0.0);
    assert_true(hn_circle_depth_of_flow(1e-300) > 0.0);
    assert_close(hn_circle_depth_of_flow(1.001e-31) / hn_circle_depth_of_flow(0.999e-31), 1.0, 1e-3);
    assert_close(hn_circle_depth_of_flow(hn_circle_most_flow_ratio), hn_circle_most_flow_depth, 1e-6);
}

static void what_cannot_be_is_not_a_number(void **state)
{
    (void)state;
    assert_true(isnan(hn_circle_depth_of_flow(-1e-9)));
    assert_true(isnan(hn_circle_depth_of_flow(1.08)));
    assert_true(isnan(hn_circle_depth_of_flow(NAN)));
    assert_true(isnan(hn_circle_area_share(1.01)));
    assert_true(isnan(hn_circle_area_share(NAN)));
}

/* The general search works on any section: a circle whose area is overridden by
 * one part in 1e13 goes that way. */
static void both_ways_agree(void **state)
{
    hn_section circle = hn_section_circle(500.0), other = circle;
    hn_flow_model model = manning();
    double full = hn_flow_full_m3_per_s(&circle, &model);

    (void)state;
    other.area_factor = 1.0 + 1e-13;
    for (double share = 0.01; share < 1.2; share += 0.01) {
        hn_normal_flow a = hn_normal_depth(&circle, &model, share * full, 0.6);
        hn_normal_flow b = hn_normal_depth(&other, &model, share * full, 0.6);

        assert_close(a.depth_m, b.depth_m, share > 1.06 ? 1e-6 : 1e-10);
        assert_close(a.velocity_m_per_s, b.velocity_m_per_s, 1e-6);
        assert_close(a.most_m3_per_s, b.most_m3_per_s, 1e-10);
        assert_int_equal(a.surcharged, b.surcharged);
        assert_int_equal(a.self_cleansing, b.self_cleansing);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(half_full_carries_half),
        cmocka_unit_test(the_greatest_flow_lies_below_the_crown),
        cmocka_unit_test(the_depth_put_back_gives_the_flow),
        cmocka_unit_test(what_cannot_be_is_not_a_number),
        cmocka_unit_test(both_ways_agree),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
