/* Grades moved to today and on. Per cohort and driver the chain is tabulated
 * once in steps of a tenth of a year; a segment then needs a look-up. Where rates
 * grow with age, a segment that was inspected needs its own two ages. */
#include "base/alloc.h"
#include "base/dates.h"
#include "base/parallel.h"
#include "condition/outlook_parts.h"
#include "table/condition_run.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { COHORTS_MAX = 250 };

static size_t step_of(double years)
{
    double step = floor(years * HN_OUTLOOK_STEPS_PER_YEAR + 0.5);

    return step >= HN_OUTLOOK_STEPS ? HN_OUTLOOK_STEPS - 1 : step > 0.0 ? (size_t)step : 0;
}

static double inspection_age_of(const hn_outlook_job *job, size_t row)
{
    const double age = hn_table_derived(job->table, HN_COL_INSPECTION_AGE, row);

    return (isnan(age) ? 0.0 : age) + hn_outlook_wait(job);
}

static double age_of(const hn_outlook_job *job, size_t row)
{
    return hn_table_derived(job->table, HN_COL_AGE, row) + hn_outlook_wait(job);
}

static size_t step_of_year(size_t k)
{
    return k * HN_OUTLOOK_STEPS_PER_YEAR < HN_OUTLOOK_STEPS ? k * HN_OUTLOOK_STEPS_PER_YEAR
                                                            : HN_OUTLOOK_STEPS - 1;
}

/* ---- tables per cohort ---- */

/* A town has fewer ages than there are steps: the others need no matrix. */
static void ask_for_steps(hn_outlook_job *job)
{
    for (int k = 0; k < job->plan->horizon_years; k++)
        job->asked[step_of_year((size_t)k)] = 1;
    for (size_t row = 0; row < job->table->rows; row++) {
        const double age = age_of(job, row);

        job->asked[step_of(inspection_age_of(job, row))] = 1;
        if (!isnan(age))
            job->asked[step_of(age)] = 1;
    }
}

static hn_status tabulate_moves(hn_outlook_job *job, hn_error *err)
{
    size_t n = job->plan->config.cohort_count * HN_DRIVERS;

    job->chains = hn_alloc(n, sizeof *job->chains);
    if (!job->chains)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < n; i++) {
        const double *rates = job->cohorts[i / HN_DRIVERS].rate_per_year[i % HN_DRIVERS];
        const double growth = job->cohorts[i / HN_DRIVERS].growth_per_year[i % HN_DRIVERS];

        job->chains[i].move = hn_alloc(HN_OUTLOOK_STEPS, sizeof *job->chains[i].move);
        if (!job->chains[i].move)
            return hn_fail(err, HN_ERR_MEMORY, "out of memory");
        for (int s = 0; s < HN_OUTLOOK_STEPS; s++)
            if (job->asked[s])
                hn_chain_aged_matrix(rates, growth, 0.0, (double)s / HN_OUTLOOK_STEPS_PER_YEAR,
                                     job->chains[i].move[s]);
    }
    return HN_OK;
}

/* ---- cohort of each segment ---- */

static void take_cohort(void *context, size_t begin, size_t end, const uint8_t *truth,
                        size_t stride)
{
    hn_outlook_job *job = context;

    for (size_t row = begin; row < end; row++) {
        size_t rule = 0;

        while (rule + 1 < job->cohort_rules && truth[rule * stride + (row - begin)] != HN_TRUE)
            rule++;
        job->out->cohort[row] = job->rule_cohort[rule];
    }
}

static hn_status find_cohorts(hn_outlook_job *job, int threads, hn_error *err)
{
    const char *expression[256], *where[256];
    char where_text[256][96];

    for (size_t i = 0; i < job->plan->config.cohort_count && i < 255; i++) {
        if (!job->cohorts[i].condition)
            continue;
        expression[job->cohort_rules] = job->cohorts[i].condition;
        snprintf(where_text[job->cohort_rules], sizeof where_text[0], "deterioration, cohort %s",
                 job->cohorts[i].id);
        where[job->cohort_rules] = where_text[job->cohort_rules];
        job->rule_cohort[job->cohort_rules++] = (uint8_t)i;
    }
    if (job->cohort_rules == 0)
        return hn_fail(err, HN_ERR_PLAN, "deterioration: no cohort has a condition");
    return hn_condition_run_truth(job->table, expression, where, job->cohort_rules, threads,
                                  take_cohort, job, err);
}

/* ---- today's shares ---- */

static const hn_column_id grade_column[HN_DRIVERS] = {HN_COL_GRADE_STRUCTURAL, HN_COL_GRADE_SERVICE,
                                                      HN_COL_GRADE_TIGHTNESS};

/* From the age at the inspection to today. Constant rates: a look-up. */
static void move_observed(const hn_outlook_job *job, size_t cohort, int driver, double age,
                          double inspection_age, double share[HN_GRADES])
{
    const hn_cohort *c = &job->cohorts[cohort];
    double move[HN_GRADES][HN_GRADES];

    if (c->growth_per_year[driver] == 0.0) {
        hn_chain_move(
            share, job->chains[cohort * HN_DRIVERS + (size_t)driver].move[step_of(inspection_age)],
            share);
        return;
    }
    age = fmax(isnan(age) ? job->mean_age[cohort] : age, 0.0);
    hn_chain_aged_matrix(c->rate_per_year[driver], c->growth_per_year[driver],
                         fmax(age - inspection_age, 0.0), fmax(age, inspection_age), move);
    hn_chain_move(share, move, share);
}

/* Shares of one driver today: from its observed grade, else from its age.
 * Returns 1 observed, 0 from age, -1 nothing known (shares NaN). */
static int shares_today(const hn_outlook_job *job, size_t row, int driver, double age,
                        double inspection_age, double share[HN_GRADES])
{
    const size_t cohort = job->out->cohort[row];
    const hn_chain_table *chain = &job->chains[cohort * HN_DRIVERS + (size_t)driver];
    double grade = (double)hn_f32(job->table, grade_column[driver], row);

    if (!isnan(grade)) {
        hn_chain_start(grade, share);
        move_observed(job, cohort, driver, age, inspection_age, share);
        return 1;
    }
    if (!isnan(age)) {
        memcpy(share, chain->move[step_of(age)][0], sizeof(double) * HN_GRADES);
        return 0;
    }
    for (int g = 0; g < HN_GRADES; g++)
        share[g] = (double)NAN;
    return -1;
}

static int is_missing(const hn_outlook_job *job, size_t row, int driver)
{
    return driver == HN_STRUCTURAL ? isnan(HN_F32(job->table, STRUCT_1)[row]) != 0
                                   : job->out->other[driver][0][row] == HN_SHARE_MISSING;
}

/* Grade 1 takes what the rounding of the others leaves. */
static void store_whole(hn_outlook *out, size_t row, int driver, const double share[HN_GRADES])
{
    int left = HN_SHARE_UNIT;

    for (int g = HN_GRADES - 1; g > 0; g--) {
        int part = (int)(share[g] * HN_SHARE_UNIT + 0.5);

        part = part < left ? part : left;
        out->other[driver][g][row] = (uint16_t)part;
        left -= part;
    }
    out->other[driver][0][row] = (uint16_t)left;
}

static void store_shares(hn_outlook_job *job, size_t row, int driver, const double share[HN_GRADES])
{
    for (int g = 0; g < HN_GRADES && driver == HN_STRUCTURAL; g++)
        ((float *)job->table->column[HN_COL_STRUCT_1 + g])[row] = (float)share[g];
    if (driver == HN_STRUCTURAL)
        return;
    if (isnan(share[0]))
        job->out->other[driver][0][row] = HN_SHARE_MISSING;
    else
        store_whole(job->out, row, driver, share);
}

static void fill_rows(void *context, size_t begin, size_t end, int worker)
{
    hn_outlook_job *job = context;
    hn_table *t = job->table;

    (void)worker;
    for (size_t i = begin; i < end; i++) {
        const double inspection_age = inspection_age_of(job, i), age = age_of(job, i);
        double share[HN_GRADES];
        int known;

        for (int d = 0; d < HN_DRIVERS; d++) {
            known = shares_today(job, i, d, age, inspection_age, share);
            store_shares(job, i, d, share);
            if (d == HN_STRUCTURAL)
                HN_CODE(t, CONDITION_BASIS)
            [i] = (uint8_t)(known > 0    ? HN_BASIS_OBSERVED
                            : known == 0 ? HN_BASIS_INFERRED
                                         : HN_BASIS_NONE);
        }
        HN_STR(t, COHORT)[i] = job->cohort_text[job->out->cohort[i]];
    }
}

/* Length-weighted mean of the segments of a cohort that have data; the mean of
 * the whole network where a cohort has none. */
static void take_means(hn_outlook_job *job)
{
    hn_outlook *out = job->out;
    double weight[256][HN_DRIVERS] = {{0}}, total[HN_DRIVERS] = {0};

    for (size_t i = 0; i < out->rows; i++) {
        double length = hn_f64(job->table, HN_COL_LENGTH_M, i);

        for (int d = 0; d < HN_DRIVERS; d++) {
            if (is_missing(job, i, d) || isnan(length))
                continue;
            weight[out->cohort[i]][d] += length;
            total[d] += length;
            for (int g = 0; g < HN_GRADES; g++) {
                job->mean[out->cohort[i]][d][g] += length * hn_outlook_share(out, d, g, i);
                job->all[d][g] += length * hn_outlook_share(out, d, g, i);
            }
        }
    }
    for (int d = 0; d < HN_DRIVERS; d++)
        for (int g = 0; g < HN_GRADES; g++) {
            job->all[d][g] = total[d] > 0.0 ? job->all[d][g] / total[d] : 0.2;
            for (size_t c = 0; c < out->cohorts; c++)
                job->mean[c][d][g] =
                    weight[c][d] > 0.0 ? job->mean[c][d][g] / weight[c][d] : job->all[d][g];
        }
}

static void finish_rows(void *context, size_t begin, size_t end, int worker)
{
    static const hn_column_id chance[HN_DRIVERS] = {HN_COL_CHANCE_STRUCTURAL, HN_COL_CHANCE_SERVICE,
                                                    HN_COL_CHANCE_TIGHTNESS};
    static const hn_column_id now[HN_DRIVERS] = {HN_COL_GRADE_NOW, HN_COL_SERVICE_NOW,
                                                 HN_COL_TIGHT_NOW};
    hn_outlook_job *job = context;
    hn_outlook *out = job->out;

    (void)worker;
    for (size_t i = begin; i < end; i++) {
        for (int d = 0; d < HN_DRIVERS; d++) {
            double share[HN_GRADES];

            if (is_missing(job, i, d))
                store_shares(job, i, d, job->mean[out->cohort[i]][d]);
            for (int g = 0; g < HN_GRADES; g++)
                share[g] = hn_outlook_share(out, d, g, i);
            ((float *)job->table->column[now[d]])[i] = (float)hn_chain_mean_grade(share);
            ((float *)job->table->column[chance[d]])[i] = (float)hn_outlook_chance(out, i, d, 0);
        }
    }
}

static hn_status want_columns(hn_outlook_job *job, hn_error *err)
{
    static const hn_column_id mine[] = {
        HN_COL_CONDITION_BASIS, HN_COL_COHORT,           HN_COL_GRADE_NOW,
        HN_COL_SERVICE_NOW,     HN_COL_TIGHT_NOW,        HN_COL_CHANCE_STRUCTURAL,
        HN_COL_CHANCE_SERVICE,  HN_COL_CHANCE_TIGHTNESS, HN_COL_STRUCT_1,
        HN_COL_STRUCT_2,        HN_COL_STRUCT_3,         HN_COL_STRUCT_4,
        HN_COL_STRUCT_5};
    hn_outlook *out = job->out;
    hn_status rc = HN_OK;

    for (size_t i = 0; i < sizeof mine / sizeof mine[0]; i++)
        HN_TRY(hn_table_want(job->table, mine[i], err));
    out->rows = job->table->rows;
    for (int g = 0; g < HN_GRADES; g++) {
        out->structural[g] = job->table->column[HN_COL_STRUCT_1 + g];
        for (int d = HN_SERVICE; d < HN_DRIVERS; d++) {
            out->other[d][g] = hn_alloc(out->rows, sizeof *out->other[d][g]);
            HN_TRY_ALLOC(out->other[d][g]);
        }
    }
    out->cohort = hn_alloc(out->rows, 1);
    HN_TRY_ALLOC(out->cohort);
    job->cohort_text = hn_alloc(job->plan->config.cohort_count, sizeof *job->cohort_text);
    HN_TRY_ALLOC(job->cohort_text);
    for (size_t i = 0; i < job->plan->config.cohort_count; i++)
        job->cohort_text[i] =
            hn_text_pool_add(job->table->texts, job->cohorts[i].id, strlen(job->cohorts[i].id));
out:
    return rc;
}

hn_status hn_condition_outlook(hn_table *table, const hn_plan *plan, int threads, hn_outlook *out,
                               hn_error *err)
{
    hn_outlook_job *job = hn_alloc(1, sizeof *job);
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out);
    HN_TRY_ALLOC(job);
    job->table = table;
    job->plan = plan;
    job->out = out;
    job->cohorts = plan->config.cohorts;
    if (plan->config.cohort_count > COHORTS_MAX)
        HN_TRY(hn_fail(err, HN_ERR_PLAN, "deterioration: more than %d cohorts", COHORTS_MAX));
    HN_TRY(want_columns(job, err));
    ask_for_steps(job);
    HN_TRY(tabulate_moves(job, err));
    HN_TRY(find_cohorts(job, threads, err));
    HN_TRY(hn_outlook_class_rows(job, err));
    HN_TRY(hn_outlook_tabulate_years(job, err));
    hn_parallel(threads, table->rows, fill_rows, job);
    take_means(job);
    hn_parallel(threads, table->rows, finish_rows, job);
out:
    if (job) {
        for (size_t i = 0; job->chains && i < plan->config.cohort_count * HN_DRIVERS; i++)
            hn_free(job->chains[i].move);
        hn_free(job->chains);
        hn_free(job->cohort_text);
    }
    hn_free(job);
    return rc;
}
