/* options/quantities_view.h - the quantities table: what the chosen work of each
 * segment of the programme takes, counted by the same call as its price. */
#ifndef HN_OPTIONS_QUANTITIES_VIEW_H
#define HN_OPTIONS_QUANTITIES_VIEW_H

#include "base/arena.h"
#include "options/takeoff.h"
#include "table/view.h"

typedef struct hn_quantities_view {
    const hn_options *options;
    const hn_table *table;
    const hn_plan *plan;
    uint32_t *row; /* per line: segments funded or committed that have a method */
    hn_view view;
} hn_quantities_view;

/* by_priority: rows in the order of the result, NULL: as the table. After
 * hn_options_view_make, which keeps what these rows need. */
HN_MUST_CHECK hn_status hn_quantities_view_make(const hn_options *options, const hn_table *table,
                                                const hn_plan *plan, const uint32_t *by_priority,
                                                hn_arena *arena, hn_quantities_view *out,
                                                hn_error *err);

#endif
