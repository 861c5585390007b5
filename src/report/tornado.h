/* report/tornado.h - which assumption moves the programme most, as a picture.
 *
 * A bar to the left for the low value of a parameter, to the right for the high one:
 * the length that enters or leaves the first years. Beside it, signed, the change of
 * the loss that the programme avoids. The numbers are those of the table sensitivity.
 */
#ifndef HN_REPORT_TORNADO_H
#define HN_REPORT_TORNADO_H

#include "write/text_out.h"

#include <stddef.h>

enum { HN_TORNADO_MOST = 20 };

typedef struct hn_tornado_side {
    int is_there;
    const char *shown;  /* its value: "x0.5" */
    double moved_m;     /* entering and leaving together */
    double avoided_pct; /* change of the loss avoided, in % of the plan's; NaN */
} hn_tornado_side;

typedef struct hn_tornado_row {
    const char *name, *base_shown;
    hn_tornado_side side[2]; /* low, high */
} hn_tornado_row;

typedef struct hn_tornado {
    const char *title;          /* of the plan */
    int first_year, years;      /* that are compared */
    double first_years_m;       /* length in them by the plan */
    int is_us;                  /* miles, not kilometres */
    const hn_tornado_row *rows; /* the greatest first; at most HN_TORNADO_MOST are drawn */
    size_t count;
} hn_tornado;

/* A whole SVG document; stands alone and inside an HTML page. */
void hn_tornado_draw(const hn_tornado *tornado, hn_out *out);

#endif
