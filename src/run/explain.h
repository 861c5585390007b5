/* run/explain.h - haunch explain: the whole calculation of one segment. */
#ifndef HN_RUN_EXPLAIN_H
#define HN_RUN_EXPLAIN_H

#include "run/run.h"

typedef enum hn_explain_format {
    HN_EXPLAIN_TEXT,
    HN_EXPLAIN_HTML,
    HN_EXPLAIN_JSON
} hn_explain_format;

typedef struct hn_explain_spec {
    const char *result;     /* folder of a result, or its result.gpkg or run.json */
    const char *segment_id; /* or the id of a piece that was merged into one */
    const char *other_id;   /* NULL, or a second one: why is one before the other? */
    const char *plan_path;  /* NULL: as run.json says */
    const char *output;     /* NULL: to `out`; else a file that must not exist */
    hn_explain_format format;
    const hn_run_options *options; /* threads, progress */
} hn_explain_spec;

/* Runs the plan of the result again up to the programme, writes nothing of it,
 * and prints the structs of one segment. Errors: HN_ERR_INPUT when plan, table or
 * source is gone or has changed since, when the id is not known, or when a number
 * differs from layer `segments`; HN_ERR_OUTPUT when `output` cannot be written. */
HN_MUST_CHECK hn_status hn_explain(const hn_explain_spec *spec, FILE *out, hn_error *err);

#endif
