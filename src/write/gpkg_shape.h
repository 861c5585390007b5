/* write/gpkg_shape.h - the geometry column of one view: what is in it, and one
 * row as a GeoPackage geometry.
 *
 * A layer's type must be known before the first row is written, so the shapes
 * are looked at twice: once for type, heights and boxes, once to be written.
 */
#ifndef HN_WRITE_GPKG_SHAPE_H
#define HN_WRITE_GPKG_SHAPE_H

#include "table/view.h"

#include <stdint.h>

/* Type codes of ISO 19125-1 well-known binary; 0 stands for any. */
typedef enum hn_shape_type {
    HN_SHAPE_ANY = 0,
    HN_SHAPE_POINT = 1,
    HN_SHAPE_LINE = 2,
    HN_SHAPE_MULTIPOINT = 4,
    HN_SHAPE_MULTILINE = 5
} hn_shape_type;

typedef struct hn_box {
    double min_x, min_y, max_x, max_y;
} hn_box;

/* Box in single precision that holds the exact box; min_x NaN for none. */
typedef struct hn_small_box {
    float min_x, max_x, min_y, max_y;
} hn_small_box;

typedef struct hn_shape_survey {
    hn_shape_type type; /* one type for the whole layer */
    int has_z, all_have_z;
    size_t shapes;       /* rows with a geometry */
    hn_box extent;       /* valid when shapes > 0 */
    hn_small_box *boxes; /* one a row; owned */
} hn_shape_survey;

/* Looks at all shapes of a view that has geometry. A row whose coordinates are
 * not all finite, or without a part that can be drawn (a line needs two
 * points), counts as without geometry. */
HN_MUST_CHECK hn_status hn_shape_survey_make(const hn_view *view, hn_shape_survey *survey,
                                             hn_error *err);
void hn_shape_survey_clear(hn_shape_survey *survey);

typedef struct hn_blob {
    unsigned char *bytes;
    size_t used, size;
} hn_blob;

/* The shape as GeoPackage binary: header with envelope, then ISO well-known
 * binary, both little-endian; a single part is written as a multi type when
 * the layer is of one. used is 0 for no geometry. Returns 0 when out of memory.
 * Source: OGC 12-128r15 (GeoPackage 1.2.1), clause 2.1.3; ISO 19125-1:2004,
 * 8.2, with the Z codes (+1000) of OGC 06-103r4. */
int hn_shape_blob(hn_blob *blob, const hn_shape_ref *shape, hn_shape_type layer_type,
                  int32_t srs_id);
void hn_blob_clear(hn_blob *blob);

#endif
