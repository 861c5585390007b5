/* read/open_source.h - one OGR layer, opened read-only and ready to read.
 *
 * The one place that turns a plan's source into a GDAL layer: connection,
 * layer, filter, CRS. Whatever is not found is answered with what is there.
 */
#ifndef HN_READ_OPEN_SOURCE_H
#define HN_READ_OPEN_SOURCE_H

#include "base/status.h"
#include "read/gdal_errors.h"
#include "read/source.h"

#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>

enum { HN_SHOWN_MAX = 512 };

typedef struct hn_opened {
    GDALDatasetH dataset;
    OGRLayerH layer;
    OGRSpatialReferenceH crs; /* owned; x is east or longitude; NULL: none */
    const char *key;          /* borrowed from the source */
    const char *layer_name;   /* borrowed from the layer */
    const char *driver;
    int has_where;
    GIntBig rows_in_layer;    /* before `where`; -1: the driver cannot say quickly */
    char shown[HN_SHOWN_MAX]; /* connection without secrets, for messages */
    hn_gdal_log *log;
} hn_opened;

/* Opens source->from, picks the layer, applies `where` and proves it by a
 * first row, takes the CRS (the plan's, else the layer's, flattened to 2D).
 * `log` must have begun and outlive *out. Errors: HN_ERR_INPUT. On failure
 * *out is already closed; hn_opened_close may still be called. */
HN_MUST_CHECK hn_status hn_open_source(const hn_source *source, hn_gdal_log *log, hn_opened *out,
                                       hn_error *err);
void hn_opened_close(hn_opened *opened);

/* Index of the field a map names (case counts only when two differ by it
 * alone), -1 for a constant or the special name "fid". Errors: HN_ERR_INPUT
 * with the fields that are there. */
enum { HN_FIELD_CONSTANT = -1, HN_FIELD_FID = -2 };
HN_MUST_CHECK hn_status hn_opened_field(const hn_opened *opened, const hn_field_map *map,
                                        int *index, hn_error *err);
/* Fails when there is no CRS. */
HN_MUST_CHECK hn_status hn_opened_need_crs(const hn_opened *opened, hn_error *err);
/* Fails when the driver stopped before the end for a reason of its own. */
HN_MUST_CHECK hn_status hn_opened_check(const hn_opened *opened, hn_error *err);

#endif
