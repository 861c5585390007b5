/* read/to_crs.h - coordinates of a layer into the network's CRS. */
#ifndef HN_READ_TO_CRS_H
#define HN_READ_TO_CRS_H

#include "base/status.h"

#include <ogr_srs_api.h>
#include <stddef.h>

typedef struct hn_to_crs {
    OGRCoordinateTransformationH transform; /* NULL: the two CRS are the same */
} hn_to_crs;

/* x is east or longitude on both sides. Errors: HN_ERR_INPUT when PROJ knows no
 * way from one to the other. */
HN_MUST_CHECK hn_status hn_to_crs_init(hn_to_crs *to, OGRSpatialReferenceH from,
                                       const char *target_wkt, const char *key, hn_error *err);
void hn_to_crs_clear(hn_to_crs *to);

/* In place, two numbers a point; a point that has no place becomes NaN. */
void hn_to_crs_points(const hn_to_crs *to, double *xy, size_t points);

/* The box (x0, y0, x1, y1) of the target CRS as a box of the source's, for
 * filters; 0 when that is not possible. */
int hn_to_crs_box_back(OGRSpatialReferenceH from, const char *target_wkt, const double box[4],
                       double out[4]);

#endif
