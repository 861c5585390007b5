/* read/ellipsoid.h - a CRS as PROJ sees it: where a point lies on the
 * ellipsoid, and how far two points are apart. One object per thread. */
#ifndef HN_READ_ELLIPSOID_H
#define HN_READ_ELLIPSOID_H

#include "base/status.h"

#include <geodesic.h>
#include <proj.h>

typedef struct hn_ellipsoid {
    PJ_CONTEXT *context;
    PJ *to_lonlat; /* NULL: the CRS is geographic */
    struct geod_geodesic geod;
    double degrees_per_unit; /* of the geographic coordinates */
    double metres_per_unit;  /* projected CRS, of its axes */
    double lonlat_bounds[4]; /* area of use, west south east north; NaN: unknown */
} hn_ellipsoid;

/* Errors: HN_ERR_INPUT. Clear with hn_ellipsoid_clear even after a failure. */
HN_MUST_CHECK hn_status hn_ellipsoid_init(hn_ellipsoid *ellipsoid, const char *crs_wkt,
                                          hn_error *err);
void hn_ellipsoid_clear(hn_ellipsoid *ellipsoid);

/* Longitude and latitude in degrees; 0 when the point has no place. */
int hn_ellipsoid_lonlat(const hn_ellipsoid *ellipsoid, const double xy[2], double lonlat[2]);
/* Metres between two points of the CRS; NaN when one has no place. */
double hn_ellipsoid_distance(const hn_ellipsoid *ellipsoid, const double a[2], const double b[2]);

#endif
