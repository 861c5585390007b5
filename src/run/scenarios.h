/* run/scenarios.h - the programme and its alternatives, assessed in one run. */
#ifndef HN_RUN_SCENARIOS_H
#define HN_RUN_SCENARIOS_H

#include "run/state.h"

/* Fills state->scenario and writes the plan's own programme into the table. */
HN_MUST_CHECK hn_status hn_scenarios_run(hn_state *state, hn_error *err);

/* The plan's own programme alone, without its years; writes nothing but *plan. */
HN_MUST_CHECK hn_status hn_scenarios_allocate(const hn_state *state, hn_scenario *plan,
                                              hn_error *err);

#endif
