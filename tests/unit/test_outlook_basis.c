/* Shares of grades today: observed, inferred from cohort and age, or the mean of a cohort. */
#include "network_fixture.h"

#include "base/dates.h"
#include "condition/condition.h"

#include <math.h>

static const pipe_row pipes[] = {{"a", "1", "2", 0, 0, 50, 0},
                                 {"b", "2", "3", 50, 0, 90, 0},
                                 {"c", "3", "4", 90, 0, 120, 0},
                                 {"d", "4", "5", 120, 0, 140, 0},
                                 {"e", "5", "6", 140, 0, 150, 0}};

/* Cohort `one` holds pipe c alone, `two` a and d, `rest` b and e. */
static hn_cohort cohorts[] = {
    {.id = "one", .condition = "segment_id = 'c'", .source = "test"},
    {.id = "two", .condition = "segment_id = 'a' OR segment_id = 'd'", .source = "test"},
    {.id = "rest", .condition = "1", .source = "test"}};

static void begin(built *b)
{
    build(b, pipes, 5);
    for (int c = 0; c < 3; c++)
        for (int d = 0; d < HN_DRIVERS; d++)
            for (int k = 0; k < 4; k++)
                cohorts[c].rate_per_year[d][k] = 0.02 + 0.01 * c + 0.003 * k;
    b->plan.config.cohorts = cohorts;
    b->plan.config.cohort_count = 3;
    b->plan.horizon_years = 5;
    b->plan.first_year = 2026;
    b->plan.as_of = hn_date_days(2026, 1, 1);
    b->plan.as_of_year = b->table->as_of_year = 2026.0;
    b->table->as_of = b->plan.as_of;
    assert_int_equal(hn_table_want(b->table, HN_COL_YEAR_BUILT, NULL), HN_OK);
    assert_int_equal(hn_table_want(b->table, HN_COL_GRADE_STRUCTURAL, NULL), HN_OK);
    assert_int_equal(hn_table_want(b->table, HN_COL_INSPECTED_ON, NULL), HN_OK);
}

static double share(const built *b, const char *id, int grade)
{
    return (double)((const float *)b->table->column[HN_COL_STRUCT_1 + grade - 1])[row_of(b, id)];
}

static int basis(const built *b, const char *id)
{
    return HN_CODE(b->table, CONDITION_BASIS)[row_of(b, id)];
}

/* Exact: of a chain with rate r1 out of grade 1 the share exp(-r1 t) is left there. Pipe a
 * is 30 years old; c and d tell nothing of themselves. Lengths 50, 40, 30, 20, 10 m. */
static void what_is_not_observed_is_inferred_and_says_so(void **state)
{
    const double a_1 = exp(-0.03 * 30.0);
    hn_outlook out;
    built b;

    (void)state;
    begin(&b);
    HN_F32(b.table, YEAR_BUILT)[row_of(&b, "a")] = 1996;
    HN_F32(b.table, GRADE_STRUCTURAL)[row_of(&b, "b")] = 2;
    HN_I32(b.table, INSPECTED_ON)[row_of(&b, "b")] = b.plan.as_of;
    assert_int_equal(hn_condition_outlook(b.table, &b.plan, 2, &out, NULL), HN_OK);
    assert_int_equal(basis(&b, "a"), HN_BASIS_INFERRED);
    assert_int_equal(basis(&b, "b"), HN_BASIS_OBSERVED);
    assert_int_equal(basis(&b, "c"), HN_BASIS_NONE);
    assert_int_equal(basis(&b, "d"), HN_BASIS_NONE);
    assert_close(share(&b, "a", 1), a_1, 1e-6);
    assert_close(share(&b, "b", 2), 1.0, 1e-6);
    assert_close(share(&b, "d", 1), a_1, 1e-6);               /* mean of its cohort: a */
    assert_close(share(&b, "c", 1), 50.0 / 90.0 * a_1, 1e-6); /* a cohort of one: of all */
    assert_close(share(&b, "e", 2), 1.0, 1e-6);
    for (size_t i = 0; i < 5; i++) {
        double sum = 0.0;

        for (int g = 1; g <= 5; g++)
            sum += share(&b, pipes[i].id, g);
        assert_close(sum, 1.0, 1e-5);
    }
    hn_outlook_clear(&out);
    drop(&b);
}

/* Nothing is known of any pipe: every grade is as likely as another, and nothing crashes. */
static void a_network_without_any_condition_takes_equal_shares(void **state)
{
    hn_outlook out;
    built b;

    (void)state;
    begin(&b);
    assert_int_equal(hn_condition_outlook(b.table, &b.plan, 1, &out, NULL), HN_OK);
    for (int g = 1; g <= 5; g++)
        assert_close(share(&b, "c", g), 0.2, 1e-6);
    assert_int_equal(basis(&b, "c"), HN_BASIS_NONE);
    hn_outlook_clear(&out);
    drop(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_not_observed_is_inferred_and_says_so),
        cmocka_unit_test(a_network_without_any_condition_takes_equal_shares),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
