/* plan/draft.h - a first plan from a look at the data.
 *
 * The draft is for a person to finish: every guess says what it rests on, and
 * what must not be guessed (which grade is best) is left open, so that the
 * plan is refused until somebody has said it.
 */
#ifndef HN_PLAN_DRAFT_H
#define HN_PLAN_DRAFT_H

#include "base/status.h"

/* Looks through `source` (a path or an OGR connection string) and writes a
 * commented YAML plan into *out_yaml, which the caller frees with hn_free.
 * `layer_or_null` names the network layer; without it the layer of lines in
 * which most roles are found is taken. The date of the assessment is today in
 * UTC, or that of SOURCE_DATE_EPOCH. Errors: HN_ERR_INPUT when the source
 * cannot be opened or has no lines; HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_draft_plan(const char *source, const char *layer_or_null,
                                      char **out_yaml, hn_error *err);

#endif
