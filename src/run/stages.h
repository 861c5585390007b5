/* run/stages.h - the list of stages, for the driver and for haunch check. */
#ifndef HN_RUN_STAGES_H
#define HN_RUN_STAGES_H

#include "run/state.h"

enum {
    HN_STAGE_READ,
    HN_STAGE_NETWORK,
    HN_STAGE_INSPECTIONS,
    HN_STAGE_QUALITY,
    HN_STAGE_CONDITION,
    HN_STAGE_NEARNESS,
    HN_STAGE_CONSEQUENCE,
    HN_STAGE_OPTIONS,
    HN_STAGE_RISK,
    HN_STAGE_PROGRAMME,
    HN_STAGE_SENSITIVITY,
    HN_STAGE_WRITE,
    HN_STAGES
};

typedef struct hn_stage {
    const char *name;
    double share; /* usual part of the run, for the progress line */
    hn_status (*run)(hn_state *state, hn_error *err);
} hn_stage;

extern const hn_stage hn_run_stages[HN_STAGES];
extern const size_t hn_run_stage_count, hn_check_stage_count;

#endif
