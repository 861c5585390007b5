/* consequence/score_view.h - score_parts: what each factor gave a segment. */
#ifndef HN_CONSEQUENCE_SCORE_VIEW_H
#define HN_CONSEQUENCE_SCORE_VIEW_H

#include "base/arena.h"
#include "consequence/consequence.h"
#include "table/view.h"

typedef struct hn_score_view {
    const hn_table *table;
    const hn_plan *plan;
    const hn_consequence_parts *parts;
    uint32_t *row;   /* per line */
    uint8_t *factor;
    size_t lines;
    hn_view view;
} hn_score_view;

/* All factors of all segments, or (deciding) the factors that gave something to
 * segments that are funded, committed or act-now.
 * by_priority: rows in the order of the result, NULL: as the table. */
HN_MUST_CHECK hn_status hn_score_view_make(const hn_table *table, const hn_plan *plan,
                                           const hn_consequence_parts *parts,
                                           const uint32_t *by_priority, hn_arena *arena,
                                           hn_score_view *out, hn_error *err);

#endif
