/* Which part of a plan a key or a table belongs to. */
#include "plan/plan_mix.h"

#include "test_util.h"

static void keys_belong_to_their_block(void **state)
{
    (void)state;
    assert_int_equal(hn_plan_part_of_key("as_of"), HN_PART_DAY);
    assert_int_equal(hn_plan_part_of_key("network.fields.width.unit"), HN_PART_DATA);
    assert_int_equal(hn_plan_part_of_key("inspections[2].where"), HN_PART_DATA);
    assert_int_equal(hn_plan_part_of_key("network_rules.snap_m"), HN_PART_RULES);
    assert_int_equal(hn_plan_part_of_key("money.discount_pct"), HN_PART_PRICES);
    assert_int_equal(hn_plan_part_of_key("programme.budgets.2026"), HN_PART_BUDGET);
}

static void a_limit_among_the_money_keys_is_a_rule(void **state)
{
    (void)state;
    assert_int_equal(hn_plan_part_of_key("money.capacity_loss_limit_pct"), HN_PART_RULES);
}

static void what_changes_no_number_has_no_part(void **state)
{
    (void)state;
    assert_int_equal(hn_plan_part_of_key("title"), HN_PART_NONE);
    assert_int_equal(hn_plan_part_of_key("output.folder"), HN_PART_NONE);
    assert_int_equal(hn_plan_part_of_key("as_of_something"), HN_PART_NONE);
}

static void tables_are_prices_data_or_rules(void **state)
{
    (void)state;
    assert_int_equal(hn_plan_part_of_table("rates"), HN_PART_PRICES);
    assert_int_equal(hn_plan_part_of_table("markups"), HN_PART_PRICES);
    assert_int_equal(hn_plan_part_of_table("overrides"), HN_PART_DATA);
    assert_int_equal(hn_plan_part_of_table("method_rules"), HN_PART_RULES);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keys_belong_to_their_block),
        cmocka_unit_test(a_limit_among_the_money_keys_is_a_rule),
        cmocka_unit_test(what_changes_no_number_has_no_part),
        cmocka_unit_test(tables_are_prices_data_or_rules),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
