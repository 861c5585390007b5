/* table/scheme_parts.h - what each factor of a points scheme gave each segment.
 * Written by consequence/, read by the table scheme_parts and explain. */
#ifndef HN_TABLE_SCHEME_PARTS_H
#define HN_TABLE_SCHEME_PARTS_H

#include "table/segment_table.h"

enum { HN_SCHEME_FACTORS_MAX = 24 };

typedef struct hn_scheme_parts {
    size_t factors;
    uint8_t *class_of[HN_SCHEME_FACTORS_MAX]; /* per row: class of the config, 255 none */
    double *points[HN_SCHEME_FACTORS_MAX];    /* per row; NULL: see fixed */
    double *fixed;                            /* per class of the config; NaN where it varies */
} hn_scheme_parts;

/* Points of one factor for one row; NaN when they could not be worked out. */
static inline double hn_scheme_points(const hn_scheme_parts *parts, size_t factor, size_t row)
{
    if (parts->points[factor])
        return parts->points[factor][row];
    return parts->class_of[factor][row] == 255 ? (double)NAN
                                               : parts->fixed[parts->class_of[factor][row]];
}

#endif
