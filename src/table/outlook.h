/* table/outlook.h - how the condition of every segment is expected to go on.
 *
 * Filled by condition/, read by risk/ and programme/. Each segment has, per
 * driver, a share of each grade today and a cohort; what follows in later
 * years depends on these only, so it is tabulated once per cohort:
 *
 *   chance of failure in year k from now = sum over g of
 *       share[driver][g][row] x annual[((cohort x drivers + driver) x 5 + g) x years + k]
 */
#ifndef HN_TABLE_OUTLOOK_H
#define HN_TABLE_OUTLOOK_H

#include "table/segment_table.h"

enum { HN_OUTLOOK_DRIVERS = 3, HN_OUTLOOK_GRADES = 5 };

typedef struct hn_outlook {
    size_t rows, cohorts, years; /* years: 0 .. horizon - 1 */
    uint8_t *cohort;             /* per row */
    float *share[HN_OUTLOOK_DRIVERS][HN_OUTLOOK_GRADES]; /* per row, sums to 1 */
    int share_is_column[HN_OUTLOOK_DRIVERS]; /* 1: borrowed from the table */
    double *annual;      /* chance of failure in year k */
    double *worse;       /* structural only: chance of grade 4 or 5 at the start of year k */
} hn_outlook;

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
