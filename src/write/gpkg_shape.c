#include "write/gpkg_shape.h"

#include "base/alloc.h"

#include <math.h>
#include <string.h>

/* What one row holds. */
typedef struct facts {
    hn_shape_type type; /* HN_SHAPE_ANY: nothing to draw */
    int has_z;
    size_t parts, points; /* that are drawn */
    hn_box box;
} facts;

static size_t least_points(const hn_shape_ref *shape)
{
    return shape->is_point ? 1 : 2;
}

/* Widens the box; 0 when a coordinate is not finite. */
static int add_part(hn_box *box, const double *xy, size_t points)
{
    double spoiled = 0;

    for (size_t i = 0; i < points; i++) {
        const double x = xy[2 * i], y = xy[2 * i + 1];

        spoiled += (x - x) + (y - y);
        box->min_x = x < box->min_x ? x : box->min_x;
        box->max_x = x > box->max_x ? x : box->max_x;
        box->min_y = y < box->min_y ? y : box->min_y;
        box->max_y = y > box->max_y ? y : box->max_y;
    }
    return spoiled == 0;
}

static int is_finite_list(const double *values, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!isfinite(values[i]))
            return 0;
    return 1;
}

static hn_shape_type type_of(const hn_shape_ref *shape, const facts *f)
{
    if (f->parts == 0)
        return HN_SHAPE_ANY;
    if (shape->is_point)
        return f->points > 1 ? HN_SHAPE_MULTIPOINT : HN_SHAPE_POINT;
    return f->parts > 1 ? HN_SHAPE_MULTILINE : HN_SHAPE_LINE;
}

/* Heights count only when every point has one: an unknown height is no 0. */
static facts look_at(const hn_shape_ref *shape)
{
    facts f = {.has_z = shape->z != NULL, .box = {INFINITY, INFINITY, -INFINITY, -INFINITY}};

    for (size_t p = 0; p < shape->part_count; p++) {
        const size_t points = shape->points[p];

        if (points < least_points(shape))
            continue;
        if (!add_part(&f.box, shape->xy[p], points))
            return (facts){.type = HN_SHAPE_ANY};
        f.has_z = f.has_z && shape->z[p] && is_finite_list(shape->z[p], points);
        f.parts++;
        f.points += points;
    }
    f.type = type_of(shape, &f);
    return f;
}

static float float_below(double value)
{
    float f = (float)value;

    return (double)f > value ? nextafterf(f, -INFINITY) : f;
}

static float float_above(double value)
{
    float f = (float)value;

    return (double)f < value ? nextafterf(f, INFINITY) : f;
}

static hn_small_box small_box(const hn_box *box)
{
    return (hn_small_box){float_below(box->min_x), float_above(box->max_x), float_below(box->min_y),
                          float_above(box->max_y)};
}

static hn_shape_type layer_type(const hn_view *view, unsigned seen)
{
    const unsigned points = 1u << HN_SHAPE_POINT, many_points = 1u << HN_SHAPE_MULTIPOINT;
    const unsigned lines = 1u << HN_SHAPE_LINE, many_lines = 1u << HN_SHAPE_MULTILINE;

    if (seen == 0)
        return view->geometry == HN_GEOMETRY_LINE ? HN_SHAPE_LINE : HN_SHAPE_ANY;
    if (!(seen & (points | many_points)))
        return seen & many_lines ? HN_SHAPE_MULTILINE : HN_SHAPE_LINE;
    if (!(seen & (lines | many_lines)))
        return seen & many_points ? HN_SHAPE_MULTIPOINT : HN_SHAPE_POINT;
    return HN_SHAPE_ANY;
}

static void widen(hn_box *extent, const hn_box *box)
{
    extent->min_x = fmin(extent->min_x, box->min_x);
    extent->min_y = fmin(extent->min_y, box->min_y);
    extent->max_x = fmax(extent->max_x, box->max_x);
    extent->max_y = fmax(extent->max_y, box->max_y);
}

static void survey_rows(const hn_view *view, hn_shape_survey *survey, hn_scratch *scratch)
{
    unsigned seen = 0;

    for (size_t row = 0; row < view->rows; row++) {
        hn_shape_ref shape = {0};
        facts f;

        hn_scratch_reset(scratch);
        view->shape(view->context, row, &shape, scratch);
        f = look_at(&shape);
        if (f.type == HN_SHAPE_ANY) {
            survey->boxes[row].min_x = NAN;
            continue;
        }
        seen |= 1u << f.type;
        survey->has_z |= f.has_z;
        survey->all_have_z &= f.has_z;
        survey->boxes[row] = small_box(&f.box);
        survey->shapes++;
        widen(&survey->extent, &f.box);
    }
    survey->type = layer_type(view, seen);
}

hn_status hn_shape_survey_make(const hn_view *view, hn_shape_survey *survey, hn_error *err)
{
    hn_scratch scratch;
    hn_status rc;

    *survey =
        (hn_shape_survey){.all_have_z = 1, .extent = {INFINITY, INFINITY, -INFINITY, -INFINITY}};
    survey->boxes = hn_alloc(view->rows, sizeof *survey->boxes);
    if (!survey->boxes)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    rc = hn_scratch_init(&scratch, err);
    if (rc != HN_OK)
        return rc;
    survey_rows(view, survey, &scratch);
    hn_scratch_clear(&scratch);
    return HN_OK;
}

void hn_shape_survey_clear(hn_shape_survey *survey)
{
    hn_free(survey->boxes);
    survey->boxes = NULL;
}

/* Bytes are put down in the order of this machine and marked so. */
static unsigned char byte_order(void)
{
    const uint16_t one = 1;
    unsigned char first;

    memcpy(&first, &one, 1);
    return first;
}

static unsigned char *put_raw(unsigned char *at, const void *value, size_t size)
{
    memcpy(at, value, size);
    return at + size;
}

static unsigned char *put_u32(unsigned char *at, uint32_t value)
{
    return put_raw(at, &value, sizeof value);
}

static unsigned char *put_head(unsigned char *at, hn_shape_type type, int has_z)
{
    *at++ = byte_order();
    return put_u32(at, (uint32_t)type + (has_z ? 1000u : 0u));
}

static unsigned char *put_points(unsigned char *at, const double *xy, const double *z,
                                 size_t points)
{
    if (!z)
        return put_raw(at, xy, 2 * points * sizeof *xy);
    for (size_t i = 0; i < points; i++) {
        at = put_raw(at, xy + 2 * i, 2 * sizeof *xy);
        at = put_raw(at, z + i, sizeof *z);
    }
    return at;
}

/* A point layer without envelope is the rule of the format's own examples; the
 * point itself says the same. */
static unsigned char *put_gpkg_header(unsigned char *at, const facts *f, int32_t srs_id)
{
    const double envelope[4] = {f->box.min_x, f->box.max_x, f->box.min_y, f->box.max_y};
    const int with_envelope = f->type != HN_SHAPE_POINT;

    *at++ = 'G';
    *at++ = 'P';
    *at++ = 0; /* version 1 */
    *at++ = (unsigned char)(byte_order() | (with_envelope ? 1 << 1 : 0));
    at = put_raw(at, &srs_id, sizeof srs_id);
    return with_envelope ? put_raw(at, envelope, sizeof envelope) : at;
}

static unsigned char *put_point_parts(unsigned char *at, const hn_shape_ref *shape, const facts *f)
{
    for (size_t p = 0; p < shape->part_count; p++)
        for (size_t i = 0; i < shape->points[p]; i++) {
            at = put_head(at, HN_SHAPE_POINT, f->has_z);
            at = put_points(at, shape->xy[p] + 2 * i, f->has_z ? shape->z[p] + i : NULL, 1);
        }
    return at;
}

static unsigned char *put_line_parts(unsigned char *at, const hn_shape_ref *shape, const facts *f)
{
    for (size_t p = 0; p < shape->part_count; p++) {
        const size_t points = shape->points[p];

        if (points < least_points(shape))
            continue;
        at = put_head(at, HN_SHAPE_LINE, f->has_z);
        at = put_u32(at, (uint32_t)points);
        at = put_points(at, shape->xy[p], f->has_z ? shape->z[p] : NULL, points);
    }
    return at;
}

static int make_room(hn_blob *blob, size_t size)
{
    unsigned char *grown;

    blob->used = 0;
    if (size <= blob->size)
        return 1;
    grown = hn_realloc(blob->bytes, size, 2);
    if (!grown)
        return 0;
    blob->bytes = grown;
    blob->size = 2 * size;
    return 1;
}

int hn_shape_blob(hn_blob *blob, const hn_shape_ref *shape, hn_shape_type type, int32_t srs_id)
{
    const facts f = look_at(shape);
    const int is_multi = type == HN_SHAPE_MULTIPOINT || type == HN_SHAPE_MULTILINE ||
                         f.type == HN_SHAPE_MULTIPOINT || f.type == HN_SHAPE_MULTILINE;
    /* GeoPackage header, multi header, then per part a head and 3 numbers a point */
    const size_t enough = 40 + 9 + (shape->is_point ? f.points * 29 : f.parts * 9 + f.points * 24);
    unsigned char *at;

    if (!make_room(blob, enough))
        return 0;
    if (f.type == HN_SHAPE_ANY)
        return 1;
    at = put_gpkg_header(blob->bytes, &f, srs_id);
    if (is_multi) {
        at = put_head(at, shape->is_point ? HN_SHAPE_MULTIPOINT : HN_SHAPE_MULTILINE, f.has_z);
        at = put_u32(at, (uint32_t)(shape->is_point ? f.points : f.parts));
    }
    at = shape->is_point ? put_point_parts(at, shape, &f) : put_line_parts(at, shape, &f);
    blob->used = (size_t)(at - blob->bytes);
    return 1;
}

void hn_blob_clear(hn_blob *blob)
{
    hn_free(blob->bytes);
    *blob = (hn_blob){0};
}
