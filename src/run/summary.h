/* run/summary.h - the ten lines at the end of a run. */
#ifndef HN_RUN_SUMMARY_H
#define HN_RUN_SUMMARY_H

#include "run/state.h"

void hn_summary_fill(const hn_state *state, int reconciles, hn_summary *summary);

#endif
