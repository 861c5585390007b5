/* run/sensitivity.h - each weight and parameter up and down, one at a time.
 *
 * A variation is a state of its own: a changed plan, and a table that shares the
 * columns of the run but for those of the first stage that depends on the change and
 * of all after it. These stages then run on it, the same functions as the run's. The
 * state of the run is only read, so nothing has to be put back.
 */
#ifndef HN_RUN_SENSITIVITY_H
#define HN_RUN_SENSITIVITY_H

#include "run/state.h"

/* `auto` varies up to so many segments: beyond, some forty runs of the late stages
 * would take longer than the run itself. Source: local rule. */
enum { HN_SENSITIVITY_MOST_ROWS = 20000 };

/* 1 when this run varies; known when the segments are read. */
int hn_sensitivity_is_on(const hn_state *state);

/* Fills state->sensitivity; after the programme. The result does not depend on the
 * number of threads. */
HN_MUST_CHECK hn_status hn_sensitivity_run(hn_state *state, hn_error *err);
void hn_sensitivity_clear(hn_sensitivity *sensitivity);

/* Length that enters and leaves, the greater of both sides; for sorting. */
double hn_sensitivity_moved_m(const hn_sensitivity *sensitivity, size_t vary);
/* The case of a side; NULL: not varied to there. */
const hn_vary_case *hn_sensitivity_case(const hn_sensitivity *sensitivity, size_t vary, int side);

/* run/variation.c: 0 when no segment of the run rests on the parameter at all, so that
 * a variation of it is the run itself. */
int hn_variation_matters(const hn_state *base, size_t vary);
/* A state as it would be with the change, the programme included in
 * scenario[1]. Free with hn_variation_free. */
HN_MUST_CHECK hn_status hn_variation_new(const hn_state *base, size_t vary, int side,
                                         hn_state **out, hn_error *err);
void hn_variation_free(const hn_state *base, hn_state *variation);

#endif
