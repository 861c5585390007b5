/* consequence/consequence.h - what a failure would cost, in points and money.
 *
 *   hn_nearness       distance of each segment to each context layer
 *   hn_consequence    the factors of config/consequence.csv
 */
#ifndef HN_CONSEQUENCE_CONSEQUENCE_H
#define HN_CONSEQUENCE_CONSEQUENCE_H

#include "base/status.h"
#include "plan/plan.h"
#include "table/consequence_parts.h"
#include "table/context_shapes.h"
#include "table/plane.h"
#include "table/segment_table.h"

/* Adds column near_<name>_m: 0 inside or touching, INFINITY when nothing is
 * within search_m, missing for a segment without a line. *mended: polygons that
 * cross themselves or have no area; their inside is judged as GEOS mends them. */
HN_MUST_CHECK hn_status hn_nearness(hn_table *table, const char *name, double search_m,
                                    const hn_context_shapes *shapes, const hn_plane *plane,
                                    int threads, size_t *mended, hn_error *err);

/* Fills consequence_points and the consequence money columns; the parts are the
 * caller's (hn_consequence_parts_clear). Money is rounded to whole units part
 * by part, so that parts add up exactly to what is shown. */
HN_MUST_CHECK hn_status hn_consequence(hn_table *table, const hn_plan *plan, int threads,
                                       hn_consequence_parts *parts, hn_error *err);
void hn_consequence_parts_clear(hn_consequence_parts *parts);

#endif
