/* Budgets, carry-over, commitments, deadlines: small cases by hand. */
#include "test_util.h"

#include "base/alloc.h"
#include "programme/programme.h"

#include <string.h>

enum { ROWS = 6, YEARS = 3 };

typedef struct case_state {
    hn_table *table;
    hn_plan plan;
    hn_method methods[2];
    hn_act_now_rule rule;
    hn_budget budgets[YEARS];
    hn_outlook outlook;
    hn_loss loss;
} case_state;

static void want(hn_table *t, hn_column_id id)
{
    assert_int_equal(hn_table_want(t, id, NULL), HN_OK);
}

/* Row i costs costs[i] and avoids 10 - i per money: row 0 is the best value. */
static void make_case(case_state *c, const double costs[ROWS], const double budgets[YEARS],
                      double carry_share)
{
    static const hn_treatment treatments[2] = {{{1, 0, 0}, 0, 1, 0}, {{0, 0, 0}, HN_NO_WORK, 1, 0}};
    hn_table *t;

    memset(c, 0, sizeof *c);
    assert_int_equal(hn_table_new(&c->table, NULL), HN_OK);
    t = c->table;
    assert_int_equal(hn_table_reserve(t, ROWS, NULL), HN_OK);
    t->rows = ROWS;
    want(t, HN_COL_COST);
    want(t, HN_COL_METHOD);
    want(t, HN_COL_LOSS_AVOIDED);
    want(t, HN_COL_LOSS_NOW);
    want(t, HN_COL_ACT_NOW);
    want(t, HN_COL_LENGTH_M);
    for (int i = 0; i < ROWS; i++) {
        HN_F64(t, COST)[i] = costs[i];
        HN_CODE(t, METHOD)[i] = 0;
        HN_F64(t, LOSS_AVOIDED)[i] = (10.0 - i) * costs[i];
        HN_F64(t, LOSS_NOW)[i] = i; /* worst first is the other way round */
        HN_F64(t, LENGTH_M)[i] = 10.0;
    }
    c->methods[0].kind = HN_METHOD_LINING;
    c->methods[1].kind = HN_METHOD_WATCH;
    c->rule.within_days = 30;
    c->plan.config.methods = c->methods;
    c->plan.config.method_count = 2;
    c->plan.config.act_now = &c->rule;
    c->plan.config.act_now_count = 1;
    c->plan.first_year = 2026;
    c->plan.years = YEARS;
    for (int y = 0; y < YEARS; y++)
        c->budgets[y] = (hn_budget){2026 + y, budgets[y]};
    c->plan.budgets = c->budgets;
    c->plan.carry_over_share = carry_share;
    c->outlook.rows = ROWS;
    c->outlook.years = 10;
    c->outlook.cohorts = 1;
    c->outlook.cohort = hn_alloc(ROWS, 1);
    c->outlook.annual = hn_alloc(3 * 5 * 10, sizeof(double));
    c->outlook.worse = hn_alloc(5 * 10, sizeof(double));
    for (int g = 0; g < 5; g++)
        c->outlook.structural[g] = hn_alloc(ROWS, sizeof(float));
    assert_int_equal(hn_loss_init(&c->loss, &c->outlook, treatments, 2, 0.03, NULL), HN_OK);
}

static void drop_case(case_state *c)
{
    for (int g = 0; g < 5; g++)
        hn_free((void *)(uintptr_t)c->outlook.structural[g]);
    hn_loss_clear(&c->loss);
    hn_outlook_clear(&c->outlook);
    hn_table_free(c->table);
}

static void allocate(case_state *c, hn_allocation *out, const hn_commitment *commitments,
                     size_t count, double factor, hn_order_rule order)
{
    hn_allocate_spec spec = {c->table, &c->plan, &c->outlook, &c->loss,
                             commitments, count, factor, order};

    assert_int_equal(hn_allocate(&spec, out, NULL), HN_OK);
}

static void the_best_value_comes_first_and_what_does_not_fit_is_passed_over(void **state)
{
    static const double costs[ROWS] = {60, 50, 40, 200, 30, 20}, budgets[YEARS] = {100, 100, 100};
    case_state c;
    hn_allocation a;

    (void)state;
    make_case(&c, costs, budgets, 0.0);
    allocate(&c, &a, NULL, 0, 1.0, HN_ORDER_VALUE);
    assert_int_equal(a.year_of[0], 0); /* 60 */
    assert_int_equal(a.year_of[1], 1); /* 50 did not fit beside 60 */
    assert_int_equal(a.year_of[2], 0); /* 40 did */
    assert_int_equal(a.year_of[3], -1); /* 200 never fits */
    assert_int_equal(a.year_of[4], 1);
    assert_int_equal(a.year_of[5], 1);
    assert_close(a.total_cost, 200.0, 1e-12);
    assert_close(a.lines[0].forfeited, 0.0, 1e-12);
    hn_allocation_clear(&a);
    drop_case(&c);
}

static void carry_over_is_limited_and_the_rest_is_lost(void **state)
{
    static const double costs[ROWS] = {70, 110, 500, 500, 500, 500}, budgets[YEARS] = {100, 100, 100};
    case_state c;
    hn_allocation a;

    (void)state;
    make_case(&c, costs, budgets, 0.1);
    allocate(&c, &a, NULL, 0, 1.0, HN_ORDER_VALUE);
    assert_close(a.lines[0].carry_out, 10.0, 1e-12);
    assert_close(a.lines[0].forfeited, 20.0, 1e-12);
    assert_close(a.lines[1].carry_in, 10.0, 1e-12);
    assert_int_equal(a.year_of[1], 1); /* 110 = 100 + 10 carried */
    assert_close(a.lines[2].carry_out, 0.0, 1e-12);
    hn_allocation_clear(&a);
    drop_case(&c);
}

static void commitments_come_first_even_when_they_break_the_budget(void **state)
{
    static const double costs[ROWS] = {60, 50, 40, 30, 30, 20}, budgets[YEARS] = {40, 100, 100};
    static const hn_commitment committed[] = {{5, 2026, 75.0}, {4, 2027, NAN}};
    case_state c;
    hn_allocation a;

    (void)state;
    make_case(&c, costs, budgets, 0.0);
    allocate(&c, &a, committed, 2, 1.0, HN_ORDER_VALUE);
    assert_int_equal(a.year_of[5], 0);
    assert_close(a.lines[0].committed, 75.0, 1e-12);
    assert_close(a.committed_over, 35.0, 1e-12);
    assert_close(a.lines[0].spent, 75.0, 1e-12);
    assert_close(a.lines[1].committed, 30.0, 1e-12);
    assert_int_equal(a.year_of[0], 1);
    hn_allocation_clear(&a);
    drop_case(&c);
}

static void act_now_goes_before_value(void **state)
{
    static const double costs[ROWS] = {60, 50, 40, 30, 30, 90}, budgets[YEARS] = {100, 100, 100};
    case_state c;
    hn_allocation a;

    (void)state;
    make_case(&c, costs, budgets, 0.0);
    HN_CODE(c.table, ACT_NOW)[5] = 0;
    allocate(&c, &a, NULL, 0, 1.0, HN_ORDER_VALUE);
    assert_int_equal(a.year_of[5], 0);
    hn_allocation_clear(&a);
    allocate(&c, &a, NULL, 0, 1.0, HN_ORDER_WORST_FIRST);
    assert_int_equal(a.year_of[5], 0); /* also the greatest loss */
    assert_int_equal(a.year_of[1], 2);
    assert_int_equal(a.year_of[0], -1); /* 60 beside 50 is too much for the last year */
    hn_allocation_clear(&a);
    drop_case(&c);
}

static void no_money_funds_nothing_and_no_limit_funds_all(void **state)
{
    static const double costs[ROWS] = {60, 50, 40, 30, 30, 20}, budgets[YEARS] = {0, 0, 0};
    case_state c;
    hn_allocation a;

    (void)state;
    make_case(&c, costs, budgets, 0.5);
    allocate(&c, &a, NULL, 0, 1.0, HN_ORDER_VALUE);
    assert_int_equal(a.funded, 0);
    hn_allocation_clear(&a);
    allocate(&c, &a, NULL, 0, INFINITY, HN_ORDER_VALUE);
    assert_int_equal(a.funded, ROWS);
    for (int i = 0; i < ROWS; i++)
        assert_int_equal(a.year_of[i], 0);
    hn_allocation_clear(&a);
    drop_case(&c);
}

static void watched_segments_are_no_candidates(void **state)
{
    static const double costs[ROWS] = {60, 50, 40, 30, 30, 20}, budgets[YEARS] = {500, 0, 0};
    case_state c;
    hn_allocation a;

    (void)state;
    make_case(&c, costs, budgets, 0.0);
    HN_CODE(c.table, METHOD)[0] = 1;
    HN_CODE(c.table, METHOD)[1] = HN_CODE_MISSING;
    allocate(&c, &a, NULL, 0, 1.0, HN_ORDER_VALUE);
    assert_int_equal(a.year_of[0], -1);
    assert_int_equal(a.year_of[1], -1);
    assert_int_equal(a.funded, 4);
    hn_allocation_clear(&a);
    drop_case(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_best_value_comes_first_and_what_does_not_fit_is_passed_over),
        cmocka_unit_test(carry_over_is_limited_and_the_rest_is_lost),
        cmocka_unit_test(commitments_come_first_even_when_they_break_the_budget),
        cmocka_unit_test(act_now_goes_before_value),
        cmocka_unit_test(no_money_funds_nothing_and_no_limit_funds_all),
        cmocka_unit_test(watched_segments_are_no_candidates),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
