/* run/defaults.h - the plan's defaults for missing values, counted. */
#ifndef HN_RUN_DEFAULTS_H
#define HN_RUN_DEFAULTS_H

#include "run/state.h"

/* Columns read from the sources. */
HN_MUST_CHECK hn_status hn_defaults_apply(hn_state *state, hn_error *err);
/* Columns worked out from them, such as depth_m. */
HN_MUST_CHECK hn_status hn_defaults_apply_derived(hn_state *state, hn_error *err);

#endif
