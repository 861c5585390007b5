/* table/context_shapes.h - the shapes of one context layer, in the network's
 * CRS. Part p has points [start[p], start[p+1]). */
#ifndef HN_TABLE_CONTEXT_SHAPES_H
#define HN_TABLE_CONTEXT_SHAPES_H

#include <stddef.h>
#include <stdint.h>

typedef enum hn_part_kind {
    HN_PART_POINT,
    HN_PART_LINE,
    HN_PART_RING, /* outer ring of a polygon */
    HN_PART_HOLE  /* inner ring of the polygon whose ring came last */
} hn_part_kind;

typedef struct hn_context_shapes {
    size_t parts, features;
    uint8_t *kind;
    uint32_t *feature; /* per part */
    size_t *start;     /* parts + 1 */
    double *xy;
} hn_context_shapes;

void hn_context_shapes_clear(hn_context_shapes *shapes);

#endif
