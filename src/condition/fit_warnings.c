/* Signs that grades were assigned at a desk, or that the records cannot carry a
 * fit. The limits are local rules. */
#include "condition/fit_parts.h"

#include "base/alloc.h"
#include "base/dates.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DAY_LEAST = 30, DAY_TIMES = 3, PAIRS_LEAST = 30, READINGS_LEAST = 30, YEARS_LEAST = 5 };
static const double ONE_GRADE_A_YEAR = 0.98;

static hn_status add(hn_fit *fit, int driver, int cohort, const char *rule, hn_error *err,
                     const char *format, ...) HN_PRINTF(6, 7);

static hn_status add(hn_fit *fit, int driver, int cohort, const char *rule, hn_error *err,
                     const char *format, ...)
{
    hn_fit_warning w = {.driver = driver, .cohort = cohort, .rule = rule};
    va_list values;

    if (!hn_grow((void **)&fit->warning, fit->warnings, &fit->warning_room, sizeof *fit->warning))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    va_start(values, format);
    vsnprintf(w.text, sizeof w.text, format, values);
    va_end(values);
    fit->warning[fit->warnings++] = w;
    return HN_OK;
}

/* ---- one day ---- */

static int by_day(const void *a, const void *b)
{
    const int32_t *left = a, *right = b;

    return (*left > *right) - (*left < *right);
}

static hn_status warn_one_day(const hn_fit_spec *spec, hn_fit *fit, hn_error *err)
{
    const hn_history *h = spec->history;
    int32_t *day = hn_alloc(h->count, sizeof *day), busiest = 0;
    size_t most = 0, second = 0;
    char text[HN_DATE_TEXT];
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(day);
    for (size_t i = 0; i < h->count; i++)
        day[i] = h->visit[i].date;
    qsort(day, h->count, sizeof *day, by_day);
    for (size_t from = 0, to; from < h->count; from = to) {
        for (to = from; to < h->count && day[to] == day[from]; to++)
            ;
        if (to - from > most) {
            second = most;
            most = to - from;
            busiest = day[from];
        } else if (to - from > second) {
            second = to - from;
        }
    }
    if (most < DAY_LEAST || most < DAY_TIMES * second)
        goto out;
    hn_date_text(busiest, text);
    HN_TRY(add(fit, -1, -1, "assigned_in_one_day", err,
               "%zu inspections bear the date %s, the next busiest day %zu: grades given at a desk "
               "teach nothing; leave them out with `where` in the plan",
               most, text, second));
out:
    hn_free(day);
    return rc;
}

/* ---- grade a function of the year ---- */

typedef struct year_grade {
    int year, grade;
} year_grade;

static int by_year(const void *a, const void *b)
{
    const year_grade *left = a, *right = b;

    return left->year != right->year ? (left->year > right->year) - (left->year < right->year)
                                     : left->grade - right->grade;
}

/* Share of readings that have the commonest grade of their year, in years with at
 * least two of them; *years: how many years. */
static double share_of_commonest(year_grade *list, size_t count, size_t *years, size_t *readings)
{
    size_t common = 0;

    *years = *readings = 0;
    qsort(list, count, sizeof *list, by_year);
    for (size_t from = 0, to; from < count; from = to) {
        size_t best = 0, run = 0;

        for (to = from; to < count && list[to].year == list[from].year; to++) {
            run = to > from && list[to].grade == list[to - 1].grade ? run + 1 : 1;
            best = run > best ? run : best;
        }
        if (to - from < 2)
            continue;
        common += best;
        *readings += to - from;
        (*years)++;
    }
    return *readings ? (double)common / (double)*readings : 0.0;
}

static hn_status warn_by_age(const hn_fit_spec *spec, hn_fit *fit, int driver, hn_error *err)
{
    year_grade *list = hn_alloc(spec->history->count, sizeof *list);
    hn_fit_walk walk = {.spec = spec};
    hn_fit_sequence s;
    size_t count = 0, years, readings;
    double share;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(list);
    while (hn_fit_next(&walk)) {
        if (!hn_fit_take(&walk, driver, &s))
            HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory for readings"));
        for (size_t i = 0; s.age_known && i < s.count; i++)
            list[count++] =
                (year_grade){(int)spec->history->new_in_year[walk.row], s.reading[i].grades};
    }
    share = share_of_commonest(list, count, &years, &readings);
    if (years >= YEARS_LEAST && readings >= READINGS_LEAST && share >= ONE_GRADE_A_YEAR)
        HN_TRY(add(fit, driver, -1, "grade_follows_year", err,
                   "%.0f %% of %zu readings have the one grade of their year of construction (%zu "
                   "years): the grade looks worked out from the age, not seen",
                   100.0 * share, readings, years));
out:
    hn_fit_walk_clear(&walk);
    hn_free(list);
    return rc;
}

/* ---- per cohort ---- */

static hn_status warn_records(hn_fit *fit, int driver, size_t cohort, hn_error *err)
{
    const hn_cohort_fit *c = &fit->of[cohort * HN_DRIVERS + (size_t)driver];
    const hn_fit_records *r = &c->records;
    const int number = cohort == fit->cohorts ? -1 : (int)cohort;
    size_t single = 0, most = 0;
    hn_status rc = HN_OK;

    for (int g = 0; g < HN_GRADES; g++) {
        single += r->by_grade[g];
        most = r->by_grade[g] > most ? r->by_grade[g] : most;
    }
    if (single >= HN_FIT_LEAST_RECORDS && most == single)
        HN_TRY(
            add(fit, driver, number, "one_grade_only", err,
                "all %zu readings are of one grade: the fit says how slow ageing may be, no more",
                single));
    if (number < 0 && r->pairs >= PAIRS_LEAST && r->pairs_same == r->pairs)
        HN_TRY(add(fit, driver, number, "pairs_never_differ", err,
                   "none of %zu repeat inspections differs from the one before: grades look copied",
                   r->pairs));
out:
    return rc;
}

static hn_status warn_improving(const hn_fit_spec *spec, hn_fit *fit, int driver, hn_error *err)
{
    const hn_fit_records *r = &fit->of[fit->cohorts * HN_DRIVERS + (size_t)driver].records;

    if (r->improving == 0 || spec->read)
        return HN_OK;
    return add(fit, driver, -1, "improving_left_out", err,
               "%zu readings are better than an earlier one of the same pipe and are left out; "
               "ageing then looks faster than it is; a misreading matrix (--misread) would use "
               "them",
               r->improving);
}

/* Mean grade must rise with age; a scale turned round makes it fall. */
static hn_status warn_direction(hn_fit *fit, int driver, hn_error *err)
{
    double w = 0, x = 0, y = 0, xx = 0, xy = 0;
    size_t readings = 0;
    const hn_fit_band *bands =
        &fit->band[(fit->cohorts * HN_DRIVERS + (size_t)driver) * HN_FIT_BANDS];

    for (int b = 0; b < HN_FIT_BANDS; b++) {
        double mean = 0.0;

        for (int g = 0; g < HN_GRADES; g++)
            mean += (g + 1) * bands[b].observed[g];
        w += bands[b].weight;
        x += bands[b].weight * b;
        xx += bands[b].weight * b * b;
        y += mean;
        xy += mean * b;
        readings += bands[b].readings;
    }
    if (readings < READINGS_LEAST || !(w * xx - x * x > 0.0) || w * xy - x * y >= 0.0)
        return HN_OK;
    return add(
        fit, driver, -1, "better_with_age", err,
        "older pipes have better grades (%zu readings): the scale of the source may be turned "
        "round, or old bad pipes are gone already",
        readings);
}

/* Which ones, per cohort, is a column of the table of fits. */
static hn_status warn_not_seen(hn_fit *fit, int driver, hn_error *err)
{
    size_t cohorts = 0, open = 0;

    for (size_t c = 0; c < fit->cohorts; c++) {
        const hn_cohort_fit *one = &fit->of[c * HN_DRIVERS + (size_t)driver];
        int any = 0;

        for (int k = 0; one->method == HN_FIT_PRIOR && k < HN_CHAIN_RATES; k++)
            any |= one->not_seen[k];
        cohorts += one->method != HN_FIT_KEPT;
        open += (size_t)any;
    }
    if (!open)
        return HN_OK;
    return add(
        fit, driver, -1, "rate_not_seen", err,
        "in %zu of %zu cohorts the records leave the rate of at least one step open: there the "
        "prior speaks",
        open, cohorts);
}

hn_status hn_fit_warn_all(const hn_fit_spec *spec, hn_fit *fit, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(warn_one_day(spec, fit, err));
    for (int d = 0; d < HN_DRIVERS; d++) {
        if (fit->of[fit->cohorts * HN_DRIVERS + (size_t)d].records.readings == 0)
            continue;
        HN_TRY(warn_by_age(spec, fit, d, err));
        HN_TRY(warn_direction(fit, d, err));
        HN_TRY(warn_improving(spec, fit, d, err));
        HN_TRY(warn_not_seen(fit, d, err));
        for (size_t c = 0; c <= fit->cohorts; c++)
            HN_TRY(warn_records(fit, d, c, err));
    }
out:
    return rc;
}
