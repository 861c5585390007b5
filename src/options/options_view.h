/* options/options_view.h - the options table: one row a segment and method,
 * worked out by the same call as the batch when it is written. */
#ifndef HN_OPTIONS_OPTIONS_VIEW_H
#define HN_OPTIONS_OPTIONS_VIEW_H

#include "base/arena.h"
#include "options/options.h"
#include "table/view.h"

typedef struct hn_options_view {
    const hn_options *options;
    const hn_table *table;
    const hn_plan *plan;
    uint32_t *row;    /* per line of the table */
    uint8_t *method;
    hn_view view;
} hn_options_view;

/* by_priority: rows in the order of the result, NULL: as the table. Detail as
 * the plan says: all methods of all segments, or (deciding) the chosen one, the
 * best lining, the best replacement and the runner-up of segments with work, and
 * every method where none fits. Above 100,000 segments only those funded,
 * committed or act-now. */
HN_MUST_CHECK hn_status hn_options_view_make(hn_options *options, const hn_table *table,
                                             const hn_plan *plan, const uint32_t *by_priority,
                                             hn_arena *arena, hn_options_view *out,
                                             hn_error *err);

#endif
