/* engineering/range.h - is this a number that a formula may take? Private to
 * this folder. One idea: an infinite load, size or time is no more known
 * than a missing one, and would come out as a plausible 0 or limit. */
#ifndef HN_ENGINEERING_RANGE_H
#define HN_ENGINEERING_RANGE_H

#include <math.h>

/* Above 0 and finite; false for NaN. */
static inline int hn_is_positive(double x)
{
    return x > 0.0 && x < (double)INFINITY;
}

/* 0 or more and finite; false for NaN. */
static inline int hn_is_not_negative(double x)
{
    return x >= 0.0 && x < (double)INFINITY;
}

#endif
