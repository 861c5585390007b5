/* read/value_convert.h - a raw cell to the type of its role: the last step of
 * read/field_value. What cannot be read is missing and carries a fault. */
#ifndef HN_READ_VALUE_CONVERT_H
#define HN_READ_VALUE_CONVERT_H

#include "read/field_value.h"

enum { HN_RECODED_MAX = 1024 };

typedef struct hn_conversion {
    const hn_field_map *map;
    hn_value_kind kind;
    hn_sense sense;
    double factor;      /* declared unit to the inside unit */
    int comma_is_point; /* the plan's pattern has chosen the digits */
    char room[HN_CELL_TEXT_MAX];
    char recoded[HN_RECODED_MAX];
} hn_conversion;

void hn_value_missing(hn_value *out, hn_fault fault);
/* *out must hold NaN, no fault, an empty text. A text result points into the
 * cell or into `how`. */
void hn_convert(hn_conversion *how, const hn_raw *raw, hn_value *out);

#endif
