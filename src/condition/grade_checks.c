/* Grades that look wrong as a whole: a scale turned round, grades given at a desk, a
 * repeat that copies. One issue a finding, by source and driver. */
#include "condition/observe.h"

#include "base/alloc.h"
#include "base/dates.h"
#include "base/radix.h"

#include <stdio.h>
#include <string.h>

/* Fewer records than these say nothing; beyond these correlations one looks. (local
 * rules) */
enum { LEAST_SAME = 20, LEAST_PAIRS = 20, LEAST_AGED = 50, SOURCES = 34 };
static const double FOLLOWS_AGE = 0.95, FALLS_WITH_AGE = -0.3;

static const hn_column_id column_of[HN_DRIVERS] = {HN_COL_GRADE_STRUCTURAL, HN_COL_GRADE_SERVICE,
                                                   HN_COL_GRADE_TIGHTNESS};
static const char *const names[HN_DRIVERS] = {"grade_structural", "grade_service",
                                              "grade_tightness"};

typedef struct sums {
    size_t count, aged, pairs, differ;
    double low, high;
    double x, y, xx, xy, yy; /* x: age, y: grade */
} sums;

/* Sources of the plan by number; what observations alone tell of comes last. */
static size_t source_of(const hn_inspections *p, size_t i)
{
    return p->source[i] < SOURCES - 1 ? p->source[i] : SOURCES - 1;
}

static double age_of(const hn_table *table, const hn_inspections *p, size_t i, int32_t row)
{
    double age;

    if (row < 0 || p->date[i] == HN_I32_MISSING)
        return (double)NAN;
    age = hn_date_year(p->date[i]) - (double)hn_f32(table, HN_COL_YEAR_BUILT, (size_t)row);
    return age >= 0.0 ? age : (double)NAN;
}

static void take(sums *s, double grade, double age)
{
    s->low = s->count ? fmin(s->low, grade) : grade;
    s->high = s->count ? fmax(s->high, grade) : grade;
    s->count++;
    if (isnan(age))
        return;
    s->aged++;
    s->x += age;
    s->y += grade;
    s->xx += age * age;
    s->xy += age * grade;
    s->yy += grade * grade;
}

/* Pearson's correlation; NaN when one of the two never changes. */
static double correlation(const sums *s)
{
    const double n = (double)s->aged;
    const double xx = s->xx - s->x * s->x / n, yy = s->yy - s->y * s->y / n;

    return xx > 1e-9 && yy > 1e-9 ? (s->xy - s->x * s->y / n) / sqrt(xx * yy) : (double)NAN;
}

static void add(hn_issue_list *issues, const char *rule, const char *field, const char *value,
                const char *message, const char *effect)
{
    hn_issue_add(issues, HN_SEVERITY_WARNING, rule, "", field, value, message, effect, (double)NAN,
                 (double)NAN);
}

/* Grades and age; `field` names the source's grade, or the scheme. */
static void judge_age(const sums *s, const char *field, hn_issue_list *issues)
{
    const double r = s->aged >= LEAST_AGED ? correlation(s) : (double)NAN;
    char value[96];

    snprintf(value, sizeof value, "correlation with age %.2f in %zu records", r, s->aged);
    if (r >= FOLLOWS_AGE)
        add(issues, "grades_follow_age", field, value, "the grade follows from the age alone",
            "used as they are; they look assigned, not observed");
    if (r <= FALLS_WITH_AGE)
        add(issues, "grades_fall_with_age", field, value,
            "older sewers have the better grades: best and worst may stand the wrong way round",
            "used as they are; check best and worst in the plan, or in roll_up.csv");
}

static void judge(const sums *s, int driver, hn_issue_list *issues)
{
    char value[96];

    if (s->count >= LEAST_SAME && s->low >= s->high) {
        snprintf(value, sizeof value, "%zu records of grade %g", s->count, s->low);
        add(issues, "grades_all_same", names[driver], value,
            "every record of a source has one grade",
            "used as they are; a default may stand for not graded");
    }
    if (s->pairs >= LEAST_PAIRS && s->differ == 0) {
        snprintf(value, sizeof value, "%zu repeat inspections", s->pairs);
        add(issues, "repeat_grades_never_differ", names[driver], value,
            "inspected again and again, and no grade ever changed",
            "used as they are; grades may have been copied");
    }
    judge_age(s, names[driver], issues);
}

static hn_status find_pairs(const hn_inspections *p, const int32_t *row, int driver, sums *s,
                            hn_error *err)
{
    const double *grade = p->number[column_of[driver]];
    hn_keyed *keys = hn_alloc(p->count, sizeof *keys);
    size_t count = 0;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(keys);
    for (size_t i = 0; i < p->count; i++)
        if (row[i] >= 0 && !isnan(grade[i]) && p->date[i] != HN_I32_MISSING)
            keys[count++] = hn_keyed_of(
                (uint64_t)row[i] << 32 | (uint32_t)((int64_t)p->date[i] - INT32_MIN), (uint32_t)i);
    if (!hn_radix_sort(keys, count))
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    for (size_t k = 1; k < count; k++) {
        const size_t a = keys[k - 1].value, b = keys[k].value;

        if (row[a] != row[b] || p->date[a] == p->date[b])
            continue;
        s[source_of(p, b)].pairs++;
        s[source_of(p, b)].differ += fabs(grade[a] - grade[b]) > 1e-9;
    }
out:
    hn_free(keys);
    return rc;
}

/* A grade 0 that the scale does not have was listed when it was read. */
static void count_zeros(hn_issue_list *issues)
{
    const uint32_t rule = hn_text_pool_find(issues->texts, "grade_off_scale", 15);
    const uint32_t zero = hn_text_pool_find(issues->texts, "0", 1);
    size_t found = 0;
    char value[64];

    for (size_t i = 0; rule && zero && i < issues->count; i++)
        found += issues->items[i].rule == rule && issues->items[i].value == zero;
    if (!found)
        return;
    snprintf(value, sizeof value, "%zu records", found);
    hn_issue_add(issues, HN_SEVERITY_WARNING, "grade_zero", "", "grade", value,
                 "grade 0 may mean no defect, or not inspected",
                 "not used; say which with `missing:` or `values:` in the plan", (double)NAN,
                 (double)NAN);
}

hn_status hn_grade_checks(const hn_table *table, const hn_inspections *p, const int32_t *row,
                          hn_issue_list *issues, hn_error *err)
{
    sums *s = hn_alloc(SOURCES, sizeof *s);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(s);
    for (int d = 0; d < HN_DRIVERS; d++) {
        const double *grade = p->number[column_of[d]];

        memset(s, 0, SOURCES * sizeof *s);
        if (!grade)
            continue;
        for (size_t i = 0; i < p->count; i++)
            if (!isnan(grade[i]))
                take(&s[source_of(p, i)], grade[i], age_of(table, p, i, row[i]));
        HN_TRY(find_pairs(p, row, d, s, err));
        for (size_t k = 0; k < SOURCES; k++)
            judge(&s[k], d, issues);
    }
    count_zeros(issues);
out:
    hn_free(s);
    return rc;
}

void hn_scheme_checks(const hn_table *table, const hn_plan *plan, const hn_observations *o,
                      hn_issue_list *issues)
{
    for (size_t r = 0; r < o->roll_ups; r++) {
        const hn_roll_up *roll = &plan->config.roll_ups[r];
        sums s = {0};
        char field[96];

        for (size_t v = 0; v < o->matched; v++) {
            const double grade = (double)o->verdict[v * o->roll_ups + r].grade;

            if (!isnan(grade))
                take(&s, grade, age_of(table, &o->visits, v, o->row[v]));
        }
        snprintf(field, sizeof field, "scheme %.40s, %s", roll->scheme, names[roll->driver]);
        judge_age(&s, field, issues);
    }
}
