/* What a grade of a class leads to, year by year.
 *
 * Where rates grow with age a class is a cohort at one whole year of age: the
 * moves of single years of age are tabulated once and chained, so that all
 * classes together cost one small product a year. */
#include "condition/outlook_parts.h"

#include "base/alloc.h"

#include <math.h>
#include <string.h>

/* ---- mean ages ---- */

/* NaN where no segment has an age. */
static double mean_ages(hn_outlook_job *job)
{
    double weight[256] = {0}, sum[256] = {0}, all_weight = 0.0, all_sum = 0.0;

    for (size_t i = 0; i < job->table->rows; i++) {
        const double age = hn_table_derived(job->table, HN_COL_AGE, i);
        const double length = hn_f64(job->table, HN_COL_LENGTH_M, i);

        if (isnan(age) || !(length > 0.0))
            continue;
        sum[job->out->cohort[i]] += length * age;
        weight[job->out->cohort[i]] += length;
        all_sum += length * age;
        all_weight += length;
    }
    for (size_t c = 0; c < job->plan->config.cohort_count; c++)
        job->mean_age[c] = fmax(hn_outlook_wait(job) +
                                    (weight[c] > 0.0 ? sum[c] / weight[c] : all_sum / all_weight),
                                0.0);
    return all_sum / all_weight;
}

/* ---- classes ---- */

static double age_of(const hn_outlook_job *job, size_t row)
{
    const double age = hn_table_derived(job->table, HN_COL_AGE, row) + hn_outlook_wait(job);

    return isnan(age) ? job->mean_age[job->out->cohort[row]] : fmax(age, 0.0);
}

static void take_classes(const hn_outlook_job *job)
{
    hn_outlook *out = job->out;

    for (size_t i = 0; i < out->rows; i++) {
        const size_t c = out->cohort[i];
        const size_t count = out->first_class[c + 1] - out->first_class[c];
        const double age = floor(age_of(job, i) + 0.5);

        out->age_class[i] = (uint8_t)(age < (double)count ? age : (double)(count - 1));
    }
}

/* As many as a segment of the cohort can need within the horizon. */
static void count_classes(const hn_outlook_job *job, double oldest)
{
    const double needed = ceil(oldest) + job->plan->horizon_years + 1.0;
    const uint32_t most = (uint32_t)fmin(needed, HN_OUTLOOK_YEARS_MAX + 1.0);

    for (size_t c = 0; c < job->out->cohorts; c++)
        job->out->first_class[c + 1] =
            job->out->first_class[c] + (hn_cohort_has_growth(&job->cohorts[c]) ? most : 1);
}

hn_status hn_outlook_class_rows(hn_outlook_job *job, hn_error *err)
{
    hn_outlook *out = job->out;
    double oldest = 0.0;
    int any = 0;

    out->cohorts = job->plan->config.cohort_count;
    for (size_t c = 0; c < out->cohorts; c++)
        any |= hn_cohort_has_growth(&job->cohorts[c]);
    if (!any)
        return HN_OK;
    if (isnan(mean_ages(job)) && out->rows > 0) {
        hn_fail(err, HN_ERR_INPUT, "rates grow with age, but no segment has an age");
        hn_hint(err, "give years of construction, or leave growth_per_year of the table of "
                     "deterioration out");
        return HN_ERR_INPUT;
    }
    out->age_class = hn_alloc(out->rows ? out->rows : 1, 1);
    out->first_class = hn_alloc(out->cohorts + 1, sizeof *out->first_class);
    if (!out->age_class || !out->first_class)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < out->rows; i++)
        oldest = fmax(oldest, age_of(job, i));
    count_classes(job, oldest);
    take_classes(job);
    return HN_OK;
}

/* ---- chances ---- */

/* Chance of at least one failure in a year at a constant rate. */
static double yearly_chance(double rate_per_year)
{
    return -expm1(-rate_per_year);
}

static void put_year(const hn_outlook_job *job, size_t class, int driver, int grade, size_t k,
                     const double share[HN_GRADES])
{
    hn_outlook *out = job->out;
    const size_t at =
        ((class * HN_OUTLOOK_DRIVERS + (size_t)driver) * HN_OUTLOOK_GRADES + (size_t)grade) *
        out->years;
    double chance = 0.0;

    for (int g = 0; g < HN_GRADES; g++)
        chance += share[g] * yearly_chance(job->plan->config.failure.per_year[driver][g]);
    out->annual[at + k] = chance;
    if (driver == HN_STRUCTURAL)
        out->worse[(class * HN_OUTLOOK_GRADES + (size_t)grade) * out->years + k] =
            share[3] + share[4];
}

static void tabulate_constant(const hn_outlook_job *job, size_t class, size_t cohort, int driver)
{
    const hn_chain_table *chain = &job->chains[cohort * HN_DRIVERS + (size_t)driver];

    for (int g = 0; g < HN_GRADES; g++)
        for (size_t k = 0; k < job->out->years; k++) {
            size_t step = k * HN_OUTLOOK_STEPS_PER_YEAR < HN_OUTLOOK_STEPS
                              ? k * HN_OUTLOOK_STEPS_PER_YEAR
                              : HN_OUTLOOK_STEPS - 1;

            put_year(job, class, driver, g, k, chain->move[step][g]);
        }
}

/* year[a]: from age a to a + 1. */
static void tabulate_aged(const hn_outlook_job *job, size_t class, size_t age, int driver,
                          double (*year)[HN_GRADES][HN_GRADES])
{
    for (int g = 0; g < HN_GRADES; g++) {
        double share[HN_GRADES] = {0};

        share[g] = 1.0;
        for (size_t k = 0; k < job->out->years; k++) {
            put_year(job, class, driver, g, k, share);
            hn_chain_move(share, year[age + k], share);
        }
    }
}

static hn_status tabulate_cohort(const hn_outlook_job *job, size_t cohort, int driver,
                                 hn_error *err)
{
    const hn_outlook *out = job->out;
    const hn_cohort *c = &job->cohorts[cohort];
    const size_t first = hn_outlook_new_class(out, cohort);
    const size_t count = out->age_class ? out->first_class[cohort + 1] - first : 1;
    double(*year)[HN_GRADES][HN_GRADES];

    if (c->growth_per_year[driver] == 0.0) {
        for (size_t i = 0; i < count; i++)
            tabulate_constant(job, first + i, cohort, driver);
        return HN_OK;
    }
    year = hn_alloc(count + out->years, sizeof *year);
    if (!year)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t a = 0; a < count + out->years; a++)
        hn_chain_aged_matrix(c->rate_per_year[driver], c->growth_per_year[driver], (double)a,
                             (double)a + 1.0, year[a]);
    for (size_t i = 0; i < count; i++)
        tabulate_aged(job, first + i, i, driver, year);
    hn_free(year);
    return HN_OK;
}

hn_status hn_outlook_tabulate_years(hn_outlook_job *job, hn_error *err)
{
    hn_outlook *out = job->out;
    const size_t classes = hn_outlook_classes(out);
    hn_status rc = HN_OK;

    out->years = (size_t)job->plan->horizon_years;
    out->annual = hn_alloc(classes * HN_OUTLOOK_DRIVERS * HN_OUTLOOK_GRADES * out->years,
                           sizeof *out->annual);
    out->worse = hn_alloc(classes * HN_OUTLOOK_GRADES * out->years, sizeof *out->worse);
    HN_TRY_ALLOC(out->annual);
    HN_TRY_ALLOC(out->worse);
    for (size_t c = 0; c < out->cohorts; c++)
        for (int d = 0; d < HN_DRIVERS; d++)
            HN_TRY(tabulate_cohort(job, c, d, err));
out:
    return rc;
}
