/* run/overrides.h - what a person decided, applied every run and listed. */
#ifndef HN_RUN_OVERRIDES_H
#define HN_RUN_OVERRIDES_H

#include "run/state.h"

typedef enum hn_override_state {
    HN_OVERRIDE_WAITING, /* not yet applied */
    HN_OVERRIDE_APPLIED,
    HN_OVERRIDE_NO_SEGMENT, /* the segment does not exist any more */
    HN_OVERRIDE_SAME,       /* the value is what it would have been: stale */
    HN_OVERRIDE_NOT_USABLE, /* the value cannot be used */
    HN_OVERRIDE_REPLACED    /* an inspection put another value in its place */
} hn_override_state;

extern const char *const hn_override_state_names[];

/* Recorded columns (width_mm, material ...). Before anything is derived. */
HN_MUST_CHECK hn_status hn_overrides_apply_facts(hn_state *state, hn_error *err);
/* method and cost, after the choice. */
HN_MUST_CHECK hn_status hn_overrides_apply_choices(hn_state *state, hn_error *err);
/* year: commitments that a person made; added to the list of commitments. */
HN_MUST_CHECK hn_status hn_overrides_add_years(hn_state *state, hn_error *err);

/* priority: after the ranks. Segments that a person placed take those places, the others
 * keep their order around them; priority_computed keeps what the rule gave. */
HN_MUST_CHECK hn_status hn_overrides_move_ranks(hn_state *state, hn_error *err);

/* run/overrides_review.c: what is doubtful about override i, "" when nothing is;
 * `text` has HN_OVERRIDE_DOUBT bytes. And the same as data issues. */
enum { HN_OVERRIDE_DOUBT = 160 };
void hn_override_doubt(const hn_state *state, size_t i, char *text);
void hn_overrides_review(hn_state *state);

#endif
