/* run/import.h - from the sources that the plan names into the state. */
#ifndef HN_RUN_IMPORT_H
#define HN_RUN_IMPORT_H

#include "run/state.h"

HN_MUST_CHECK hn_status hn_import_network(hn_state *state, hn_error *err);
/* Manholes: places and ids of nodes; ground levels and openings of their pipes. */
HN_MUST_CHECK hn_status hn_import_nodes(hn_state *state, hn_error *err);
HN_MUST_CHECK hn_status hn_import_inspections(hn_state *state, hn_error *err);
/* Observations, and the inspections that an exchange text holds; does nothing without
 * an `observations:` block. */
HN_MUST_CHECK hn_status hn_import_observations(hn_state *state, hn_error *err);
/* One source of them in exchange form (import_exchange.c). */
HN_MUST_CHECK hn_status hn_import_exchange(hn_state *state, const hn_source *source, size_t number,
                                           size_t *rows, hn_error *err);
/* Adds near_<name>_m for every context layer. */
HN_MUST_CHECK hn_status hn_import_context(hn_state *state, hn_error *err);
/* Commitments and paving years, overrides of the year included. */
HN_MUST_CHECK hn_status hn_import_works(hn_state *state, hn_error *err);
/* Drops the works as they were read; they are kept only where variations ask again. */
void hn_works_forget(hn_state *state);

#endif
