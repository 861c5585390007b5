/* run/stages.h - the list of stages, for the driver and for haunch check. */
#ifndef HN_RUN_STAGES_H
#define HN_RUN_STAGES_H

#include "run/state.h"

typedef struct hn_stage {
    const char *name;
    double share; /* usual part of the run, for the progress line */
    hn_status (*run)(hn_state *state, hn_error *err);
} hn_stage;

extern const hn_stage hn_run_stages[];
extern const size_t hn_run_stage_count, hn_check_stage_count;

#endif
