#include "read/to_crs.h"

#include <math.h>

enum { AT_A_TIME = 512, BOX_POINTS = 21 };

static OGRSpatialReferenceH target_of(const char *wkt)
{
    OGRSpatialReferenceH crs = OSRNewSpatialReference(NULL);

    if (crs && OSRSetFromUserInput(crs, wkt) != OGRERR_NONE) {
        OSRDestroySpatialReference(crs);
        return NULL;
    }
    if (crs) {
        OSRDemoteTo2D(crs, NULL);
        OSRSetAxisMappingStrategy(crs, OAMS_TRADITIONAL_GIS_ORDER);
    }
    return crs;
}

hn_status hn_to_crs_init(hn_to_crs *to, OGRSpatialReferenceH from, const char *target_wkt,
                         const char *key, hn_error *err)
{
    OGRSpatialReferenceH target = target_of(target_wkt);
    hn_status rc = HN_OK;
    int same;

    to->transform = NULL;
    if (!target)
        return hn_fail(err, HN_ERR_INPUT, "%s: the network's coordinate system is not understood",
                       key);
    same = OSRIsSame(from, target);
    if (!same)
        to->transform = OCTNewCoordinateTransformation(from, target);
    if (!same && !to->transform)
        rc =
            hn_fail(err, HN_ERR_INPUT,
                    "%s: there is no way from its coordinate system \"%s\" to the network's \"%s\"",
                    key, OSRGetName(from), OSRGetName(target));
    OSRDestroySpatialReference(target);
    return rc;
}

void hn_to_crs_clear(hn_to_crs *to)
{
    if (to->transform)
        OCTDestroyCoordinateTransformation(to->transform);
    to->transform = NULL;
}

static void some_points(const hn_to_crs *to, double *xy, int points)
{
    double x[AT_A_TIME], y[AT_A_TIME];
    int good[AT_A_TIME] = {0};

    for (int i = 0; i < points; i++) {
        x[i] = xy[2 * i];
        y[i] = xy[2 * i + 1];
    }
    OCTTransformEx(to->transform, points, x, y, NULL, good);
    for (int i = 0; i < points; i++) {
        xy[2 * i] = good[i] && isfinite(x[i]) ? x[i] : NAN;
        xy[2 * i + 1] = good[i] && isfinite(y[i]) ? y[i] : NAN;
    }
}

void hn_to_crs_points(const hn_to_crs *to, double *xy, size_t points)
{
    for (size_t i = 0; to->transform && i < points; i += AT_A_TIME)
        some_points(to, xy + 2 * i, points - i < AT_A_TIME ? (int)(points - i) : AT_A_TIME);
}

int hn_to_crs_box_back(OGRSpatialReferenceH from, const char *target_wkt, const double box[4],
                       double out[4])
{
    OGRSpatialReferenceH target = target_of(target_wkt);
    OGRCoordinateTransformationH back =
        target ? OCTNewCoordinateTransformation(target, from) : NULL;
    int done = back && OCTTransformBounds(back, box[0], box[1], box[2], box[3], &out[0], &out[1],
                                          &out[2], &out[3], BOX_POINTS);

    if (back)
        OCTDestroyCoordinateTransformation(back);
    if (target)
        OSRDestroySpatialReference(target);
    /* x0 > x1 stands for a box across the date line: no plain filter then */
    return done && isfinite(out[0]) && isfinite(out[1]) && out[0] <= out[2] && out[1] <= out[3];
}
