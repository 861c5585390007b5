/* read/context_source.h - a context layer (rail, roads, water ...) as flat
 * shapes in the network's CRS. */
#ifndef HN_READ_CONTEXT_SOURCE_H
#define HN_READ_CONTEXT_SOURCE_H

#include "base/status.h"
#include "read/source.h"
#include "table/context_shapes.h"
#include "table/issues.h"

typedef struct hn_context_stats {
    size_t features_in_layer; /* SIZE_MAX when the driver cannot say */
    size_t features_read;     /* within the box, or all without one */
    size_t features_left_out; /* no shape that can be used */
    size_t rings_closed;      /* rings of areas that were open */
    char driver[32], layer[128];
} hn_context_stats;

/* Reads points, lines and areas, single, multi or collected; curves become
 * chords, heights are dropped. `box` (x0, y0, x1, y1 in the network's CRS) keeps
 * only features that may touch it; NULL keeps all. Parts of the features are in
 * source order; out->feature numbers the features read from 0.
 * Listed, not errors: an empty layer (note), a layer with nothing in the box
 * (warning: it may lie in another CRS), features without a usable shape, areas
 * whose ring was open.
 * Errors: HN_ERR_INPUT (file, layer, no geometry, no CRS, no way between the
 * two CRS), HN_ERR_MEMORY. *out is the caller's: hn_context_shapes_clear. */
HN_MUST_CHECK hn_status hn_context_read(const hn_source *source, const char *crs_wkt,
                                        const double box[4], hn_issue_list *issues,
                                        hn_context_shapes *out, hn_context_stats *stats,
                                        hn_error *err);

#endif
