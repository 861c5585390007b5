/* consequence/scheme_view.h - scheme_parts: what each factor of the points scheme
 * gave a segment. */
#ifndef HN_CONSEQUENCE_SCHEME_VIEW_H
#define HN_CONSEQUENCE_SCHEME_VIEW_H

#include "base/arena.h"
#include "consequence/scheme.h"
#include "table/view.h"

typedef struct hn_scheme_view {
    const hn_table *table;
    const hn_plan *plan;
    const hn_scheme_parts *parts;
    uint32_t *row;   /* per line */
    uint8_t *factor; /* a limit line has the number of factors + the side */
    size_t lines;
    hn_view view;
} hn_scheme_view;

/* All factors of all segments, or (deciding) of segments that are funded,
 * committed or act-now; and a line for each limit that held a side's score.
 * by_priority as in hn_score_view_make. */
HN_MUST_CHECK hn_status hn_scheme_view_make(const hn_table *table, const hn_plan *plan,
                                            const hn_scheme_parts *parts,
                                            const uint32_t *by_priority, hn_arena *arena,
                                            hn_scheme_view *out, hn_error *err);

#endif
