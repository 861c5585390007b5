/* unit/test_capacity.c - capacity before and after a lining, and its verdicts. */
#include "engineering/capacity.h"
#include "test_util.h"

static const hn_capacity_rules plain = {.law = HN_FLOW_MANNING,
                                        .slope_m_per_m = 0.004,
                                        .viscosity_m2_per_s = 1.31e-6,
                                        .required_m3_per_s = NAN,
                                        .loss_limit_pct = NAN};

static hn_capacity_change lined_circle(double k_before, double k_after,
                                       const hn_capacity_rules *rules)
{
    const hn_section host = hn_section_circle(300.0), liner = hn_section_inset(&host, 6.0);

    return hn_capacity_compare(&host, k_before, &liner, k_after, rules);
}

static void without_slope_manning_still_knows_the_ratio(void **state)
{
    hn_capacity_rules rules = plain;
    const double with_slope = lined_circle(0.013, 0.010, &rules).ratio;

    (void)state;
    rules.slope_m_per_m = NAN;
    const hn_capacity_change c = lined_circle(0.013, 0.010, &rules);
    assert_close(c.ratio, with_slope, 1e-14);
    assert_true(isnan(c.before.flow_m3_per_s) && isnan(c.after.flow_m3_per_s));
    rules.law = HN_FLOW_COLEBROOK;
    assert_true(isnan(lined_circle(1.5, 0.25, &rules).ratio));
}

/* DN 300, 6 mm: k 1.5 to 0.25 mm gains 11.5 %, 0.75 to 0.75 mm loses 10.2 %
 * (worked out independently, see capacity_checks.csv for the second). */
static void the_roughness_pair_decides_the_sign(void **state)
{
    hn_capacity_rules rules = plain;

    (void)state;
    rules.law = HN_FLOW_COLEBROOK;
    rules.slope_m_per_m = 0.005;
    assert_true(fabs(lined_circle(1.5, 0.25, &rules).loss_pct + 11.5) < 0.1);
    assert_true(fabs(lined_circle(0.75, 0.75, &rules).loss_pct - 10.2355) < 1e-3);
}

static void the_same_allowance_on_both_sides_leaves_the_ratio(void **state)
{
    hn_capacity_rules rules = plain;
    const hn_capacity_change bare = lined_circle(0.013, 0.010, &rules);

    (void)state;
    rules.allowance_0_1 = 0.2;
    const hn_capacity_change worn = lined_circle(0.013, 0.010, &rules);
    assert_close(worn.ratio, bare.ratio, 1e-14);
    assert_close(worn.after.flow_m3_per_s, 0.8 * bare.after.flow_m3_per_s, 1e-14);
    rules.allowance_0_1 = 1.0;
    assert_true(isnan(lined_circle(0.013, 0.010, &rules).after.flow_m3_per_s));
}

static void the_required_flow_is_a_gate(void **state)
{
    hn_capacity_rules rules = plain;
    const double after = lined_circle(0.013, 0.010, &rules).after.flow_m3_per_s;

    (void)state;
    assert_int_equal(lined_circle(0.013, 0.010, &rules).carries_required, HN_UNANSWERED);
    rules.required_m3_per_s = 0.99 * after;
    assert_int_equal(lined_circle(0.013, 0.010, &rules).carries_required, HN_YES);
    rules.required_m3_per_s = 1.01 * after;
    assert_int_equal(lined_circle(0.013, 0.010, &rules).carries_required, HN_NO);
}

static void a_loss_beyond_the_limit_is_told(void **state)
{
    hn_capacity_rules rules = plain;

    (void)state;
    assert_int_equal(lined_circle(0.012, 0.012, &rules).loss_beyond_limit, HN_UNANSWERED);
    rules.loss_limit_pct = 10.0; /* this lining loses 10.3 % at equal roughness */
    assert_int_equal(lined_circle(0.012, 0.012, &rules).loss_beyond_limit, HN_YES);
    assert_int_equal(lined_circle(0.013, 0.012, &rules).loss_beyond_limit, HN_NO);
    assert_int_equal(lined_circle(NAN, 0.012, &rules).loss_beyond_limit, HN_UNANSWERED);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_slope_manning_still_knows_the_ratio),
        cmocka_unit_test(the_roughness_pair_decides_the_sign),
        cmocka_unit_test(the_same_allowance_on_both_sides_leaves_the_ratio),
        cmocka_unit_test(the_required_flow_is_a_gate),
        cmocka_unit_test(a_loss_beyond_the_limit_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
