#include "consequence/inside.h"

#include "base/alloc.h"

#define GEOS_USE_ONLY_R_API
#include <geos_c.h>

struct hn_inside {
    GEOSContextHandle_t geos;
    GEOSGeometry **polygons;
    const GEOSPreparedGeometry **prepared;
    size_t count, mended;
    GEOSSTRtree *tree;
};

static GEOSGeometry *ring_of(const hn_inside *in, const hn_context_shapes *s, size_t part)
{
    size_t from = s->start[part], n = s->start[part + 1] - from;
    const double *xy = s->xy + 2 * from;
    int closed = n > 0 && xy[0] == xy[2 * n - 2] && xy[1] == xy[2 * n - 1];
    unsigned points = (unsigned)(n + (closed ? 0 : 1));
    GEOSCoordSequence *seq;

    if (points < 4)
        return NULL;
    seq = GEOSCoordSeq_create_r(in->geos, points, 2);
    for (unsigned i = 0; seq && i < points; i++) {
        size_t k = i < n ? i : 0;

        GEOSCoordSeq_setXY_r(in->geos, seq, i, xy[2 * k], xy[2 * k + 1]);
    }
    return seq ? GEOSGeom_createLinearRing_r(in->geos, seq) : NULL;
}

/* One polygon from a ring and the holes behind it; *part moves past them. A
 * polygon that crosses itself is mended as GEOS sees fit. */
static GEOSGeometry *polygon_of(hn_inside *in, const hn_context_shapes *s, size_t *part)
{
    GEOSGeometry *shell = ring_of(in, s, (*part)++), *polygon, *mended;
    GEOSGeometry **holes;
    size_t first = *part, count = 0;

    while (*part < s->parts && s->kind[*part] == HN_PART_HOLE)
        (*part)++;
    if (!shell) {
        in->mended++;
        return NULL;
    }
    holes = hn_alloc(*part - first, sizeof *holes);
    for (size_t h = first; holes && h < *part; h++) {
        GEOSGeometry *hole = ring_of(in, s, h);

        if (hole)
            holes[count++] = hole;
    }
    polygon = GEOSGeom_createPolygon_r(in->geos, shell, holes, (unsigned)count);
    hn_free(holes);
    if (!polygon || GEOSisValid_r(in->geos, polygon) == 1)
        return polygon;
    in->mended++;
    mended = GEOSMakeValid_r(in->geos, polygon);
    GEOSGeom_destroy_r(in->geos, polygon);
    return mended;
}

static void build_polygons(hn_inside *in, const hn_context_shapes *s)
{
    for (size_t part = 0; part < s->parts;) {
        GEOSGeometry *polygon;

        if (s->kind[part] != HN_PART_RING) {
            part++;
            continue;
        }
        polygon = polygon_of(in, s, &part);
        if (!polygon || GEOSisEmpty_r(in->geos, polygon) == 1) {
            GEOSGeom_destroy_r(in->geos, polygon);
            continue;
        }
        in->polygons[in->count] = polygon;
        in->prepared[in->count] = GEOSPrepare_r(in->geos, polygon);
        GEOSSTRtree_insert_r(in->geos, in->tree, polygon, (void *)(uintptr_t)in->count);
        in->count++;
    }
}

hn_status hn_inside_new(const hn_context_shapes *shapes, hn_inside **out, size_t *mended,
                        hn_error *err)
{
    size_t rings = 0;
    hn_inside *in;
    hn_status rc = HN_OK;

    *out = NULL;
    *mended = 0;
    for (size_t p = 0; p < shapes->parts; p++)
        rings += shapes->kind[p] == HN_PART_RING;
    if (rings == 0)
        return HN_OK;
    in = hn_alloc(1, sizeof *in);
    HN_TRY_ALLOC(in);
    in->geos = GEOS_init_r();
    in->polygons = hn_alloc(rings, sizeof *in->polygons);
    in->prepared = hn_alloc(rings, sizeof *in->prepared);
    in->tree = in->geos ? GEOSSTRtree_create_r(in->geos, 10) : NULL;
    if (!in->polygons || !in->prepared || !in->tree)
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    build_polygons(in, shapes);
    *mended = in->mended;
    if (in->count) {
        *out = in;
        in = NULL;
    }
out:
    hn_inside_free(in);
    return rc;
}

void hn_inside_free(hn_inside *in)
{
    if (!in)
        return;
    for (size_t i = 0; i < in->count; i++) {
        GEOSPreparedGeom_destroy_r(in->geos, in->prepared[i]);
        GEOSGeom_destroy_r(in->geos, in->polygons[i]);
    }
    if (in->tree)
        GEOSSTRtree_destroy_r(in->geos, in->tree);
    if (in->geos)
        GEOS_finish_r(in->geos);
    hn_free(in->polygons);
    hn_free((void *)in->prepared);
    hn_free(in);
}

typedef struct hit {
    hn_inside *in;
    GEOSGeometry *point;
    int found;
} hit;

static void look(void *item, void *context)
{
    hit *h = context;
    size_t i = (size_t)(uintptr_t)item;

    if (!h->found && GEOSPreparedIntersects_r(h->in->geos, h->in->prepared[i], h->point) == 1)
        h->found = 1;
}

int hn_inside_test(hn_inside *in, double x, double y)
{
    hit h = {in, GEOSGeom_createPointFromXY_r(in->geos, x, y), 0};

    if (h.point)
        GEOSSTRtree_query_r(in->geos, in->tree, h.point, look, &h);
    GEOSGeom_destroy_r(in->geos, h.point);
    return h.found;
}

const char *hn_geos_version(void)
{
    return GEOSversion();
}
