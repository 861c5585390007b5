/* run/draft.h - haunch draft: the first plan of a dataset. */
#ifndef HN_RUN_DRAFT_H
#define HN_RUN_DRAFT_H

#include "base/status.h"
#include "plan/draft.h"

#include <stdio.h>

/* To the file `output`, which must not exist, or to `out` when it is NULL;
 * *choice: the layer taken. */
HN_MUST_CHECK hn_status hn_draft(const char *source, const char *layer, const char *output,
                                 FILE *out, hn_draft_choice *choice, hn_error *err);

#endif
