/* read/context_parts.h - geometries of any kind appended to flat shapes. */
#ifndef HN_READ_CONTEXT_PARTS_H
#define HN_READ_CONTEXT_PARTS_H

#include "read/to_crs.h"
#include "table/context_shapes.h"

#include <ogr_api.h>

typedef struct hn_context_builder {
    hn_context_shapes *shapes;
    const hn_to_crs *to;
    size_t part_capacity, start_capacity, feature_capacity, points, point_capacity;
    size_t rings_closed; /* rings whose last point was not their first */
    int out_of_memory;
} hn_context_builder;

/* Appends a feature's shape, transformed; 0 when there is nothing in it that
 * can be used (then nothing is appended) or memory is out (then the flag is
 * set). The feature's number is shapes->features, which the caller counts up. */
int hn_context_add(hn_context_builder *builder, OGRGeometryH geometry);

#endif
