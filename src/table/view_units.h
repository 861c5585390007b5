/* table/view_units.h - the same view in US customary units: mm become in, m
 * become ft, m3/s become ft3/s, in values, column names and units. */
#ifndef HN_TABLE_VIEW_UNITS_H
#define HN_TABLE_VIEW_UNITS_H

#include "base/arena.h"
#include "table/view.h"

/* Fills *out, which borrows `view` and lies in `arena` with its columns. */
HN_MUST_CHECK hn_status hn_view_in_us_units(const hn_view *view, hn_arena *arena,
                                            const hn_view **out, hn_error *err);

#endif
