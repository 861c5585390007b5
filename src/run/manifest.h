/* run/manifest.h - what went in and with which versions, for run.json and for
 * the lineage in the metadata. No clock, no machine; the one path is that of
 * the plan as seen from the folder of the result. */
#ifndef HN_RUN_MANIFEST_H
#define HN_RUN_MANIFEST_H

#include "base/arena.h"
#include "run/state.h"

/* NULL when out of memory. Both lie in the arena. */
const char *hn_manifest_json(const hn_state *state, hn_arena *arena);
const char *hn_manifest_lineage(const hn_state *state, hn_arena *arena);

#endif
