/* The network year by year. Losses and backlogs are linear in the shares of
 * the grades, so rows are summed once per cohort and grade; a treated row is
 * taken out of that sum from its year on and put into the sum of its method.
 * A scenario costs one pass over the rows it treats, whatever the horizon. */
#include "base/alloc.h"
#include "programme/programme.h"

#include <string.h>

enum { DRIVERS = HN_OUTLOOK_DRIVERS, GRADES = HN_OUTLOOK_GRADES, MEASURES = DRIVERS + 2 };
/* measures: money per driver, then length and cost on the structural grades */

typedef struct sums {
    size_t classes, methods, years; /* a class is a cohort, or a year of age of one */
    const double *all;              /* [class][measure][grade] */
    double *leaving;                /* [year][class][measure][grade] */
    double *treated;                /* [year][method][class][measure] */
    size_t *used; /* classes that hold anything: most years of age of a cohort do not */
    size_t used_count;
} sums;

static size_t cell(size_t class, size_t measure)
{
    return (class * MEASURES + measure) * GRADES;
}

static double *leaving_of(const sums *s, size_t year)
{
    return s->leaving + year * s->classes * MEASURES * GRADES;
}

static double *treated_of(const sums *s, size_t year, size_t method, size_t class, size_t measure)
{
    return s->treated + ((year * s->methods + method) * s->classes + class) * MEASURES + measure;
}

static int share_driver(size_t measure)
{
    return measure < DRIVERS ? (int)measure : 0;
}

static void measures_of(const hn_table *t, size_t row, double out[MEASURES])
{
    static const hn_column_id columns[MEASURES] = {
        HN_COL_CONSEQUENCE_MONEY, HN_COL_CONSEQUENCE_SERVICE, HN_COL_CONSEQUENCE_TIGHTNESS,
        HN_COL_LENGTH_M, HN_COL_COST};

    for (size_t m = 0; m < MEASURES; m++) {
        out[m] = hn_f64(t, columns[m], row);
        out[m] = isnan(out[m]) ? 0.0 : out[m];
    }
}

/* `to` is one block of [class][measure][grade]. */
static void add_row(double *to, const hn_outlook *o, size_t row, const double measure[MEASURES],
                    const int wanted[DRIVERS])
{
    for (size_t m = 0; m < MEASURES; m++) {
        int driver = share_driver(m);
        double *sum = to + cell(hn_outlook_class(o, row), m);

        for (int g = 0; g < GRADES && wanted[driver]; g++)
            sum[g] += measure[m] * hn_outlook_share(o, driver, g, row);
    }
}

static void add_treated_rows(const sums *s, const hn_table *t, const hn_outlook *o,
                             const hn_loss *loss, const hn_allocation *a)
{
    for (size_t row = 0; a && row < t->rows; row++) {
        uint8_t method = hn_code(t, HN_COL_METHOD, row);
        double measure[MEASURES];
        const hn_treatment *done;

        if (a->year_of[row] < 0 || method == HN_CODE_MISSING)
            continue;
        done = &loss->treatments[method];
        if (done->cohort_after == HN_NO_WORK)
            continue;
        measures_of(t, row, measure);
        add_row(leaving_of(s, (size_t)a->year_of[row]), o, row, measure, done->treats);
        for (size_t m = 0; m < MEASURES; m++)
            if (done->treats[share_driver(m)])
                *treated_of(s, (size_t)a->year_of[row], method, hn_outlook_class(o, row), m) +=
                    measure[m];
    }
}

/* What one unit of a measure is worth in year k from a grade of a class. */
static double weight(const hn_outlook *o, size_t class, size_t measure, int grade, size_t k)
{
    return measure < DRIVERS ? hn_outlook_annual(o, class, (int)measure, grade)[k]
                             : hn_outlook_worse(o, class, grade)[k];
}

/* `from` is one block of [class][measure][grade]. */
static double weighted_sum(const sums *s, const hn_outlook *o, const double *from, size_t measure,
                           size_t k)
{
    double sum = 0.0;

    for (size_t i = 0; i < s->used_count; i++) {
        const size_t c = s->used[i];

        for (int g = 0; g < GRADES; g++)
            sum += from[cell(c, measure) + (size_t)g] * weight(o, c, measure, g, k);
    }
    return sum;
}

/* Class after a treatment `years` from now of what is of class c today. */
static size_t class_after(const hn_outlook *o, const hn_treatment *done, size_t c, size_t years)
{
    return done->cohort_after == HN_OWN_COHORT
               ? hn_outlook_later_class(o, c, years)
               : hn_outlook_new_class(o, (size_t)done->cohort_after);
}

static double treated_sum(const sums *s, const hn_outlook *o, const hn_loss *loss, size_t year,
                          size_t measure, size_t k)
{
    double sum = 0.0;

    for (size_t m = 0; m < s->methods; m++) {
        const hn_treatment *done = &loss->treatments[m];
        size_t life = done->life_years >= 1.0 ? (size_t)done->life_years : s->years + k + 1;

        const size_t since = (k - year) % life;

        if (done->cohort_after == HN_NO_WORK)
            continue;
        for (size_t i = 0; i < s->used_count; i++) {
            const size_t c = s->used[i];
            const double amount = *treated_of(s, year, m, c, measure);

            if (amount != 0.0)
                sum += amount * weight(o, class_after(o, done, c, k - since), measure,
                                       done->grade_after - 1, since);
        }
    }
    return sum;
}

static void fill_path(const sums *s, const hn_outlook *o, const hn_loss *loss, hn_path_year *out)
{
    for (size_t k = 0; k < o->years; k++) {
        double value[MEASURES];

        for (size_t m = 0; m < MEASURES; m++) {
            value[m] = weighted_sum(s, o, s->all, m, k);
            for (size_t y = 0; y < s->years && y <= k; y++)
                value[m] +=
                    treated_sum(s, o, loss, y, m, k) - weighted_sum(s, o, leaving_of(s, y), m, k);
        }
        for (int d = 0; d < DRIVERS; d++)
            out[k].loss_of[d] = value[d];
        out[k].loss = value[0] + value[1] + value[2];
        out[k].backlog_m = value[DRIVERS];
        out[k].backlog_cost = value[DRIVERS + 1];
    }
}

hn_status hn_programme_sums(const hn_table *table, const hn_outlook *outlook, double **out,
                            hn_error *err)
{
    static const int all_drivers[DRIVERS] = {1, 1, 1};

    *out = hn_alloc(hn_outlook_classes(outlook) * MEASURES * GRADES, sizeof **out);
    if (!*out)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t row = 0; row < table->rows; row++) {
        double measure[MEASURES];

        measures_of(table, row, measure);
        add_row(*out, outlook, row, measure, all_drivers);
    }
    return HN_OK;
}

/* What no row gave to the sum of all, no treated row can take out of it. */
static void find_used(sums *s)
{
    for (size_t c = 0; c < s->classes; c++) {
        int any = 0;

        for (size_t i = 0; i < MEASURES * GRADES; i++)
            any |= s->all[cell(c, 0) + i] != 0.0;
        if (any)
            s->used[s->used_count++] = c;
    }
}

hn_status hn_programme_path(const hn_table *table, const hn_outlook *outlook, const hn_loss *loss,
                            const double *all_rows, const hn_allocation *allocation,
                            hn_path_year *out, hn_error *err)
{
    sums s = {.classes = hn_outlook_classes(outlook),
              .methods = loss->methods,
              .years = allocation ? allocation->years : 0,
              .all = all_rows};
    hn_status rc = HN_OK;

    s.leaving = hn_alloc(s.years * s.classes * MEASURES * GRADES, sizeof *s.leaving);
    s.treated = hn_alloc(s.years * s.methods * s.classes * MEASURES, sizeof *s.treated);
    HN_TRY_ALLOC(s.leaving);
    HN_TRY_ALLOC(s.treated);
    s.used = hn_alloc(s.classes, sizeof *s.used);
    HN_TRY_ALLOC(s.used);
    find_used(&s);
    add_treated_rows(&s, table, outlook, loss, allocation);
    fill_path(&s, outlook, loss, out);
out:
    hn_free(s.leaving);
    hn_free(s.treated);
    hn_free(s.used);
    return rc;
}
