/* read/number_text.h - a number as people write it in a table cell. */
#ifndef HN_READ_NUMBER_TEXT_H
#define HN_READ_NUMBER_TEXT_H

#include "read/cell_text.h"

typedef enum hn_number_mark { HN_MARK_NONE, HN_MARK_INCH, HN_MARK_FOOT } hn_number_mark;

typedef enum hn_number_result {
    HN_NUMBER_READ,
    HN_NUMBER_MISSING, /* empty, "nan", "inf" */
    HN_NUMBER_COMMA,   /* a comma: decimal or thousands, nobody can tell */
    HN_NUMBER_NONE     /* anything else */
} hn_number_result;

/* Reads the whole of a trimmed text: 12, -0.5, 1e3, 3/8, 1 1/2, 1-1/2, each
 * with an inch or foot mark behind it (8", 8'', 8'). The point is the decimal
 * mark in every locale. A single comma counts as a point only when
 * `comma_is_point`. *out and *mark are set for HN_NUMBER_READ; *out is finite. */
hn_number_result hn_number_text(hn_span text, int comma_is_point, double *out,
                                hn_number_mark *mark);

#endif
