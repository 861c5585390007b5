/* run/previous_result.h - whose result stands where this plan writes? A run
 * replaces a result as a whole, so a plan that shares its output folder with
 * another one must not do so unseen. */
#ifndef HN_RUN_PREVIOUS_RESULT_H
#define HN_RUN_PREVIOUS_RESULT_H

#include "run/state.h"

/* Reads FOLDER/run.json, if there is one; when its plan file or its title is not
 * that of this plan, state->other_plan and state->other_title tell them. What
 * cannot be read says nothing. */
void hn_previous_result_look(hn_state *state);

#endif
