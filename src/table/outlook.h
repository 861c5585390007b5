/* table/outlook.h - how the condition of every segment is expected to go on.
 *
 * Filled by condition/, read by risk/ and programme/. Each segment has, per
 * driver, a share of each grade today and a cohort; what follows in later
 * years depends on these only, so it is tabulated once per cohort:
 *
 *   chance of failure in year k from now = sum over g of
 *       share(driver, g, row) x annual[((class x drivers + driver) x 5 + g) x years + k]
 *
 * The class is the cohort, unless rates grow with age: a cohort then has one class
 * for each whole year of age today.
 */
#ifndef HN_TABLE_OUTLOOK_H
#define HN_TABLE_OUTLOOK_H

#include "table/segment_table.h"

enum { HN_OUTLOOK_DRIVERS = 3, HN_OUTLOOK_GRADES = 5 };

typedef struct hn_outlook {
    size_t rows, cohorts, years;                /* years: 0 .. horizon - 1 */
    uint8_t *cohort;                            /* per row */
    const float *structural[HN_OUTLOOK_GRADES]; /* columns of the table, per row */
    /* The other drivers in 1/65534, to save memory: they sum to 1 exactly. */
    uint16_t *other[HN_OUTLOOK_DRIVERS][HN_OUTLOOK_GRADES];
    /* NULL unless a cohort has growth. */
    uint8_t *age_class;    /* per row: age today in whole years, up to that of its last class; 0
                            * where the cohort's rates are constant */
    uint32_t *first_class; /* per cohort, and the number of all behind the last */
    double *annual;        /* chance of failure in year k */
    double *worse;         /* structural only: chance of grade 4 or 5 at the start of year k */
} hn_outlook;

enum { HN_SHARE_UNIT = 65534, HN_SHARE_MISSING = 65535 };

/* Share of a grade (0 .. 4) today; the shares of a row sum to 1. */
static inline double hn_outlook_share(const hn_outlook *o, int driver, int grade, size_t row)
{
    return driver == 0 ? (double)o->structural[grade][row]
                       : o->other[driver][grade][row] * (1.0 / HN_SHARE_UNIT);
}

/* Number of classes of all cohorts. */
static inline size_t hn_outlook_classes(const hn_outlook *o)
{
    return o->age_class ? o->first_class[o->cohorts] : o->cohorts;
}
static inline size_t hn_outlook_class(const hn_outlook *o, size_t row)
{
    return o->age_class ? o->first_class[o->cohort[row]] + o->age_class[row] : o->cohort[row];
}
/* Class of a cohort at age 0. */
static inline size_t hn_outlook_new_class(const hn_outlook *o, size_t cohort)
{
    return o->age_class ? o->first_class[cohort] : cohort;
}
/* The class `years` later; the last one of its cohort from then on. */
size_t hn_outlook_later_class(const hn_outlook *outlook, size_t class, size_t years);

static inline const double *hn_outlook_annual(const hn_outlook *o, size_t class, int driver,
                                              int grade)
{
    return o->annual +
           ((class * HN_OUTLOOK_DRIVERS + (size_t)driver) * HN_OUTLOOK_GRADES + (size_t)grade) *
               o->years;
}
static inline const double *hn_outlook_worse(const hn_outlook *o, size_t class, int grade)
{
    return o->worse + (class * HN_OUTLOOK_GRADES + (size_t)grade) * o->years;
}

/* Chance of a failure of one driver in year k if nothing is done. */
double hn_outlook_chance(const hn_outlook *outlook, size_t row, int driver, size_t k);
/* Chance that the structural grade is 4 or 5 at the start of year k. */
double hn_outlook_worse_share(const hn_outlook *outlook, size_t row, size_t k);
void hn_outlook_clear(hn_outlook *outlook);

#endif
