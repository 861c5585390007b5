#include "read/context_parts.h"

#include "base/alloc.h"

#include <math.h>

static const double ARC_STEP_DEG = 1.0;

static int grow(hn_context_builder *b, void **items, size_t wanted, size_t *capacity, size_t size)
{
    size_t grown = *capacity ? *capacity : 256;
    void *block;

    if (wanted <= *capacity)
        return 1;
    while (grown < wanted)
        grown *= 2;
    block = hn_realloc(*items, grown, size);
    if (!block) {
        b->out_of_memory = 1;
        return 0;
    }
    *items = block;
    *capacity = grown;
    return 1;
}

static int reserve_part(hn_context_builder *b)
{
    hn_context_shapes *s = b->shapes;
    void *kind = s->kind, *feature = s->feature, *start = s->start;
    int done = grow(b, &kind, s->parts + 1, &b->part_capacity, sizeof *s->kind);

    s->kind = kind;
    done = done && grow(b, &feature, s->parts + 1, &b->feature_capacity, sizeof *s->feature);
    s->feature = feature;
    done = done && grow(b, &start, s->parts + 2, &b->start_capacity, sizeof *s->start);
    s->start = start;
    return done;
}

static int reserve_points(hn_context_builder *b, size_t more)
{
    void *xy = b->shapes->xy;
    int done = grow(b, &xy, b->points + more, &b->point_capacity, 2 * sizeof *b->shapes->xy);

    b->shapes->xy = xy;
    return done;
}

static int all_finite(const double *xy, size_t points)
{
    for (size_t i = 0; i < 2 * points; i++)
        if (!isfinite(xy[i]))
            return 0;
    return 1;
}

/* One simple geometry; 0 when a point of it has no place. */
static int add_part(hn_context_builder *b, OGRGeometryH simple, hn_part_kind kind)
{
    hn_context_shapes *s = b->shapes;
    int count = OGR_G_GetPointCount(simple);

    if (count <= 0)
        return 1; /* an empty part of a multi geometry */
    if (!reserve_part(b) || !reserve_points(b, (size_t)count))
        return 0;
    OGR_G_GetPoints(simple, s->xy + 2 * b->points, 16, s->xy + 2 * b->points + 1, 16, NULL, 0);
    hn_to_crs_points(b->to, s->xy + 2 * b->points, (size_t)count);
    if (!all_finite(s->xy + 2 * b->points, (size_t)count))
        return 0;
    s->start[s->parts] = b->points;
    s->kind[s->parts] = (uint8_t)kind;
    s->feature[s->parts] = (uint32_t)s->features;
    s->parts++;
    b->points += (size_t)count;
    s->start[s->parts] = b->points;
    return 1;
}

/* A ring that does not end where it began gets its last leg. */
static int close_ring(hn_context_builder *b)
{
    hn_context_shapes *s = b->shapes;
    const size_t from = s->start[s->parts - 1];
    double *xy = s->xy + 2 * from;
    const size_t points = b->points - from;

    if (xy[0] == xy[2 * points - 2] && xy[1] == xy[2 * points - 1])
        return 1;
    if (!reserve_points(b, 1))
        return 0;
    xy = s->xy + 2 * from;
    xy[2 * points] = xy[0];
    xy[2 * points + 1] = xy[1];
    s->start[s->parts] = ++b->points;
    b->rings_closed++;
    return 1;
}

static int add_ring(hn_context_builder *b, OGRGeometryH ring, hn_part_kind kind)
{
    const size_t parts = b->shapes->parts;

    return add_part(b, ring, kind) && (b->shapes->parts == parts || close_ring(b));
}

static int add_polygon(hn_context_builder *b, OGRGeometryH polygon)
{
    int rings = OGR_G_GetGeometryCount(polygon);

    for (int i = 0; i < rings; i++)
        if (!add_ring(b, OGR_G_GetGeometryRef(polygon, i), i ? HN_PART_HOLE : HN_PART_RING))
            return 0;
    return 1;
}

static int add_any(hn_context_builder *b, OGRGeometryH geometry)
{
    int count;

    switch (wkbFlatten(OGR_G_GetGeometryType(geometry))) {
    case wkbPoint:
        return add_part(b, geometry, HN_PART_POINT);
    case wkbLineString:
        return add_part(b, geometry, HN_PART_LINE);
    case wkbPolygon:
    case wkbTriangle:
        return add_polygon(b, geometry);
    case wkbMultiPoint:
    case wkbMultiLineString:
    case wkbMultiPolygon:
    case wkbGeometryCollection:
    case wkbPolyhedralSurface:
    case wkbTIN:
        count = OGR_G_GetGeometryCount(geometry);
        for (int i = 0; i < count; i++)
            if (!add_any(b, OGR_G_GetGeometryRef(geometry, i)))
                return 0;
        return 1;
    default:
        return 0;
    }
}

int hn_context_add(hn_context_builder *b, OGRGeometryH geometry)
{
    size_t parts = b->shapes->parts, points = b->points;
    OGRGeometryH straight = NULL;
    int added;

    if (!geometry || OGR_G_IsEmpty(geometry))
        return 0;
    if (OGR_G_HasCurveGeometry(geometry, 1))
        geometry = straight = OGR_G_GetLinearGeometry(geometry, ARC_STEP_DEG, NULL);
    added = geometry && add_any(b, geometry) && b->shapes->parts > parts;
    if (!added) {
        b->shapes->parts = parts;
        b->points = points;
    }
    OGR_G_DestroyGeometry(straight);
    return added;
}
