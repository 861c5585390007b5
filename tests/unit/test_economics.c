/* Interest factors and the small rules of cost, against a published interest
 * table, published plans and sums made term by term. */
#include "engineering/economics.h"

#include "test_util.h"

static void a_published_interest_table_comes_back(void **state)
{
    (void)state;
    /* 0.25 % table: the last printed digit decides. */
    assert_true(fabs(hn_factor_pf(0.0025, 120) - 0.7411) < 1e-4);
    assert_true(fabs(hn_factor_fp(0.0025, 480) - 3.315) < 1e-3);
    assert_true(fabs(hn_factor_ap(0.0025, 36) - 0.0291) < 1e-4);
    assert_true(fabs(hn_factor_af(0.0025, 240) - hn_factor_ap(0.0025, 240) + 0.0025) < 1e-15);
    assert_true(fabs(hn_factor_fa(0.0025, 25) - 25.76457) < 1e-5);
    assert_true(fabs(hn_factor_pa(0.0025, 20) - 19.4845) < 1e-4);
    assert_true(fabs(hn_factor_pg(0.0025, 20) - 183.4851) < 1e-4);
    assert_true(fabs(hn_factor_ag(0.0025, 24) - 11.3804) < 1e-4);
}

static void factors_are_sums_of_single_payments(void **state)
{
    (void)state;
    static const double rates[] = {-0.02, -1e-7, 0, 1e-9, 1e-7, 1e-6, 0.0025, 0.03, 0.15};
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
        double even = 0, gradient = 0;
        for (int k = 1; k <= 40; k++) {
            even += pow(1 + rates[r], -k);
            gradient += (k - 1) * pow(1 + rates[r], -k);
        }
        assert_close(hn_factor_pa(rates[r], 40), even, 1e-12);
        assert_close(hn_factor_pg(rates[r], 40), gradient, 1e-10);
        assert_close(hn_factor_fa(rates[r], 40), even * hn_factor_fp(rates[r], 40), 1e-12);
        assert_close(hn_factor_ap(rates[r], 40) * even, 1, 1e-12);
    }
}

static void a_rate_of_zero_has_its_own_limits(void **state)
{
    (void)state;
    assert_close(hn_factor_ap(0, 8), 1.0 / 8, 0);
    assert_close(hn_factor_af(0, 8), 1.0 / 8, 0);
    assert_close(hn_factor_pa(0, 8), 8, 0);
    assert_close(hn_factor_fa(0, 8), 8, 0);
    assert_close(hn_factor_pf(0, 8), 1, 0);
    assert_close(hn_factor_pg(0, 8), 28, 0);
    assert_close(hn_factor_ag(0, 8), 3.5, 0);
}

static void impossible_rates_and_times_give_nothing(void **state)
{
    (void)state;
    assert_true(isnan(hn_factor_pf(-1, 5)));
    assert_true(isnan(hn_factor_pf(0.03, -1)));
    assert_true(isnan(hn_factor_pf(NAN, 5)));
    assert_true(isnan(hn_factor_pa(0.03, NAN)));
    assert_true(isnan(hn_factor_ap(0.03, 0)));
    assert_true(isnan(hn_factor_af(0, 0)));
    assert_true(isnan(hn_factor_pg(INFINITY, 3)));
    assert_true(isnan(hn_factor_ag(0.03, NAN)));
    assert_true(isnan(hn_factor_escalating_pa(0.03, NAN, 3)));
    assert_true(isnan(hn_factor_escalating_pf(0.03, -1, 3)));
    assert_true(isnan(hn_present_value(NAN, 0.03, 3, 0)));
    assert_true(isnan(hn_escalate_by_index(5, 0, 3)));
    assert_true(isnan(hn_residual_value(NAN, 50, 60)));
}

static void published_annual_costs_come_back(void **state)
{
    (void)state;
    /* Two methods at 15 % with lives of 3 and 2 years: 15,820 and 14,831.2. */
    assert_true(fabs(hn_equivalent_annual_cost(20000, 5000, 8500, 0.15, 3) - 15820) < 1.5);
    assert_true(fabs(hn_equivalent_annual_cost(15000, 3000, 7000, 0.15, 2) - 14831.2) < 1.5);
}

static void escalation_is_discounting_at_the_difference(void **state)
{
    (void)state;
    double sum = 0;
    for (int k = 1; k <= 20; k++)
        sum += pow(1.01 / 1.03, k);
    assert_close(hn_factor_escalating_pa(0.03, 0.01, 20), sum, 1e-12);
    assert_close(hn_factor_escalating_pa(0.03, 0.03, 20), 20, 1e-12);
    assert_close(hn_factor_escalating_pf(0.03, 0.01, 20), pow(1.01 / 1.03, 20), 1e-12);
    assert_close(hn_escalate_by_index(100, 11281, 12281), 108.864462, 1e-8);
}

static void real_and_nominal_terms_give_the_same_value(void **state)
{
    (void)state;
    const double inflation = hn_implied_inflation(0.059, 0.038);
    assert_close(inflation, 0.0202312139, 1e-8); /* OMB A-94 App. C, Jan 2000, 3 years */
    assert_close(hn_nominal_rate(0.038, inflation), 0.059, 1e-12);
    assert_close(hn_real_rate(0.059, inflation), 0.038, 1e-12);
    const double nominal_cost = 1000 * pow(1 + inflation, 3);
    assert_close(hn_present_value(nominal_cost, 0.059, 3, 0), hn_present_value(1000, 0.038, 3, 0),
                 1e-12);
    assert_close(hn_present_value(1, 0.042, 10, 1), 0.676482661, 1e-8);
}

static void residual_value_falls_straight_to_nothing(void **state)
{
    (void)state;
    assert_close(hn_residual_value(100, 50, 0), 100, 0);
    assert_close(hn_residual_value(100, 50, 10), 80, 1e-15);
    assert_close(hn_residual_value(100, 50, 50), 0, 0);
    assert_close(hn_residual_value(100, 50, 70), 0, 0);
    assert_true(isnan(hn_residual_value(100, 0, 0)));
}

static void mark_ups_multiply_when_they_compound(void **state)
{
    (void)state;
    /* Morgan Hill sewer plan 2017, Table 8.2: 824,478 with 15 % twice is 1,090,373. */
    const hn_percent_step both[] = {{15, 1}, {15, 1}};
    double amounts[2];
    const double total = hn_add_markups(824478, both, 2, 0, amounts);
    assert_true(fabs(total - 1090373) < 3);
    assert_close(amounts[0] + amounts[1] + 824478, total, 1e-12);
    const hn_percent_step added[] = {{15, 0}, {15, 0}};
    assert_close(hn_add_markups(100, added, 2, 0, NULL), 130, 1e-12);
    assert_close(hn_add_markups(83.3, both, 2, 1, NULL), 110, 1e-12); /* 95.795 -> 96 -> 110.4 */
    assert_close(hn_add_markups(83.3, both, 0, 1, NULL), 83.3, 0);
}

static void money_rounds_half_up(void **state)
{
    (void)state;
    assert_close(hn_round_money(522.5, 1), 523, 0);
    assert_close(hn_round_money(1249, 500), 1000, 0);
    assert_close(hn_round_money(1250, 500), 1500, 0);
    assert_close(hn_round_money(12.345, 0), 12.345, 0);
    /* 929 ft at 250 a foot by way of metres and logarithms is 2322.4999999999995 x 100 */
    assert_close(hn_round_money(nextafter(232250, 0), 100), 232300, 0);
    assert_close(hn_round_money(-nextafter(232250, 0), 100), -232300, 0);
    assert_close(hn_round_money(232249.99, 100), 232200, 0);
    assert_close(hn_round_money(1234567890.1249, 0.01), 1234567890.12, 1e-15);
    assert_true(isnan(hn_round_money(12, NAN)));
    assert_true(isnan(hn_round_money(NAN, 1)));
}

static void rates_between_sizes_follow_a_power_law(void **state)
{
    (void)state;
    const double sizes[] = {200, 400, 800}, rates[] = {100, 200, 800};
    hn_rate_fit fit;
    assert_close(hn_interpolate_rate(sizes, rates, 3, 400, &fit), 200, 0);
    assert_int_equal(fit, HN_RATE_EXACT);
    assert_close(hn_interpolate_rate(sizes, rates, 3, 300, &fit), 150, 1e-12);
    assert_int_equal(fit, HN_RATE_INTERPOLATED);
    assert_close(hn_interpolate_rate(sizes, rates, 3, 600, &fit), 200 * 1.5 * 1.5, 1e-12);
    assert_close(hn_interpolate_rate(sizes, rates, 3, 150, &fit), 100, 0);
    assert_int_equal(fit, HN_RATE_BEYOND);
    assert_close(hn_interpolate_rate(sizes, rates, 3, 900, NULL), 800, 0);
    assert_true(isnan(hn_interpolate_rate(sizes, rates, 3, NAN, &fit)));
    assert_int_equal(fit, HN_RATE_NONE);
    assert_true(isnan(hn_interpolate_rate(sizes, rates, 0, 300, &fit)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_published_interest_table_comes_back),
        cmocka_unit_test(factors_are_sums_of_single_payments),
        cmocka_unit_test(a_rate_of_zero_has_its_own_limits),
        cmocka_unit_test(impossible_rates_and_times_give_nothing),
        cmocka_unit_test(published_annual_costs_come_back),
        cmocka_unit_test(escalation_is_discounting_at_the_difference),
        cmocka_unit_test(real_and_nominal_terms_give_the_same_value),
        cmocka_unit_test(residual_value_falls_straight_to_nothing),
        cmocka_unit_test(mark_ups_multiply_when_they_compound),
        cmocka_unit_test(money_rounds_half_up),
        cmocka_unit_test(rates_between_sizes_follow_a_power_law),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
