/* run/fit.h - haunch fit: rates of ageing from the plan's own inspections. */
#ifndef HN_RUN_FIT_H
#define HN_RUN_FIT_H

#include "run/run.h"

typedef struct hn_fit_call {
    const char *plan_path;
    const char *output;     /* folder; NULL: the plan's output folder with "-fit" behind its name */
    const char *misreading; /* table of a misreading matrix; NULL: grades are read right */
    int seed;               /* which segments the back-test holds out */
    const hn_run_options *options;
} hn_fit_call;

/* Runs the stages up to "condition", fits, and writes a folder: deterioration.csv,
 * fit.csv, fit_by_age.csv, fit_backtest.csv, fit_warnings.csv, fit.html, fit.json.
 * `out` gets a short account; NULL: none. Errors: HN_ERR_OUTPUT when the folder is
 * foreign or holds a table that the plan reads; HN_ERR_INPUT when no inspection can
 * be used. */
HN_MUST_CHECK hn_status hn_fit_command(const hn_fit_call *call, FILE *out, hn_error *err);

#endif
