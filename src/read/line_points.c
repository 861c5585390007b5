#include "read/line_points.h"

#include "read/join_parts.h"

#include <math.h>
#include <string.h>

static const double ARC_STEP_DEG = 1.0;

static hn_batch_row *newest(hn_row_batch *batch)
{
    return &batch->rows[batch->row_count - 1];
}

static void drop_points(hn_row_batch *batch, size_t begin, hn_line_state state)
{
    batch->point_count = begin;
    newest(batch)->point_end = begin;
    newest(batch)->line_state = (uint8_t)state;
}

static hn_line_state state_of_points(const hn_row_batch *batch, size_t begin,
                                     const hn_line_rules *rules)
{
    int differ = 0, off = 0;

    for (size_t i = begin; i < batch->point_count; i++) {
        const double *p = batch->xyz + 3 * i;

        if (!isfinite(p[0]) || !isfinite(p[1]))
            return HN_LINE_NOT_FINITE;
        differ |= p[0] != batch->xyz[3 * begin] || p[1] != batch->xyz[3 * begin + 1];
        off |= rules->is_geographic && (fabs(p[0]) > 360.0 || fabs(p[1]) > 90.0);
    }
    if (!differ && !rules->allow_points)
        return HN_LINE_NO_LENGTH;
    return off ? HN_LINE_OFF_EARTH : HN_LINE_GOOD;
}

/* The row's points lie in [begin, point_count): judge and join them. */
static void finish(hn_row_batch *batch, size_t begin, const hn_line_rules *rules)
{
    hn_line_state state;

    if (batch->out_of_memory || batch->point_count == begin) {
        drop_points(batch, begin, HN_LINE_EMPTY);
        return;
    }
    state = state_of_points(batch, begin, rules);
    if (state != HN_LINE_GOOD) {
        drop_points(batch, begin, state);
        return;
    }
    if (!rules->allow_points && !hn_join_parts(batch, begin, rules->touch))
        state = HN_LINE_PARTS;
    if (!rules->allow_points && batch->point_count - begin < 2) { /* nothing but lone points */
        drop_points(batch, begin, HN_LINE_NO_LENGTH);
        return;
    }
    newest(batch)->point_end = batch->point_count;
    newest(batch)->line_state = (uint8_t)state;
}

/* ---- from OGR ---- */

static void add_line(hn_row_batch *batch, OGRGeometryH line)
{
    int count = OGR_G_GetPointCount(line), is_3d = OGR_G_Is3D(line);

    batch->has_z |= is_3d && count > 0;
    for (int i = 0; i < count; i++) {
        double x, y, z;

        OGR_G_GetPoint(line, i, &x, &y, &z);
        hn_row_batch_point(batch, x, y, is_3d ? z : NAN, i == 0);
    }
}

/* 0 when something other than lines is in it. */
static int add_lines(hn_row_batch *batch, OGRGeometryH geometry, int allow_points)
{
    int count;

    switch (wkbFlatten(OGR_G_GetGeometryType(geometry))) {
    case wkbPoint:
        if (!allow_points)
            return 0;
        add_line(batch, geometry);
        return 1;
    case wkbLineString:
        add_line(batch, geometry);
        return 1;
    case wkbMultiPoint:
    case wkbMultiLineString:
    case wkbGeometryCollection:
        count = OGR_G_GetGeometryCount(geometry);
        for (int i = 0; i < count; i++)
            if (!add_lines(batch, OGR_G_GetGeometryRef(geometry, i), allow_points))
                return 0;
        return 1;
    default:
        return 0;
    }
}

void hn_line_from_ogr(hn_row_batch *batch, OGRGeometryH geometry, const hn_line_rules *rules)
{
    size_t begin = batch->point_count;
    OGRGeometryH straight = NULL;

    if (!geometry || OGR_G_IsEmpty(geometry)) {
        drop_points(batch, begin, geometry ? HN_LINE_EMPTY : HN_LINE_NULL);
        return;
    }
    if (OGR_G_IsMeasured(geometry))
        newest(batch)->line_flags |= HN_LINE_HAD_M;
    if (OGR_G_HasCurveGeometry(geometry, 1)) {
        newest(batch)->line_flags |= HN_LINE_WAS_CURVE;
        straight = OGR_G_GetLinearGeometry(geometry, ARC_STEP_DEG, NULL);
        geometry = straight;
    }
    if (!geometry || !add_lines(batch, geometry, rules->allow_points))
        drop_points(batch, begin, HN_LINE_NOT_A_LINE);
    else
        finish(batch, begin, rules);
    OGR_G_DestroyGeometry(straight);
}

/* ---- from WKB ---- */

enum { WKB_LINE = 2, WKB_MULTI_LINE = 5, WKB_HEADER = 9 };

typedef struct wkb_head {
    uint32_t type, count;
    int has_z, has_m;
} wkb_head;

/* Both spellings of Z and M: ISO thousands and the older high bits. 0 when
 * not little-endian or cut off. */
static int read_head(const unsigned char *at, size_t left, wkb_head *head)
{
    uint32_t type;

    if (left < WKB_HEADER || at[0] != 1)
        return 0;
    memcpy(&type, at + 1, 4);
    memcpy(&head->count, at + 5, 4);
    head->has_z = (type & 0x80000000u) != 0;
    head->has_m = (type & 0x40000000u) != 0;
    type &= 0x0fffffffu;
    head->has_z |= type / 1000 == 1 || type / 1000 == 3;
    head->has_m |= type / 1000 == 2 || type / 1000 == 3;
    head->type = type % 1000;
    return 1;
}

/* Bytes used, 0 when it is not a plain line that fits. */
static size_t add_wkb_line(hn_row_batch *batch, const unsigned char *at, size_t left)
{
    wkb_head head;
    size_t stride;

    if (!read_head(at, left, &head) || head.type != WKB_LINE)
        return 0;
    stride = 8 * (2 + (size_t)head.has_z + (size_t)head.has_m);
    if ((left - WKB_HEADER) / stride < head.count)
        return 0;
    batch->has_z |= head.has_z && head.count > 0;
    if (head.has_m)
        newest(batch)->line_flags |= HN_LINE_HAD_M;
    for (uint32_t i = 0; i < head.count; i++) {
        double p[3] = {0, 0, NAN};

        memcpy(p, at + WKB_HEADER + i * stride, head.has_z ? 24 : 16);
        hn_row_batch_point(batch, p[0], p[1], p[2], i == 0);
    }
    return WKB_HEADER + head.count * stride;
}

static int add_wkb_lines(hn_row_batch *batch, const unsigned char *wkb, size_t size)
{
    wkb_head head;
    size_t used = WKB_HEADER, step;

    if (!read_head(wkb, size, &head))
        return 0;
    if (head.type == WKB_LINE)
        return add_wkb_line(batch, wkb, size) != 0;
    if (head.type != WKB_MULTI_LINE)
        return 0;
    for (uint32_t i = 0; i < head.count; i++, used += step) {
        step = add_wkb_line(batch, wkb + used, size - used);
        if (step == 0)
            return 0;
    }
    return 1;
}

void hn_line_from_wkb(hn_row_batch *batch, const unsigned char *wkb, size_t size,
                      const hn_line_rules *rules)
{
    size_t begin = batch->point_count;
    OGRGeometryH geometry = NULL;

    if (add_wkb_lines(batch, wkb, size)) {
        finish(batch, begin, rules);
        return;
    }
    batch->point_count = begin;
    newest(batch)->line_flags = 0;
    if (OGR_G_CreateFromWkbEx(wkb, NULL, &geometry, size) == OGRERR_NONE)
        hn_line_from_ogr(batch, geometry, rules);
    else
        drop_points(batch, begin, HN_LINE_UNREADABLE);
    OGR_G_DestroyGeometry(geometry);
}

const unsigned char *hn_gpkg_wkb(const unsigned char *blob, size_t size, size_t *wkb_size,
                                 int *is_empty)
{
    static const unsigned char envelope_bytes[] = {0, 32, 48, 48, 64};
    size_t envelope, head;

    if (size < 8 || blob[0] != 'G' || blob[1] != 'P' || (blob[3] & 0x20))
        return NULL;
    envelope = blob[3] >> 1 & 7;
    if (envelope >= sizeof envelope_bytes)
        return NULL;
    head = 8 + (size_t)envelope_bytes[envelope];
    if (size < head)
        return NULL;
    *is_empty = (blob[3] & 0x10) != 0;
    *wkb_size = size - head;
    return blob + head;
}
