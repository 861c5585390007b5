/* Choice under many limits: a case worked by enumeration, clashes, a synthetic network.
 *
 * Source of the four-item case: all choices enumerated independently; 205 without and 242
 * with a tenth carried over. */
#include "test_util.h"

#include <stdlib.h>
#include <string.h>

#include "base/alloc.h"
#include "optimise/optimise.h"

static const double BENEFIT[4 * 6] = {90, 80, 66, 100, 90, 75, 60, 58, 55, 64, 62, 59,
                                      0,  0,  0,  70,  52, 30, 40, 39, 37, 44, 43, 41};
static const double COST[4 * 6] = {40, 41, 42, 60, 62, 64, 30, 31, 32, 50, 52, 53,
                                   0,  0,  0,  55, 57, 59, 20, 21, 22, 35, 36, 37};

/* The four items with costs and benefits written out; item 2 has no first method. */
static hn_status solve_four(double carry, double first_budget, int compulsory,
                            hn_choice_result *out)
{
    size_t first[5] = {0}, first_use[25] = {0}, n = 0;
    double value[24];
    hn_choice_use uses[24];
    uint8_t must[4] = {0, 0, (uint8_t)compulsory, 0};
    hn_choice_row rows[3];
    hn_choice_list list = {4, first, value, first_use, uses, must};
    hn_choice_problem problem = {3, rows, &list, NULL};
    const double budget[3] = {first_budget, 50, 50};

    for (int t = 0; t < 3; t++)
        rows[t] = (hn_choice_row){HN_ROW_AT_MOST, budget[t], t < 2 ? t + 1 : -1, carry * budget[t]};
    for (size_t i = 0; i < 4; i++) {
        for (size_t a = 0; a < 6; a++) {
            if (COST[i * 6 + a] == 0)
                continue;
            value[n] = BENEFIT[i * 6 + a];
            uses[n] = (hn_choice_use){(uint32_t)(a % 3), COST[i * 6 + a]};
            first_use[n + 1] = n + 1;
            n++;
        }
        first[i + 1] = n;
    }
    return hn_choice_solve(&problem, NULL, out, NULL);
}

static void four_items_without_carrying_are_worth_205(void **state)
{
    hn_choice_result result;

    (void)state;
    assert_int_equal(solve_four(0, 60, 0, &result), HN_OK);
    assert_close(result.value, 205, 1e-12);
    assert_int_equal(result.state, HN_CHOICE_OPTIMAL);
    hn_choice_result_clear(&result);
}

static void a_tenth_carried_over_makes_them_worth_242(void **state)
{
    hn_choice_result result;

    (void)state;
    assert_int_equal(solve_four(0.1, 60, 0, &result), HN_OK);
    assert_close(result.value, 242, 1e-12);
    assert_int_equal(result.state, HN_CHOICE_OPTIMAL);
    hn_choice_result_clear(&result);
}

static void a_compulsory_item_dearer_than_every_year_is_told(void **state)
{
    hn_choice_result result;

    (void)state;
    assert_int_equal(solve_four(0, 54, 1, &result), HN_OK);
    assert_int_equal(result.state, HN_CHOICE_INFEASIBLE);
    assert_true(result.clash_count >= 1);
    assert_int_equal(result.clashes[0].kind, HN_CLASH_ITEM);
    assert_int_equal(result.clashes[0].item, 2);
    hn_choice_result_clear(&result);
}

/* Invented network: weights, costs, five years, two methods, budgets that bind. */
enum { ITEMS = 3000, METHODS = 2, YEARS = 5 };

typedef struct town {
    double weight[ITEMS], cost[ITEMS * METHODS], benefit[METHODS * YEARS];
    double escalation[METHODS * YEARS];
    uint16_t class_of[ITEMS];
    hn_row_scope scopes[YEARS];
    hn_choice_row rows[YEARS];
    hn_choice_demand demand;
    hn_choice_table table;
    hn_choice_problem problem;
} town;

static void make_town(town *t)
{
    uint32_t seed = 12345;

    memset(t, 0, sizeof *t);
    for (size_t i = 0; i < ITEMS; i++) {
        seed = seed * 1664525u + 1013904223u;
        t->weight[i] = 1 + (seed >> 8) % 1000;
        seed = seed * 1664525u + 1013904223u;
        t->cost[2 * i] = 100 + (seed >> 8) % 900;
        t->cost[2 * i + 1] = 1.6 * t->cost[2 * i];
    }
    for (size_t a = 0; a < METHODS * YEARS; a++) {
        t->benefit[a] = (a < YEARS ? 1.0 : 1.2) * (1 - 0.1 * (double)(a % YEARS));
        t->escalation[a] = 1 + 0.02 * (double)(a % YEARS);
    }
    for (int y = 0; y < YEARS; y++) {
        t->scopes[y] = (hn_row_scope){HN_BASIS_COST, 3, (uint64_t)1 << y, {1}};
        t->rows[y] = (hn_choice_row){HN_ROW_AT_MOST, 60000, y + 1 < YEARS ? y + 1 : -1, 6000};
    }
    t->table = (hn_choice_table){.items = ITEMS,
                                 .methods = METHODS,
                                 .years = YEARS,
                                 .classes = 1,
                                 .groups = 1,
                                 .weight = t->weight,
                                 .cost = t->cost,
                                 .class_of = t->class_of,
                                 .benefit = t->benefit,
                                 .escalation = t->escalation,
                                 .scopes = t->scopes,
                                 .demands = &t->demand};
    t->problem = (hn_choice_problem){YEARS, t->rows, NULL, &t->table};
}

static void a_network_keeps_its_budgets_and_its_bound_on_any_threads(void **state)
{
    town *t = malloc(sizeof *t);
    hn_choice_result one, two;
    hn_choice_options options = {.threads = 2};
    double value, excess, used[YEARS];

    (void)state;
    make_town(t);
    assert_int_equal(hn_choice_solve(&t->problem, NULL, &one, NULL), HN_OK);
    assert_int_equal(hn_choice_solve(&t->problem, &options, &two, NULL), HN_OK);
    hn_choice_check(&t->problem, one.choice, &value, used, &excess);
    assert_true(excess <= 1e-9);
    assert_close(value, one.value, 1e-10);
    assert_true(one.value <= one.bound);
    assert_true(one.gap <= 0.0015);
    assert_memory_equal(&one.bound, &two.bound, sizeof one.bound);
    assert_memory_equal(one.choice, two.choice, ITEMS * sizeof *one.choice);
    hn_choice_result_clear(&one);
    hn_choice_result_clear(&two);
    free(t);
}

static void settled_work_dearer_than_its_year_says_by_how_much(void **state)
{
    town *t = malloc(sizeof *t);
    hn_choice_result result;

    (void)state;
    make_town(t);
    t->cost[0] = 70000;
    t->demand = (hn_choice_demand){0, 0, 0, 0};
    t->table.demand_count = 1;
    assert_int_equal(hn_choice_solve(&t->problem, NULL, &result, NULL), HN_OK);
    assert_int_equal(result.state, HN_CHOICE_INFEASIBLE);
    assert_true(result.clash_count >= 2);
    assert_int_equal(result.clashes[1].kind, HN_CLASH_DEMAND);
    assert_int_equal(result.clashes[1].first_row, 0);
    assert_close(result.clashes[1].amount, 10000, 1e-9);
    hn_choice_result_clear(&result);
    free(t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(four_items_without_carrying_are_worth_205),
        cmocka_unit_test(a_tenth_carried_over_makes_them_worth_242),
        cmocka_unit_test(a_compulsory_item_dearer_than_every_year_is_told),
        cmocka_unit_test(a_network_keeps_its_budgets_and_its_bound_on_any_threads),
        cmocka_unit_test(settled_work_dearer_than_its_year_says_by_how_much),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
