/* plan/draft.h - a first plan from a look at the data.
 *
 * The draft is for a person to finish: every guess says what it rests on, and
 * what must not be guessed (which grade is best) is left open, so that the
 * plan is refused until somebody has said it.
 */
#ifndef HN_PLAN_DRAFT_H
#define HN_PLAN_DRAFT_H

#include "base/status.h"

#include <stddef.h>

/* Which layer was taken, out of how many layers of lines. */
typedef struct hn_draft_choice {
    char layer[128];
    size_t line_layers;
} hn_draft_choice;

/* Looks through `source` (a path or an OGR connection string) and writes a
 * commented YAML plan into *out_yaml, which the caller frees with hn_free.
 * `layer_or_null` names the network layer; without it the layer of lines in
 * which most roles are found is taken; `choice_or_null` tells which. With
 * `plan_file_or_null`, the file that the plan is to lie in, a local source is
 * named relative to its folder; else as given. The date of the assessment is
 * today in UTC, or that of SOURCE_DATE_EPOCH. Errors: HN_ERR_INPUT when the
 * source cannot be opened or has no lines; HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_draft_plan(const char *source, const char *layer_or_null,
                                      const char *plan_file_or_null, char **out_yaml,
                                      hn_draft_choice *choice_or_null, hn_error *err);

#endif
