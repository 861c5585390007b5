/* Inspections to rates: what counts as a reading, which rates a cohort gets, what is
 * called doubtful, and the test on segments left out. Pipes and grades are simulated
 * from known rates. */
#include "network_fixture.h"
#include "property.h"

#include "base/dates.h"
#include "condition/condition.h"
#include "condition/fit.h"

#include <stdio.h>

enum { PIPES_MOST = 3000 };

static const double true_rate[HN_CHAIN_RATES] = {0.04, 0.03, 0.03, 0.02};
static const double table_rate[HN_CHAIN_RATES] = {0.3, 0.2, 0.1, 0.05};

typedef struct town {
    built b;
    hn_inspections seen;
    hn_history history;
    hn_cohort cohorts[3];
    uint8_t cohort[PIPES_MOST];
    hn_fit fit;
} town;

static char ids[PIPES_MOST][16], nodes[2 * PIPES_MOST][16];
static pipe_row rows[PIPES_MOST];

/* Pipes that touch nothing, 50 m each; every second one in cohort 1, cohort 2 stays
 * empty. */
static void begin(town *t, size_t pipes)
{
    memset(t, 0, sizeof *t);
    for (size_t i = 0; i < pipes; i++) {
        const double y = 100.0 * (double)i;

        snprintf(ids[i], sizeof ids[i], "P%05zu", i);
        snprintf(nodes[2 * i], sizeof nodes[0], "A%05zu", i);
        snprintf(nodes[2 * i + 1], sizeof nodes[0], "B%05zu", i);
        rows[i] = (pipe_row){ids[i], nodes[2 * i], nodes[2 * i + 1], 0, y, 50, y};
    }
    build(&t->b, rows, pipes);
    assert_int_equal(t->b.table->rows, pipes);
    assert_int_equal(hn_table_want(t->b.table, HN_COL_YEAR_BUILT, NULL), HN_OK);
    assert_int_equal(hn_table_want(t->b.table, HN_COL_YEAR_LINED, NULL), HN_OK);
    t->b.plan.as_of = hn_date_days(2026, 1, 1);
    for (int c = 0; c < 3; c++) {
        t->cohorts[c] = (hn_cohort){.id = "c", .condition = "1", .source = "table"};
        for (int d = 0; d < HN_DRIVERS; d++)
            memcpy(t->cohorts[c].rate_per_year[d], table_rate, sizeof table_rate);
    }
    t->b.plan.config.cohorts = t->cohorts;
    t->b.plan.config.cohort_count = 3;
    for (size_t i = 0; i < pipes; i++)
        t->cohort[i] = i % 2;
    assert_int_equal(hn_inspections_reserve(&t->seen, 3 * pipes + 8, NULL), HN_OK);
    assert_int_equal(hn_inspections_want(&t->seen, HN_COL_GRADE_STRUCTURAL, NULL), HN_OK);
}

static void built_in(town *t, size_t row, double new_in, double lined)
{
    HN_F32(t->b.table, YEAR_BUILT)[row] = (float)new_in;
    HN_F32(t->b.table, YEAR_LINED)[row] = (float)lined;
}

static void see(town *t, size_t row, const char *day, double grade, int complete)
{
    hn_inspections *p = &t->seen;
    const size_t i = p->count++;

    p->segment[i] = hn_text_pool_add(t->b.table->texts, ids[row], strlen(ids[row]));
    p->up_node[i] = p->down_node[i] = 0;
    p->date[i] = HN_I32_MISSING;
    hn_date_parse(day, &p->date[i]);
    p->complete[i] = (uint8_t)complete;
    p->length_seen_m[i] = p->x[i] = p->y[i] = NAN;
    p->source[i] = 0;
    p->number[HN_COL_GRADE_STRUCTURAL][i] = grade;
}

static hn_fit_spec spec_of(town *t, uint64_t seed)
{
    if (!t->history.visit)
        assert_int_equal(
            hn_condition_history(t->b.table, &t->seen, &t->b.plan, &t->b.plane, &t->history, NULL),
            HN_OK);
    return (hn_fit_spec){.table = t->b.table,
                         .history = &t->history,
                         .cohort = t->cohort,
                         .plan = &t->b.plan,
                         .seed = seed,
                         .threads = 2};
}

static void fit(town *t)
{
    const hn_fit_spec spec = spec_of(t, 1);

    assert_int_equal(hn_fit_run(&spec, &t->fit, NULL), HN_OK);
}

static void end(town *t)
{
    hn_fit_clear(&t->fit);
    hn_history_clear(&t->history);
    hn_inspections_clear(&t->seen);
    t->b.plan.config = (hn_config){0};
    drop(&t->b);
}

static int warns(const town *t, const char *rule)
{
    int n = 0;

    for (size_t i = 0; i < t->fit.warnings; i++)
        n += strcmp(t->fit.warning[i].rule, rule) == 0;
    return n;
}

static const hn_cohort_fit *cohort_fit(const town *t, size_t cohort)
{
    return &t->fit.of[cohort * HN_DRIVERS + HN_STRUCTURAL];
}

static int draw_grade(draws *d, int from, double years)
{
    int g = from;

    for (double at = 0; g < HN_GRADES; g++) {
        at += -log(1 - draw(d, 0, 1)) / true_rate[g - 1];
        if (at > years)
            break;
    }
    return g;
}

/* One inspection of each pipe, of every third a second one ten years later. */
static void simulate(town *t, size_t pipes, uint64_t seed)
{
    draws d = {seed};

    for (size_t i = 0; i < pipes; i++) {
        const int year = 1930 + (int)draw_below(&d, 80), seen = 2012 + (int)draw_below(&d, 3);
        const int day = 1 + (int)draw_below(&d, 28), month = 1 + (int)draw_below(&d, 12);
        const double part = hn_date_year(hn_date_days(seen, month, day)) - year;
        const int first = draw_grade(&d, 1, part), second = draw_grade(&d, first, 10);
        char text[16];

        built_in(t, i, year, NAN);
        snprintf(text, sizeof text, "%04d-%02d-%02d", seen, month, day);
        see(t, i, text, first, 1);
        snprintf(text, sizeof text, "%04d-%02d-%02d", seen + 10, month, day);
        if (i % 3 == 0)
            see(t, i, text, second, 1);
    }
}

/* ---- readings ---- */

static void every_inspection_since_the_last_lining_is_kept(void **state)
{
    town t;

    (void)state;
    begin(&t, 4);
    built_in(&t, 0, 1950, 2010);
    built_in(&t, 1, 1950, NAN);
    built_in(&t, 2, 2005, NAN);
    built_in(&t, 3, NAN, NAN);
    see(&t, 0, "2015-06-01", 2, 1);
    see(&t, 0, "2009-06-01", 5, 1); /* of the old pipe */
    see(&t, 0, "2012-06-01", 1, 1);
    see(&t, 1, "2015-06-01", 3.5, 1);
    see(&t, 1, "2016-06-01", 3, 0);
    see(&t, 1, "", 3, 1);
    see(&t, 1, "2027-06-01", 3, 1);
    see(&t, 2, "2004-06-01", 2, 1);
    see(&t, 3, "2004-06-01", 2, 1);
    see(&t, 3, "2014-06-01", 3, 1);
    fit(&t);
    assert_int_equal(t.history.count, 7);
    assert_int_equal(t.history.before_lining, 1);
    assert_int_equal(t.history.undated, 1);
    assert_int_equal(t.history.in_future, 1);
    assert_int_equal(t.fit.before_built, 1);
    assert_int_equal(t.history.visit[0].date, hn_date_days(2012, 6, 1)); /* the earliest first */
    assert_int_equal(t.history.visit[0].grades[HN_STRUCTURAL], HN_GRADE_ONLY(1));
    assert_int_equal(t.history.visit[2].grades[HN_STRUCTURAL], HN_GRADE_ONLY(3) | HN_GRADE_ONLY(4));
    assert_int_equal(t.history.visit[3].grades[HN_STRUCTURAL], HN_GRADE_AT_LEAST(3));
    assert_close(t.history.new_in_year[0], 2010, 1e-12);
    /* pipes 0 and 1 by age and one pair each; pipe 3, of unknown age, a pair alone */
    const hn_fit_records *all = &cohort_fit(&t, 3)->records;
    assert_int_equal(all->cross_section, 2);
    assert_int_equal(all->pairs, 3);
    assert_int_equal(all->readings, 5);
    assert_int_equal(all->no_age, 1);
    assert_int_equal(all->partial, 1);
    end(&t);
}

/* Kish: pipes of 50, 50 and 200 m weigh as (300)^2 / (2500 + 2500 + 40000) = 2. */
static void lengths_weigh_and_cost_effective_records(void **state)
{
    town t;

    (void)state;
    begin(&t, 3);
    HN_F64(t.b.table, LENGTH_M)[2] = 200;
    for (size_t i = 0; i < 3; i++) {
        built_in(&t, i, 1980, NAN);
        see(&t, i, "2015-06-01", 2, 1);
    }
    fit(&t);
    assert_close(cohort_fit(&t, 3)->records.effective, 2.0, 1e-9);
    end(&t);
}

/* ---- rates ---- */

static void simulated_rates_come_back(void **state)
{
    town t;

    (void)state;
    begin(&t, 2400);
    simulate(&t, 2400, 5);
    fit(&t);
    for (size_t c = 0; c < 2; c++) {
        const hn_cohort_fit *f = cohort_fit(&t, c);

        assert_int_equal(f->method, HN_FIT_OWN);
        assert_int_equal(f->records.segments, 1200);
        for (int k = 0; k < HN_CHAIN_RATES; k++)
            assert_law(fabs(log(f->rate_per_year[k] / true_rate[k])) < 3.5 * f->fit.se_log_rate[k],
                       "cohort %zu, rate %d: %g", c, k, f->rate_per_year[k]);
    }
    assert_int_equal(cohort_fit(&t, 2)->method, HN_FIT_KEPT);
    assert_memory_equal(cohort_fit(&t, 2)->rate_per_year, table_rate, sizeof table_rate);
    assert_int_equal(t.fit.warnings, 0);
    /* observed and predicted shares of the bands add up, and are near each other */
    const hn_fit_band *band = &t.fit.band[3 * HN_DRIVERS * HN_FIT_BANDS];
    for (int b = 0; b < HN_FIT_BANDS; b++) {
        double observed = 0, predicted = 0;

        for (int g = 0; g < HN_GRADES; g++) {
            observed += band[b].observed[g];
            predicted += band[b].predicted[g];
            assert_true(band[b].readings < 200 ||
                        fabs(band[b].observed[g] - band[b].predicted[g]) < 0.1 * band[b].weight);
        }
        assert_true(fabs(observed - band[b].weight) < 1e-6 * (band[b].weight + 1));
        assert_true(fabs(predicted - band[b].weight) < 1e-6 * (band[b].weight + 1));
    }
    end(&t);
}

/* Rates that double in 23 years: found, used, and better on the segments left out. */
static void growth_is_used_where_it_shows(void **state)
{
    const double growth = 0.03;
    town t;
    draws d = {17};
    hn_fit_reliability with[HN_DRIVERS], without[HN_DRIVERS];
    hn_fit_spec spec;

    (void)state;
    begin(&t, 2400);
    for (size_t i = 0; i < 2400; i++) {
        const int year = 1930 + (int)draw_below(&d, 80);
        const double age = hn_date_year(hn_date_days(2014, 6, 15)) - year;

        built_in(&t, i, year, NAN);
        t.cohort[i] = i % 60 == 0;
        see(&t, i, "2014-06-15",
            draw_grade(&d, 1, 0.25 * hn_chain_operational_years(growth, 0, age)), 1);
    }
    fit(&t);
    assert_int_equal(cohort_fit(&t, 0)->method, HN_FIT_OWN);
    assert_law(fabs(cohort_fit(&t, 0)->growth_per_year - growth) <
                   3.5 * cohort_fit(&t, 0)->fit.growth_se,
               "growth %g", cohort_fit(&t, 0)->growth_per_year);
    for (int k = 0; k < HN_CHAIN_RATES; k++) {
        const hn_cohort_fit *f = cohort_fit(&t, 0);

        assert_law(fabs(log(f->rate_per_year[k] / (0.25 * true_rate[k]))) <
                       3.5 * f->fit.se_log_rate[k],
                   "rate %d: %g", k, f->rate_per_year[k]);
        assert_true(f->fit.low[k] < f->rate_per_year[k] && f->rate_per_year[k] < f->fit.high[k]);
    }
    /* forty pipes: constant rates with a prior */
    assert_int_equal(cohort_fit(&t, 1)->method, HN_FIT_PRIOR);
    assert_true(cohort_fit(&t, 1)->growth_per_year == 0.0);
    spec = spec_of(&t, 3);
    assert_int_equal(hn_fit_backtest(&spec, without, NULL), HN_OK);
    spec.whole = &t.fit;
    assert_int_equal(hn_fit_backtest(&spec, with, NULL), HN_OK);
    assert_int_equal(with[0].held_out, without[0].held_out);
    assert_true(with[0].brier < without[0].brier);
    end(&t);
}

static void few_records_lean_on_the_others(void **state)
{
    town t;

    (void)state;
    begin(&t, 600);
    for (size_t i = 0; i < 600; i++)
        t.cohort[i] = i < 60 ? 1 : i < 66 ? 2 : 0;
    simulate(&t, 600, 6);
    fit(&t);
    assert_int_equal(cohort_fit(&t, 0)->method, HN_FIT_OWN);
    assert_int_equal(cohort_fit(&t, 1)->method, HN_FIT_PRIOR);
    assert_int_equal(cohort_fit(&t, 2)->method, HN_FIT_POOLED);
    assert_memory_equal(cohort_fit(&t, 2)->rate_per_year, cohort_fit(&t, 3)->rate_per_year,
                        sizeof true_rate);
    for (int k = 0; k < HN_CHAIN_RATES; k++) /* no interval wider than the prior's own */
        assert_true(cohort_fit(&t, 1)->fit.se_log_rate[k] < 0.5);
    end(&t);
}

static void the_fit_is_the_same_for_any_threads(void **state)
{
    town t;
    hn_fit other;
    hn_fit_spec spec;

    (void)state;
    begin(&t, 500);
    simulate(&t, 500, 7);
    fit(&t);
    spec = spec_of(&t, 1);
    spec.threads = 1;
    assert_int_equal(hn_fit_run(&spec, &other, NULL), HN_OK);
    assert_memory_equal(other.of, t.fit.of, 4 * HN_DRIVERS * sizeof *other.of);
    hn_fit_clear(&other);
    end(&t);
}

/* ---- doubt ---- */

static void grades_of_one_day_are_doubtful(void **state)
{
    town t;

    (void)state;
    begin(&t, 300);
    simulate(&t, 200, 8);
    for (size_t i = 200; i < 300; i++) {
        built_in(&t, i, 1960, NAN);
        see(&t, i, "2020-12-31", 3, 1);
    }
    fit(&t);
    assert_int_equal(warns(&t, "assigned_in_one_day"), 1);
    end(&t);
}

static void grades_that_follow_the_year_are_doubtful(void **state)
{
    town t;

    (void)state;
    begin(&t, 200);
    for (size_t i = 0; i < 200; i++) {
        char day[16];

        built_in(&t, i, 1930 + (double)(i / 2 % 80), NAN);
        snprintf(day, sizeof day, "2020-%02zu-%02zu", 1 + i % 12, 1 + i % 27);
        see(&t, i, day, 5 - floor((double)(i / 2 % 80) / 16), 1);
    }
    fit(&t);
    assert_int_equal(warns(&t, "grade_follows_year"), 1);
    assert_int_equal(warns(&t, "better_with_age"), 0);
    end(&t);
}

static void a_scale_turned_round_is_noticed(void **state)
{
    town t;

    (void)state;
    begin(&t, 400);
    simulate(&t, 400, 9);
    for (size_t i = 0; i < t.seen.count; i++)
        t.seen.number[HN_COL_GRADE_STRUCTURAL][i] = 6 - t.seen.number[HN_COL_GRADE_STRUCTURAL][i];
    fit(&t);
    assert_int_equal(warns(&t, "better_with_age"), 1);
    assert_int_equal(warns(&t, "improving_left_out"), 1);
    end(&t);
}

static void copied_grades_are_noticed(void **state)
{
    town t;
    draws d = {10};

    (void)state;
    begin(&t, 80);
    for (size_t i = 0; i < 80; i++) {
        const double grade = 1 + (double)draw_below(&d, 4);

        built_in(&t, i, 1930 + (double)draw_below(&d, 60), NAN);
        see(&t, i, i % 2 ? "2004-05-04" : "2004-06-04", grade, 1);
        see(&t, i, i % 2 ? "2014-05-04" : "2014-06-04", grade, 1);
    }
    fit(&t);
    assert_int_equal(warns(&t, "pairs_never_differ"), 1);
    end(&t);
}

static void one_grade_only_is_noticed(void **state)
{
    town t;

    (void)state;
    begin(&t, 40);
    for (size_t i = 0; i < 40; i++) {
        built_in(&t, i, 1980 + (double)(i % 9), NAN);
        see(&t, i, i % 2 ? "2004-05-04" : "2004-06-04", 1, 1);
    }
    fit(&t);
    assert_int_equal(warns(&t, "one_grade_only"), 3); /* both cohorts and all */
    end(&t);
}

/* With a misreading matrix the better grade counts, without it it does not. */
static void better_grades_count_with_a_misreading_matrix(void **state)
{
    static const double read[HN_GRADES][HN_GRADES] = {{0.8, 0.2, 0, 0, 0},
                                                      {0.2, 0.6, 0.2, 0, 0},
                                                      {0, 0.2, 0.6, 0.2, 0},
                                                      {0, 0, 0.2, 0.6, 0.2},
                                                      {0, 0, 0, 0.2, 0.8}};
    town t;
    hn_fit_spec spec;

    (void)state;
    begin(&t, 300);
    simulate(&t, 299, 11);
    built_in(&t, 299, 1950, NAN);
    see(&t, 299, "2000-01-05", 3, 1);
    see(&t, 299, "2010-01-05", 2, 1);
    spec = spec_of(&t, 1);
    spec.read = read;
    assert_int_equal(hn_fit_run(&spec, &t.fit, NULL), HN_OK);
    assert_int_equal(cohort_fit(&t, 3)->records.improving, 1);
    assert_int_equal(warns(&t, "improving_left_out"), 0);
    const size_t with = cohort_fit(&t, 3)->records.pairs;
    hn_fit_clear(&t.fit);
    fit(&t);
    assert_int_equal(warns(&t, "improving_left_out"), 1);
    assert_int_equal(cohort_fit(&t, 3)->records.pairs, with - 1);
    end(&t);
}

/* ---- segments left out ---- */

static void left_out_segments_test_the_fit(void **state)
{
    town t;
    hn_fit_reliability test[HN_DRIVERS];
    hn_fit_spec spec;
    double predicted = 0;
    size_t readings = 0, bad = 0;

    (void)state;
    begin(&t, 2000);
    simulate(&t, 2000, 12);
    spec = spec_of(&t, 3);
    assert_int_equal(hn_fit_backtest(&spec, test, NULL), HN_OK);
    const hn_fit_reliability *r = &test[HN_STRUCTURAL];
    assert_int_equal(r->held_out + r->fitted, 2000);
    assert_true(r->held_out > 320 && r->held_out < 480);
    for (int k = 0; k < HN_FIT_BINS; k++) {
        readings += r->bin[k].readings;
        bad += r->bin[k].bad;
        predicted += r->bin[k].predicted;
        if (r->bin[k].readings >= 50) { /* 4 standard deviations of a share */
            const double n = (double)r->bin[k].readings, p = r->bin[k].predicted / n;

            assert_true(fabs((double)r->bin[k].bad / n - p) < 4 * sqrt(p * (1 - p) / n));
        }
    }
    assert_true(fabs((double)bad - predicted) < 4 * sqrt(predicted));
    assert_true(readings > r->held_out); /* second inspections count too */
    assert_true(r->brier < r->brier_share);
    assert_true(r->right_order > 0.6 && r->right_order < 1);
    /* another seed, other segments */
    const size_t first = r->held_out;
    const double brier = r->brier;
    spec.seed = 4;
    assert_int_equal(hn_fit_backtest(&spec, test, NULL), HN_OK);
    assert_true(test[HN_STRUCTURAL].held_out != first || test[HN_STRUCTURAL].brier != brier);
    spec.seed = 3;
    assert_int_equal(hn_fit_backtest(&spec, test, NULL), HN_OK);
    assert_true(test[HN_STRUCTURAL].held_out == first && test[HN_STRUCTURAL].brier == brier);
    end(&t);
}

/* Every allocation that fails ends in "out of memory", and nothing is lost. */
static void short_memory_is_told(void **state)
{
    town t;
    hn_fit_spec spec;
    size_t live, failures = 0;

    (void)state;
    begin(&t, 60);
    simulate(&t, 60, 13);
    spec = spec_of(&t, 1);
    spec.threads = 1;
    live = hn_alloc_live();
    for (size_t nth = 1; nth < 4000; nth += 1 + nth / 8) {
        hn_fit_reliability test[HN_DRIVERS];
        hn_fit out;
        hn_status rc;

        hn_alloc_fail_after(nth);
        rc = hn_fit_run(&spec, &out, NULL);
        if (rc == HN_OK)
            rc = hn_fit_backtest(&spec, test, NULL);
        hn_alloc_fail_after(0);
        hn_fit_clear(&out);
        assert_int_equal(hn_alloc_live(), live);
        if (rc == HN_OK)
            break;
        assert_int_equal(rc, HN_ERR_MEMORY);
        failures++;
    }
    assert_true(failures > 10);
    end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_inspection_since_the_last_lining_is_kept),
        cmocka_unit_test(lengths_weigh_and_cost_effective_records),
        cmocka_unit_test(simulated_rates_come_back),
        cmocka_unit_test(growth_is_used_where_it_shows),
        cmocka_unit_test(few_records_lean_on_the_others),
        cmocka_unit_test(the_fit_is_the_same_for_any_threads),
        cmocka_unit_test(grades_of_one_day_are_doubtful),
        cmocka_unit_test(grades_that_follow_the_year_are_doubtful),
        cmocka_unit_test(a_scale_turned_round_is_noticed),
        cmocka_unit_test(copied_grades_are_noticed),
        cmocka_unit_test(one_grade_only_is_noticed),
        cmocka_unit_test(better_grades_count_with_a_misreading_matrix),
        cmocka_unit_test(left_out_segments_test_the_fit),
        cmocka_unit_test(short_memory_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
