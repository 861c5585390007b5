/* Laws of money over time: factors that undo each other, sums that can be cut
 * anywhere, chains against annual costs, and prices between sizes. */
#include "property.h"

#include "engineering/economics.h"
#include "engineering/economics_chain.h"

enum { CASES = 4000 };

static void factors_move_with_rate_and_years(void **state)
{
    draws d = {1};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double r = draw_log(&d, 1e-4, 0.3), n = draw(&d, 0.5, 100);
        const double more = draw(&d, 1.01, 2), higher = r * more, longer = n * more;

        assert_true(hn_factor_pf(higher, n) < hn_factor_pf(r, n));
        assert_true(hn_factor_pf(r, longer) < hn_factor_pf(r, n));
        assert_true(hn_factor_pa(higher, n) < hn_factor_pa(r, n));
        assert_true(hn_factor_pa(r, longer) > hn_factor_pa(r, n));
        assert_true(hn_factor_ap(higher, n) > hn_factor_ap(r, n));
        assert_true(hn_factor_ap(r, longer) < hn_factor_ap(r, n));
        assert_true(hn_factor_fa(higher, n) >= hn_factor_fa(r, n) || n < 1);
        assert_true(hn_factor_pa(r, n) < 1 / r && hn_factor_pa(r, n) < n * (1 + r));
        assert_true(hn_factor_pg(higher, 1 + n) < hn_factor_pg(r, 1 + n));
        assert_true(hn_present_value(100, r, n, 1) > hn_present_value(100, r, n, 0));
    }
}

/* 1e-12 times what a difference of powers can lose: (1+i)^n up to 1e8. */
static void factors_undo_each_other(void **state)
{
    draws d = {2};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double r = draw_log(&d, 1e-6, 0.3) * (i % 4 ? 1 : -0.5), n = draw(&d, 0.5, 60);
        const double m = draw(&d, 0.5, 40), e = draw(&d, -0.02, 0.1), f = draw(&d, -0.02, 0.1);

        assert_close(hn_factor_pf(r, n) * hn_factor_fp(r, n), 1, 1e-13);
        assert_close(hn_factor_pa(r, n) * hn_factor_ap(r, n), 1, 1e-14);
        assert_close(hn_factor_fa(r, n) * hn_factor_af(r, n), 1, 1e-14);
        assert_close(hn_factor_fa(r, n), hn_factor_pa(r, n) * hn_factor_fp(r, n), 1e-12);
        assert_close(hn_factor_ap(r, n) - hn_factor_af(r, n), r, 1e-9);
        assert_close(hn_factor_pf(r, n) * hn_factor_pf(r, m), hn_factor_pf(r, n + m), 1e-13);
        assert_close(hn_factor_pa(r, n) + hn_factor_pf(r, n) * hn_factor_pa(r, m),
                     hn_factor_pa(r, n + m), 1e-12);
        assert_close(hn_real_rate(hn_nominal_rate(e, f), f), e, 1e-13 / fabs(e));
        assert_close(hn_implied_inflation(hn_nominal_rate(e, f), e), f, 1e-13 / fabs(f));
        assert_close(hn_factor_escalating_pf(r, e, n), hn_factor_pf(hn_real_rate(r, e), n), 1e-12);
        assert_close(hn_present_value(100, r, n, 0) * hn_factor_fp(r, n), 100, 1e-13);
    }
}

/* The gradient factor against its own sum, across the switch near rate 0. */
static void factors_are_sums_at_every_rate(void **state)
{
    draws d = {3};

    (void)state;
    for (int i = 0; i < CASES / 4; i++) {
        const double r = draw_log(&d, 1e-10, 0.3) * (i % 2 ? 1 : -1), e = draw(&d, -0.05, 0.1);
        const int n = 2 + (int)draw_below(&d, 60);
        double pa = 0, pg = 0, rising = 0;

        for (int k = 1; k <= n; k++) {
            pa += exp(-k * log1p(r));
            pg += (k - 1) * exp(-k * log1p(r));
            rising += exp(k * (log1p(e) - log1p(r)));
        }
        assert_close(hn_factor_pa(r, n), pa, 1e-12);
        assert_close(hn_factor_pg(r, n), pg, 1e-5 * 1e-3); /* a difference over r twice */
        assert_close(hn_factor_escalating_pa(r, e, n), rising, 1e-11);
    }
}

static void a_price_moved_between_dates_comes_back(void **state)
{
    draws d = {4};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double cost = draw_log(&d, 1, 1e7), a = draw(&d, 50, 300), b = draw(&d, 50, 300);
        const double c = draw(&d, 50, 300), life = draw(&d, 1, 120), age = draw(&d, 0, 1) * life;
        const double there = hn_escalate_by_index(cost, a, b), step = draw_log(&d, 0.01, 1000);
        const double rounded = hn_round_money(cost, step),
                     left = hn_residual_value(cost, life, age);

        assert_close(there / cost, b / a, 1e-14);
        assert_close(hn_escalate_by_index(there, b, a), cost, 1e-14);
        assert_close(hn_escalate_by_index(there, b, c), hn_escalate_by_index(cost, a, c), 1e-14);
        assert_true(fabs(rounded - cost) <= step / 2 * (1 + 1e-9));
        assert_close(hn_round_money(rounded, step), rounded, 1e-15);
        assert_true(left >= 0 && left <= cost);
        assert_true(fabs(left + cost * age / life - cost) <= 1e-14 * cost);
        assert_true(hn_residual_value(cost, life, life * draw(&d, 1, 3)) == 0);
    }
}

static void mark_ups_add_up_to_the_total(void **state)
{
    draws d = {5};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        hn_percent_step steps[4];
        double amounts[4], base = draw_log(&d, 10, 1e6), sum = base, product = base;

        for (int k = 0; k < 4; k++) {
            steps[k] = (hn_percent_step){draw(&d, 0, 40), 1};
            product *= 1 + steps[k].percent / 100;
        }
        assert_close(hn_add_markups(base, steps, 4, 0, amounts), product, 1e-14);
        steps[2].compound = steps[3].compound = 0;
        const double total = hn_add_markups(base, steps, 4, 0.01, amounts);
        for (int k = 0; k < 4; k++)
            sum += amounts[k];
        assert_close(total, sum, 1e-14);
        assert_true(total <= product + 0.04); /* four roundings to a cent, no compounding */
    }
}

/* Two lives m and n, both repeated to their product: the chain's equal yearly
 * sum is the annual cost of one work, whatever the horizon. */
static void a_chain_over_common_multiples_is_the_annual_cost(void **state)
{
    draws d = {6};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double life = 1 + (double)draw_below(&d, 40), times = 1 + (double)draw_below(&d, 12);
        const hn_chain_work work = {draw_log(&d, 10, 1e5), life, draw(&d, 0, 50)};
        const hn_chain_plan plan = {work, 0, {NAN, NAN, NAN}, draw(&d, 0, 0.15), life * times, 1};
        const hn_chain chain = hn_replacement_chain(&plan);

        assert_close(chain.annual_cost,
                     hn_equivalent_annual_cost(work.cost, 0, work.yearly_cost, plan.rate, life),
                     1e-11);
        assert_int_equal(chain.works, (int)times);
        assert_int_equal(chain.repeats, (int)times - 1);
        assert_int_equal(chain.turned, 0);
        assert_true(chain.residual_value == 0);
    }
}

static void chain_parts_add_up_and_credit_only_lowers(void **state)
{
    draws d = {7};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        hn_chain_plan plan = {{draw_log(&d, 10, 1e5), draw(&d, 2, 60), draw(&d, 0, 50)},
                              (int)draw_below(&d, 4) - 1,
                              {draw_log(&d, 10, 1e5), draw(&d, 5, 120), draw(&d, 0, 50)},
                              draw(&d, 0, 0.1),
                              draw(&d, 1, 150),
                              1};
        const hn_chain with = hn_replacement_chain(&plan);

        plan.keep_residual = 0;
        const hn_chain without = hn_replacement_chain(&plan);
        assert_close(with.present_value, with.works_value + with.yearly_value - with.residual_value,
                     1e-13);
        assert_true(with.residual_value >= 0 && without.residual_value == 0);
        assert_true(with.present_value <= without.present_value);
        assert_close(with.annual_cost * hn_factor_pa(plan.rate, plan.horizon_years),
                     with.present_value, 1e-12);
        assert_true(with.repeats <= with.works - 1);
        if (plan.repeat_max != 0)
            assert_true(with.repeats <= (plan.repeat_max < 0 ? 0 : plan.repeat_max));
        plan.first.cost *= 2; /* dearer works never make a cheaper chain */
        assert_true(hn_replacement_chain(&plan).present_value > without.present_value);
    }
}

static void at_the_break_even_price_two_works_cost_the_same(void **state)
{
    draws d = {8};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double a = draw(&d, 5, 80), b = draw(&d, 5, 120), r = draw_log(&d, 1e-4, 0.2);
        const double ratio = hn_break_even_ratio(a, b, r);

        assert_close(hn_equivalent_annual_cost(ratio * 100, 0, 0, r, a),
                     hn_equivalent_annual_cost(100, 0, 0, r, b), 1e-13);
        assert_close(ratio * hn_break_even_ratio(b, a, r), 1, 1e-14);
    }
}

/* flip_horizons against the plain comparison, year by year. */
static void horizons_flip_where_the_cheaper_chain_changes(void **state)
{
    draws d = {9};
    size_t flips = 0;

    (void)state;
    for (int i = 0; i < 40; i++) {
        hn_chain_plan a = {{100, draw(&d, 8, 25), 1}, 0, {NAN, NAN, NAN}, 0.03, 1, 0};
        hn_chain_plan b = {
            {draw(&d, 120, 200), draw(&d, 30, 90), 1}, 0, {NAN, NAN, NAN}, 0.03, 1, 0};
        int years[200], last = 0;
        const size_t found = hn_flip_horizons(&a, &b, 1, 120, years, 200);
        size_t count = 0;

        for (int year = 1; year <= 120; year++) {
            a.horizon_years = b.horizon_years = year;
            const double more =
                hn_replacement_chain(&a).present_value - hn_replacement_chain(&b).present_value;
            const int now = more > 1e-6 ? 1 : more < -1e-6 ? -1 : 0;
            if (now && last && now != last) {
                assert_true(count < found);
                assert_int_equal(years[count++], year);
            }
            last = now ? now : last;
        }
        assert_int_equal(found, count);
        flips += count;
    }
    assert_true(flips > 20); /* the cases say something */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(factors_move_with_rate_and_years),
        cmocka_unit_test(factors_undo_each_other),
        cmocka_unit_test(factors_are_sums_at_every_rate),
        cmocka_unit_test(a_price_moved_between_dates_comes_back),
        cmocka_unit_test(mark_ups_add_up_to_the_total),
        cmocka_unit_test(a_chain_over_common_multiples_is_the_annual_cost),
        cmocka_unit_test(chain_parts_add_up_and_credit_only_lowers),
        cmocka_unit_test(at_the_break_even_price_two_works_cost_the_same),
        cmocka_unit_test(horizons_flip_where_the_cheaper_chain_changes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
