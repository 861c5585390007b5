/* Replacement chains against sums made by hand and the equal annual cost. */
#include "engineering/economics_chain.h"

#include "engineering/economics.h"

#include "test_util.h"

static hn_chain_plan lining(double horizon)
{
    return (hn_chain_plan){.first = {100, 50, 0},
                           .then = {NAN, NAN, NAN},
                           .rate = 0.03,
                           .horizon_years = horizon,
                           .keep_residual = 1};
}

static void a_common_multiple_of_lives_gives_the_annual_cost(void **state)
{
    (void)state;
    hn_chain_plan plan = lining(150);
    plan.first.yearly_cost = 1;
    const hn_chain chain = hn_replacement_chain(&plan);
    assert_int_equal(chain.works, 3);
    assert_int_equal(chain.repeats, 2);
    assert_close(chain.annual_cost, 4.88654944, 1e-8);
    assert_close(chain.annual_cost, hn_equivalent_annual_cost(100, 0, 1, 0.03, 50), 1e-12);
    assert_close(chain.residual_value, 0, 0);
}

static void unused_life_is_credited_at_the_horizon(void **state)
{
    (void)state;
    hn_chain_plan plan = lining(60);
    const hn_chain chain = hn_replacement_chain(&plan);
    assert_close(chain.residual_value, 80 * pow(1.03, -60), 1e-12);
    assert_close(chain.present_value, 109.232061, 1e-8);
    plan.keep_residual = 0;
    assert_close(hn_replacement_chain(&plan).present_value, 100 + 100 * pow(1.03, -50), 1e-12);
}

static void a_work_due_at_the_horizon_is_not_bought(void **state)
{
    (void)state;
    const hn_chain_plan plan = lining(50);
    assert_int_equal(hn_replacement_chain(&plan).works, 1);
    assert_close(hn_replacement_chain(&plan).present_value, 100, 1e-12);
}

static void after_the_last_repeat_the_other_work_follows(void **state)
{
    (void)state;
    hn_chain_plan plan = lining(150);
    plan.repeat_max = 1;
    plan.then = (hn_chain_work){250, 100, 0};
    const hn_chain chain = hn_replacement_chain(&plan);
    assert_int_equal(chain.works, 3);
    assert_int_equal(chain.repeats, 1);
    assert_true(chain.turned);
    const double works = 100 + 100 * pow(1.03, -50) + 250 * pow(1.03, -100);
    assert_close(chain.works_value, works, 1e-12);
    assert_close(chain.residual_value, 125 * pow(1.03, -150), 1e-12);
    plan.repeat_max = -1;
    assert_int_equal(hn_replacement_chain(&plan).repeats, 0);
    assert_int_equal(hn_replacement_chain(&plan).works, 2);
}

static void a_chain_that_cannot_go_on_is_unknown(void **state)
{
    (void)state;
    hn_chain_plan plan = lining(150);
    plan.repeat_max = 1; /* and `then` is not known */
    assert_true(isnan(hn_replacement_chain(&plan).present_value));
    assert_true(isnan(hn_replacement_chain(&plan).annual_cost));
    plan = lining(NAN);
    assert_true(isnan(hn_replacement_chain(&plan).present_value));
    plan = lining(50);
    plan.first.cost = NAN;
    assert_true(isnan(hn_replacement_chain(&plan).present_value));
    plan = lining(50);
    plan.first.life_years = 1e-9; /* more works than anyone buys */
    assert_true(isnan(hn_replacement_chain(&plan).present_value));
    plan = lining(50);
    plan.rate = NAN;
    assert_true(isnan(hn_replacement_chain(&plan).present_value));
}

static void no_discount_counts_plain_money(void **state)
{
    (void)state;
    hn_chain_plan plan = lining(75);
    plan.rate = 0;
    plan.first.yearly_cost = 2;
    const hn_chain chain = hn_replacement_chain(&plan);
    assert_close(chain.present_value, 200 + 150 - 50, 1e-12);
    assert_close(chain.annual_cost, 300.0 / 75, 1e-12);
}

static void break_even_ratios_come_back(void **state)
{
    (void)state;
    assert_close(hn_break_even_ratio(50, 100, 0.01), 0.621875532, 1e-8);
    assert_close(hn_break_even_ratio(50, 100, 0.03), 0.814261245, 1e-8);
    assert_close(hn_break_even_ratio(50, 100, 0.07), 0.967166852, 1e-8);
    assert_close(hn_break_even_ratio(50, 100, 0), 0.5, 1e-12);
}

static void the_choice_flips_with_the_horizon(void **state)
{
    (void)state;
    /* Without residuals: a is bought again at 50, so b is cheaper from 51 on. */
    hn_chain_plan a = lining(0), b = lining(0);
    a.keep_residual = b.keep_residual = 0;
    b.first = (hn_chain_work){110, 100, 0};
    int years[4] = {0};
    const size_t count = hn_flip_horizons(&a, &b, 1, 100, years, 4);
    assert_int_equal(count, 1);
    assert_int_equal(years[0], 51);
    assert_int_equal(hn_flip_horizons(&a, &b, 1, 100, years, 0), 1);
    assert_int_equal(hn_flip_horizons(&a, &a, 1, 100, years, 4), 0);
}

/* Repair (200, 25 years) then renewals, against renovation (400, 50 years) then
 * renewals (600, 80 years), 3 %: the repair is cheaper up to 24 years, the
 * renovation from 25 to 49, the repair again from 50 on.
 * Source: Baufachliche Richtlinien Abwasser, A-8.7.3, example A, Table A-8-6. It
 * counts a work that falls due in the last year of the horizon, this code does
 * not: its horizon of n years is one of n + 1 here. The print has 285 for
 * 600/1.03^25, which is 286.6. */
static void the_published_choice_flips_at_25_and_50_years(void **state)
{
    (void)state;
    const hn_chain_work renewal = {600, 80, 0};
    hn_chain_plan repair = {{200, 25, 0}, -1, renewal, 0.03, 0, 0};
    hn_chain_plan renovation = {{400, 50, 0}, -1, renewal, 0.03, 0, 0};
    const struct {
        int horizon_years;
        double repair, renovation;
    } printed[] = {{10, 200, 400},     {24, 200, 400},     {25, 486.6, 400},   {49, 486.6, 400},
                   {50, 486.6, 536.9}, {80, 486.6, 536.9}, {104, 486.6, 536.9}};
    int years[4] = {0};

    for (size_t i = 0; i < sizeof printed / sizeof printed[0]; i++) {
        repair.horizon_years = renovation.horizon_years = printed[i].horizon_years + 1;
        assert_float_equal(hn_replacement_chain(&repair).present_value, printed[i].repair, 0.05);
        assert_float_equal(hn_replacement_chain(&renovation).present_value, printed[i].renovation,
                           0.05);
    }
    assert_int_equal(hn_flip_horizons(&repair, &renovation, 1, 104, years, 4), 2);
    assert_int_equal(years[0], 25 + 1);
    assert_int_equal(years[1], 50 + 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_common_multiple_of_lives_gives_the_annual_cost),
        cmocka_unit_test(unused_life_is_credited_at_the_horizon),
        cmocka_unit_test(a_work_due_at_the_horizon_is_not_bought),
        cmocka_unit_test(after_the_last_repeat_the_other_work_follows),
        cmocka_unit_test(a_chain_that_cannot_go_on_is_unknown),
        cmocka_unit_test(no_discount_counts_plain_money),
        cmocka_unit_test(break_even_ratios_come_back),
        cmocka_unit_test(the_choice_flips_with_the_horizon),
        cmocka_unit_test(the_published_choice_flips_at_25_and_50_years),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
