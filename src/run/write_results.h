/* run/write_results.h - all views of a finished run to its folder. */
#ifndef HN_RUN_WRITE_RESULTS_H
#define HN_RUN_WRITE_RESULTS_H

#include "run/state.h"

HN_MUST_CHECK hn_status hn_write_results(hn_state *state, hn_error *err);

#endif
