/* run/explain_guard.h - does a sheet still belong to its result? */
#ifndef HN_RUN_EXPLAIN_GUARD_H
#define HN_RUN_EXPLAIN_GUARD_H

#include "read/result_store.h"
#include "report/sheet.h"
#include "run/state.h"

/* The plan file against its hash in run.json. Errors: HN_ERR_INPUT. */
HN_MUST_CHECK hn_status hn_guard_plan(hn_result_store *store, const char *plan_path, hn_error *err);
/* Tables and sources of the plan against theirs. */
HN_MUST_CHECK hn_status hn_guard_inputs(hn_result_store *store, const hn_plan *plan, hn_error *err);
/* Every column of the segment's row in layer `segments` against the table, and
 * every number of the sheet that names a column against that row. */
HN_MUST_CHECK hn_status hn_guard_row(hn_result_store *store, const hn_state *state, size_t row,
                                     const hn_sheet *sheet, hn_error *err);

#endif
