/* report/fit_page.h - the fit of rates as one self-contained page. */
#ifndef HN_REPORT_FIT_PAGE_H
#define HN_REPORT_FIT_PAGE_H

#include "condition/fit.h"
#include "write/text_out.h"

typedef struct hn_fit_page {
    const hn_fit *fit;
    const hn_fit_reliability *test; /* [HN_DRIVERS] */
    const hn_plan *plan;
    const hn_history *history;
    const char *misreading; /* name of its file or NULL */
    size_t segments;
} hn_fit_page;

/* out->error tells of short memory. */
void hn_fit_to_html(const hn_fit_page *page, hn_out *out);

/* A picture of one cohort and driver: curves of the share in each grade or worse,
 * and what was seen in each age band (fit_figure.c). */
void hn_fit_figure(const hn_fit_page *page, size_t cohort, int driver, hn_out *out);

#endif
