#include "table/loss.h"

#include "base/alloc.h"

#include <string.h>

enum { DRIVERS = HN_OUTLOOK_DRIVERS, GRADES = HN_OUTLOOK_GRADES };

static double *keep_of(const hn_loss *loss, size_t class, int driver, int grade)
{
    return loss->keep +
           ((class * DRIVERS + (size_t)driver) * GRADES + (size_t)grade) * (loss->years + 1);
}

static double *after_of(const hn_loss *loss, size_t method, size_t class, int driver)
{
    const size_t own = loss->treatments[method].cohort_after == HN_OWN_COHORT ? class : 0;

    return loss->after +
           ((loss->after_first[method] + own) * DRIVERS + (size_t)driver) * (loss->years + 1);
}

/* Chances of failure in the years after a treatment, `done` years from now, of a
 * segment that is of `class` today. A cohort of its own begins at age 0, the segment's
 * goes on at its age. */
static const double *treated_annual(const hn_outlook *outlook, const hn_treatment *treatment,
                                    size_t class, int driver, size_t done)
{
    size_t after = treatment->cohort_after == HN_OWN_COHORT
                       ? hn_outlook_later_class(outlook, class, done)
                       : hn_outlook_new_class(outlook, (size_t)treatment->cohort_after);

    return hn_outlook_annual(outlook, after, driver, treatment->grade_after - 1);
}

/* Year of the treated state that holds `years` after the first treatment. */
static size_t years_since_done(const hn_treatment *treatment, size_t years)
{
    size_t life = treatment->life_years >= 1.0 ? (size_t)treatment->life_years : 0;

    return life ? years % life : years;
}

static void tabulate_keep(hn_loss *loss, const hn_outlook *outlook)
{
    for (size_t c = 0; c < loss->classes; c++)
        for (int d = 0; d < DRIVERS; d++)
            for (int g = 0; g < GRADES; g++) {
                const double *annual = hn_outlook_annual(outlook, c, d, g);
                double *keep = keep_of(loss, c, d, g);

                for (size_t t = loss->years; t-- > 0;)
                    keep[t] = keep[t + 1] + loss->discount[t] * annual[t];
            }
}

static void tabulate_one(hn_loss *loss, const hn_outlook *outlook, size_t m, size_t class,
                         int driver)
{
    const hn_treatment *treatment = &loss->treatments[m];
    double *after = after_of(loss, m, class, driver);

    for (size_t t = 0; t < loss->years; t++)
        for (size_t k = t; k < loss->years; k++) {
            const size_t since = years_since_done(treatment, k - t);

            after[t] += loss->discount[k] *
                        treated_annual(outlook, treatment, class, driver, k - since)[since];
        }
}

/* Only what goes on as its own cohort depends on what it was. */
static size_t classes_after(const hn_loss *loss, size_t method)
{
    return loss->treatments[method].cohort_after == HN_OWN_COHORT ? loss->classes : 1;
}

static void tabulate_after(hn_loss *loss, const hn_outlook *outlook)
{
    for (size_t m = 0; m < loss->methods; m++)
        for (size_t c = 0; c < classes_after(loss, m); c++)
            for (int d = 0; d < DRIVERS; d++)
                if (loss->treatments[m].cohort_after != HN_NO_WORK)
                    tabulate_one(loss, outlook, m, c, d);
}

/* Copies the treatments and finds the place of each in `after`; returns the number of
 * its classes. */
static size_t place_treatments(hn_loss *loss, const hn_treatment *treatments)
{
    size_t sum = 0;

    memcpy(loss->treatments, treatments, loss->methods * sizeof *treatments);
    for (size_t m = 0; m < loss->methods; m++) {
        loss->after_first[m] = sum;
        sum += classes_after(loss, m);
    }
    return sum;
}

hn_status hn_loss_init(hn_loss *loss, const hn_outlook *outlook, const hn_treatment *treatments,
                       size_t methods, double rate_per_year, hn_error *err)
{
    hn_status rc = HN_OK;

    memset(loss, 0, sizeof *loss);
    loss->years = outlook->years;
    loss->classes = hn_outlook_classes(outlook);
    loss->methods = methods;
    loss->discount = hn_alloc(loss->years, sizeof *loss->discount);
    loss->keep = hn_alloc(loss->classes * DRIVERS * GRADES * (loss->years + 1), sizeof *loss->keep);
    loss->treatments = hn_alloc(methods, sizeof *loss->treatments);
    loss->after_first = hn_alloc(methods, sizeof *loss->after_first);
    HN_TRY_ALLOC(loss->discount);
    HN_TRY_ALLOC(loss->keep);
    HN_TRY_ALLOC(loss->treatments);
    HN_TRY_ALLOC(loss->after_first);
    loss->after = hn_alloc(place_treatments(loss, treatments) * DRIVERS * (loss->years + 1),
                           sizeof *loss->after);
    HN_TRY_ALLOC(loss->after);
    for (size_t k = 0; k < loss->years; k++)
        loss->discount[k] = pow(1.0 + rate_per_year, -(double)(k + 1));
    tabulate_keep(loss, outlook);
    tabulate_after(loss, outlook);
out:
    if (rc != HN_OK)
        hn_loss_clear(loss);
    return rc;
}

void hn_loss_clear(hn_loss *loss)
{
    hn_free(loss->discount);
    hn_free(loss->keep);
    hn_free(loss->after);
    hn_free(loss->treatments);
    hn_free(loss->after_first);
    memset(loss, 0, sizeof *loss);
}

double hn_loss_keep(const hn_loss *loss, const hn_outlook *outlook, size_t row, int driver,
                    size_t t)
{
    double sum = 0.0;

    for (int g = 0; g < GRADES; g++)
        sum += hn_outlook_share(outlook, driver, g, row) *
               keep_of(loss, hn_outlook_class(outlook, row), driver, g)[t];
    return sum;
}

double hn_loss_avoided(const hn_loss *loss, const hn_outlook *outlook, size_t row, size_t method,
                       size_t t, const double cost[DRIVERS])
{
    const hn_treatment *treatment = &loss->treatments[method];
    double sum = 0.0;

    if (treatment->cohort_after == HN_NO_WORK || t >= loss->years)
        return 0.0;
    for (int d = 0; d < DRIVERS; d++)
        if (treatment->treats[d])
            sum += cost[d] * (hn_loss_keep(loss, outlook, row, d, t) -
                              after_of(loss, method, hn_outlook_class(outlook, row), d)[t]);
    return sum < 0.0 ? 0.0 : sum;
}

double hn_loss_of_year(const hn_loss *loss, const hn_outlook *outlook, size_t row, size_t method,
                       size_t t, size_t k, const double cost[DRIVERS])
{
    double sum = 0.0;

    for (int d = 0; d < DRIVERS; d++) {
        const hn_treatment *done = method == SIZE_MAX || k < t ? NULL : &loss->treatments[method];

        if (done && done->cohort_after != HN_NO_WORK && done->treats[d]) {
            const size_t since = years_since_done(done, k - t);

            sum += cost[d] * treated_annual(outlook, done, hn_outlook_class(outlook, row), d,
                                            k - since)[since];
        } else
            sum += cost[d] * hn_outlook_chance(outlook, row, d, k);
    }
    return sum;
}
