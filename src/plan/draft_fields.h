/* plan/draft_fields.h - the `fields:` of a draft, with what each guess rests on. */
#ifndef HN_PLAN_DRAFT_FIELDS_H
#define HN_PLAN_DRAFT_FIELDS_H

#include "plan/draft_guess.h"
#include "plan/draft_text.h"

/* Lines under `fields:`, roles that were not found as a remark, and the
 * fields that no role uses. */
void hn_draft_put_fields(hn_draft_text *out, const hn_layer_look *layer, const hn_guesses *guesses);

#endif
