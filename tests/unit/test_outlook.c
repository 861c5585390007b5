/* Rates that grow with age, on the way from the table to shares and chances: against
 * the closed form of the first grade, numerical integration, and the laws that any
 * progressive chain keeps. */
#include "network_fixture.h"
#include "property.h"

#include "base/dates.h"
#include "condition/condition.h"
#include "engineering/chain_likelihood.h"

#include <stdio.h>

enum { PIPES = 6, YEARS = 40 };

static const double rates[HN_GRADES - 1] = {0.01, 0.02, 0.015, 0.03};
static const double growth = 0.03;

typedef struct town {
    built b;
    hn_cohort cohorts[2]; /* 0: by condition, 1: by name only */
    hn_outlook outlook;
} town;

/* 100 m each; ages in 2026: 10, 30, 60, unknown, 30, unknown. The first two were not
 * inspected; 2, 3 in grade 2 and 4 in grade 1, ten years ago. */
static void begin(town *t, double of_first, double of_second)
{
    static const float built_in[PIPES] = {2016, 1996, 1966, NAN, 1996, NAN};
    static const float grade[PIPES] = {NAN, NAN, 2, 2, 1, NAN};
    static const hn_column_id wanted[] = {HN_COL_YEAR_BUILT, HN_COL_YEAR_LINED,
                                          HN_COL_GRADE_STRUCTURAL, HN_COL_INSPECTED_ON};
    static char ids[PIPES][8], up[PIPES][8], down[PIPES][8];
    pipe_row rows[PIPES];

    memset(t, 0, sizeof *t);
    for (size_t i = 0; i < PIPES; i++) {
        const double y = 100.0 * (double)i;

        snprintf(ids[i], sizeof ids[i], "P%zu", i);
        snprintf(up[i], sizeof up[i], "A%zu", i);
        snprintf(down[i], sizeof down[i], "B%zu", i);
        rows[i] = (pipe_row){ids[i], up[i], down[i], 0, y, 100, y};
    }
    build(&t->b, rows, PIPES);
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        assert_int_equal(hn_table_want(t->b.table, wanted[i], NULL), HN_OK);
    for (size_t i = 0; i < PIPES; i++) {
        HN_F32(t->b.table, YEAR_BUILT)[i] = built_in[i];
        HN_F32(t->b.table, YEAR_LINED)[i] = NAN;
        HN_F32(t->b.table, GRADE_STRUCTURAL)[i] = grade[i];
        HN_I32(t->b.table, INSPECTED_ON)
        [i] = isnan(grade[i]) ? HN_I32_MISSING : hn_date_days(2016, 1, 1);
    }
    t->b.table->as_of = t->b.plan.as_of = hn_date_days(2026, 1, 1);
    t->b.table->as_of_year = t->b.plan.as_of_year = 2026;
    t->b.plan.first_year = 2026;
    t->b.plan.horizon_years = YEARS;
    for (int c = 0; c < 2; c++) {
        t->cohorts[c] = (hn_cohort){.id = c ? "named" : "all", .condition = c ? NULL : "1"};
        for (int d = 0; d < HN_DRIVERS; d++) {
            memcpy(t->cohorts[c].rate_per_year[d], rates, sizeof rates);
            t->cohorts[c].growth_per_year[d] = c ? of_second : of_first;
        }
    }
    for (int d = 0; d < HN_DRIVERS; d++)
        for (int g = 0; g < HN_GRADES; g++)
            t->b.plan.config.failure.per_year[d][g] = 0.001 * (g + 1) * (g + 1);
    t->b.plan.config.cohorts = t->cohorts;
    t->b.plan.config.cohort_count = 2;
}

static hn_status look_ahead(town *t, hn_error *err)
{
    return hn_condition_outlook(t->b.table, &t->b.plan, 1, &t->outlook, err);
}

static void end(town *t)
{
    hn_outlook_clear(&t->outlook);
    t->b.plan.config = (hn_config){0};
    drop(&t->b);
}

/* Years at the rates of age 0, by Simpson's rule. */
static double integral(double g, double from, double to)
{
    const int parts = 2000;
    const double h = (to - from) / parts;
    double sum = exp(g * from) + exp(g * to);

    for (int i = 1; i < parts; i++)
        sum += (i % 2 ? 4.0 : 2.0) * exp(g * (from + i * h));
    return sum * h / 3.0;
}

static void shares_begin_at_the_age_of_the_inspection(void **state)
{
    town t;

    (void)state;
    begin(&t, growth, 0.0);
    assert_int_equal(look_ahead(&t, NULL), HN_OK);
    /* a grade is left at its own rate: exp(-rate x integral) stay */
    assert_close(hn_outlook_share(&t.outlook, 0, 0, 0), exp(-rates[0] * integral(growth, 0, 10)),
                 1e-6);
    assert_close(hn_outlook_share(&t.outlook, 0, 0, 1), exp(-rates[0] * integral(growth, 0, 30)),
                 1e-6);
    /* a day more or less than ten years: 3653 days of 365.25 are 10.0014 years */
    assert_close(hn_outlook_share(&t.outlook, 0, 1, 2), exp(-rates[1] * integral(growth, 50, 60)),
                 1e-3);
    assert_close(hn_outlook_share(&t.outlook, 0, 0, 4), exp(-rates[0] * integral(growth, 20, 30)),
                 1e-3);
    end(&t);
}

static void an_unknown_age_is_the_mean_of_its_cohort(void **state)
{
    const double mean = (10 + 30 + 60 + 30) / 4.0; /* equal lengths */
    town t;

    (void)state;
    begin(&t, growth, 0.0);
    assert_int_equal(look_ahead(&t, NULL), HN_OK);
    assert_close(hn_outlook_share(&t.outlook, 0, 1, 3),
                 exp(-rates[1] * integral(growth, mean - 10, mean)), 1e-3);
    assert_int_equal(hn_outlook_class(&t.outlook, 3), 33); /* 32.5, rounded */
    end(&t);
}

static void without_any_age_growth_is_refused(void **state)
{
    hn_error err = {0};
    town t;

    (void)state;
    begin(&t, growth, 0.0);
    for (size_t i = 0; i < PIPES; i++)
        HN_F32(t.b.table, YEAR_BUILT)[i] = NAN;
    assert_int_equal(look_ahead(&t, &err), HN_ERR_INPUT);
    assert_non_null(strstr(err.message, "age"));
    end(&t);
}

/* Chance in year k: shares of that year times the failures of the grades. */
static void later_years_follow_the_age_of_the_segment(void **state)
{
    town t;

    (void)state;
    begin(&t, growth, 0.0);
    assert_int_equal(look_ahead(&t, NULL), HN_OK);
    for (size_t row = 0; row < 2; row++)
        for (size_t k = 0; k < YEARS; k += 3) {
            const double age = row ? 30.0 : 10.0;
            double move[HN_GRADES][HN_GRADES], chance = 0.0;

            hn_chain_matrix(rates, integral(growth, 0, age + (double)k), move);
            for (int g = 0; g < HN_GRADES; g++)
                chance -= move[0][g] * expm1(-t.b.plan.config.failure.per_year[0][g]);
            assert_close(hn_outlook_chance(&t.outlook, row, 0, k), chance, 1e-6);
            assert_close(hn_outlook_worse_share(&t.outlook, row, k), move[0][3] + move[0][4], 1e-5);
        }
    end(&t);
}

static void without_growth_there_is_one_class_a_cohort(void **state)
{
    town t;

    (void)state;
    begin(&t, 0.0, 0.0);
    assert_int_equal(look_ahead(&t, NULL), HN_OK);
    assert_null(t.outlook.age_class);
    assert_int_equal(hn_outlook_classes(&t.outlook), 2);
    assert_int_equal(hn_outlook_later_class(&t.outlook, 1, 30), 1);
    end(&t);
}

static void classes_go_on_by_years_and_end_with_their_cohort(void **state)
{
    town t;
    size_t of_first;

    (void)state;
    begin(&t, growth, 0.02);
    assert_int_equal(look_ahead(&t, NULL), HN_OK);
    of_first = hn_outlook_new_class(&t.outlook, 1);
    assert_int_equal(of_first, 60 + YEARS + 1);
    assert_int_equal(hn_outlook_later_class(&t.outlook, 10, 7), 17);
    assert_int_equal(hn_outlook_later_class(&t.outlook, of_first - 2, 9), of_first - 1);
    assert_int_equal(hn_outlook_later_class(&t.outlook, of_first, 2), of_first + 2);
    /* what is new in the second cohort is at its age 0 */
    for (size_t k = 0; k < YEARS; k += 5) {
        double move[HN_GRADES][HN_GRADES];

        hn_chain_matrix(rates, integral(0.02, 0, (double)k), move);
        assert_close(hn_outlook_worse(&t.outlook, of_first, 0)[k], move[0][3] + move[0][4], 1e-9);
    }
    end(&t);
}

/* Rows sum to 1, nothing improves, more growth or more age is never better, two spans
 * are one long span. */
static void moves_between_ages_keep_the_laws_of_a_chain(void **state)
{
    draws d = {.state = 11};

    (void)state;
    for (int i = 0; i < 3000; i++) {
        const double g = draw(&d, -0.05, 0.1), from = draw(&d, 0, 90);
        const double middle = from + draw(&d, 0, 50), to = middle + draw(&d, 0, 50);
        double q[4], whole[HN_GRADES][HN_GRADES], a[HN_GRADES][HN_GRADES], b[HN_GRADES][HN_GRADES];
        double faster[HN_GRADES][HN_GRADES];

        for (int k = 0; k < 4; k++)
            q[k] = draw_log(&d, 1e-4, 0.2);
        hn_chain_aged_matrix(q, g, from, to, whole);
        hn_chain_aged_matrix(q, g, from, middle, a);
        hn_chain_aged_matrix(q, g, middle, to, b);
        hn_chain_aged_matrix(q, g + 0.01, from, to, faster);
        for (int r = 0; r < HN_GRADES; r++) {
            double sum = 0.0, worse = 0.0, worse_faster = 0.0;

            hn_chain_move(a[r], b, a[r]);
            for (int c = HN_GRADES - 1; c >= 0; c--) {
                sum += whole[r][c];
                worse += whole[r][c];
                worse_faster += faster[r][c];
                assert_law(c >= r || whole[r][c] == 0.0, "case %d improves", i);
                assert_law(fabs(a[r][c] - whole[r][c]) < 1e-9, "case %d: two spans", i);
                assert_law(worse_faster >= worse - 1e-9, "case %d: growth is better", i);
            }
            assert_law(fabs(sum - 1.0) < 1e-9, "case %d: row sums to %.15g", i, sum);
        }
    }
}

static void growth_over_centuries_ends_in_the_worst_grade(void **state)
{
    double p[HN_GRADES][HN_GRADES];

    (void)state;
    hn_chain_aged_matrix(rates, 0.3, 0.0, 300.0, p);
    assert_true(p[0][4] > 1.0 - 1e-6 && p[0][4] < 1.0 + 1e-6);
    hn_chain_aged_matrix(rates, 0.3, 2000.0, 4000.0, p);
    assert_true(p[0][4] > 1.0 - 1e-6 && p[0][4] < 1.0 + 1e-6);
    hn_chain_aged_matrix(rates, NAN, 0.0, 3.0, p);
    assert_true(isnan(p[0][0]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shares_begin_at_the_age_of_the_inspection),
        cmocka_unit_test(an_unknown_age_is_the_mean_of_its_cohort),
        cmocka_unit_test(without_any_age_growth_is_refused),
        cmocka_unit_test(later_years_follow_the_age_of_the_segment),
        cmocka_unit_test(without_growth_there_is_one_class_a_cohort),
        cmocka_unit_test(classes_go_on_by_years_and_end_with_their_cohort),
        cmocka_unit_test(moves_between_ages_keep_the_laws_of_a_chain),
        cmocka_unit_test(growth_over_centuries_ends_in_the_worst_grade),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
