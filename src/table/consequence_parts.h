/* table/consequence_parts.h - what each consequence factor gave each segment.
 * Written by consequence/, read by the score_parts table and explain. */
#ifndef HN_TABLE_CONSEQUENCE_PARTS_H
#define HN_TABLE_CONSEQUENCE_PARTS_H

#include "table/segment_table.h"

enum { HN_PARTS_MAX = 24 };

typedef struct hn_consequence_parts {
    size_t factors;
    uint8_t *class_of[HN_PARTS_MAX]; /* per row: index into the config's classes, 255 none */
    float *money[HN_PARTS_MAX];      /* per row, whole units of money; NULL: see fixed_money */
    const double *fixed_money;       /* per class of the config; NaN where it varies */
    size_t *negative; /* per class: rows whose money came out below 0; it is then not known */
} hn_consequence_parts;

/* Money of one factor for one row, NaN when it could not be worked out. */
static inline double hn_part_money(const hn_consequence_parts *parts, size_t factor, size_t row)
{
    if (parts->money[factor])
        return (double)parts->money[factor][row];
    return parts->class_of[factor][row] == 255
               ? (double)NAN
               : parts->fixed_money[parts->class_of[factor][row]];
}

#endif
