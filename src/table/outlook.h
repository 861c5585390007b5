/* table/outlook.h - how the condition of every segment is expected to go on.
 *
 * Filled by condition/, read by risk/ and programme/. Each segment has, per
 * driver, a share of each grade today and a cohort; what follows in later
 * years depends on these only, so it is tabulated once per cohort:
 *
 *   chance of failure in year k from now = sum over g of
 *       share(driver, g, row) x annual[((cohort x drivers + driver) x 5 + g) x years + k]
 */
#ifndef HN_TABLE_OUTLOOK_H
#define HN_TABLE_OUTLOOK_H

#include "table/segment_table.h"

enum { HN_OUTLOOK_DRIVERS = 3, HN_OUTLOOK_GRADES = 5 };

typedef struct hn_outlook {
    size_t rows, cohorts, years; /* years: 0 .. horizon - 1 */
    uint8_t *cohort;             /* per row */
    const float *structural[HN_OUTLOOK_GRADES]; /* columns of the table, per row */
    /* The other drivers in 1/65534, to save memory: they sum to 1 exactly. */
    uint16_t *other[HN_OUTLOOK_DRIVERS][HN_OUTLOOK_GRADES];
    double *annual;      /* chance of failure in year k */
    double *worse;       /* structural only: chance of grade 4 or 5 at the start of year k */
} hn_outlook;

enum { HN_SHARE_UNIT = 65534, HN_SHARE_MISSING = 65535 };

/* Share of a grade (0 .. 4) today; the shares of a row sum to 1. */
static inline double hn_outlook_share(const hn_outlook *o, int driver, int grade, size_t row)
{
    return driver == 0 ? (double)o->structural[grade][row]
                       : o->other[driver][grade][row] * (1.0 / HN_SHARE_UNIT);
}

static inline const double *hn_outlook_annual(const hn_outlook *o, size_t cohort, int driver,
                                              int grade)
{
    return o->annual + ((cohort * HN_OUTLOOK_DRIVERS + (size_t)driver) * HN_OUTLOOK_GRADES +
                        (size_t)grade) * o->years;
}
static inline const double *hn_outlook_worse(const hn_outlook *o, size_t cohort, int grade)
{
    return o->worse + (cohort * HN_OUTLOOK_GRADES + (size_t)grade) * o->years;
}

/* Chance of a failure of one driver in year k if nothing is done. */
double hn_outlook_chance(const hn_outlook *outlook, size_t row, int driver, size_t k);
/* Chance that the structural grade is 4 or 5 at the start of year k. */
double hn_outlook_worse_share(const hn_outlook *outlook, size_t row, size_t k);
void hn_outlook_clear(hn_outlook *outlook);

#endif
