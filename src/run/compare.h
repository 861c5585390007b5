/* run/compare.h - haunch compare: what changed between two results, and why. */
#ifndef HN_RUN_COMPARE_H
#define HN_RUN_COMPARE_H

#include "run/run.h"

typedef enum hn_compare_format {
    HN_COMPARE_TEXT,
    HN_COMPARE_HTML,
    HN_COMPARE_JSON
} hn_compare_format;

typedef struct hn_compare_spec {
    const char *first, *second; /* folders of results, or a result.gpkg or run.json */
    const char *folder;         /* NULL, or where the tables and the page go, as a whole */
    hn_compare_format format;
    const hn_run_options *options;
} hn_compare_spec;

/* Compares the layers of two results. When all that made them is unchanged since,
 * the plans are run again part by part, so that each difference has a cause; else
 * the comparison says what has changed and names no cause. Errors: HN_ERR_INPUT when
 * a result cannot be read or the currencies differ; HN_ERR_OUTPUT. */
HN_MUST_CHECK hn_status hn_compare(const hn_compare_spec *spec, FILE *out, hn_error *err);

#endif
