#include "read/ellipsoid.h"

#include <math.h>
#include <string.h>

static const double DEGREES_PER_RADIAN = 57.29577951308232087680;

static void silent(void *data, int level, const char *text)
{
    (void)data;
    (void)level;
    (void)text;
}

static hn_status fail_crs(const hn_ellipsoid *e, const char *what, hn_error *err)
{
    int code = e->context ? proj_context_errno(e->context) : 0;

    return hn_fail(err, HN_ERR_INPUT, "the coordinate system cannot be used: %s%s%s", what,
                   code ? ": " : "", code ? proj_context_errno_string(e->context, code) : "");
}

/* The horizontal CRS inside bound and compound ones. Takes ownership. */
static PJ *horizontal_of(PJ_CONTEXT *context, PJ *crs)
{
    PJ *inner = crs;

    while (inner) {
        PJ_TYPE type = proj_get_type(inner);

        crs = inner;
        if (type == PJ_TYPE_BOUND_CRS)
            inner = proj_get_source_crs(context, crs);
        else if (type == PJ_TYPE_COMPOUND_CRS)
            inner = proj_crs_get_sub_crs(context, crs, 0);
        else
            return crs;
        proj_destroy(crs);
    }
    return NULL;
}

/* Conversion factor of the first axis to the SI unit (rad, m); NaN: none. */
static double axis_factor(PJ_CONTEXT *context, const PJ *crs)
{
    PJ *system = proj_crs_get_coordinate_system(context, crs);
    double factor = NAN;

    if (system &&
        !proj_cs_get_axis_info(context, system, 0, NULL, NULL, NULL, &factor, NULL, NULL, NULL))
        factor = NAN;
    proj_destroy(system);
    return factor;
}

static hn_status take_figure(hn_ellipsoid *e, const PJ *crs, hn_error *err)
{
    PJ *figure = proj_get_ellipsoid(e->context, crs);
    double a = 0, inverse_flattening = 0;
    int found = figure && proj_ellipsoid_get_parameters(e->context, figure, &a, NULL, NULL,
                                                        &inverse_flattening);

    proj_destroy(figure);
    if (!found || !(a > 0))
        return fail_crs(e, "it has no ellipsoid", err);
    geod_init(&e->geod, a, inverse_flattening > 0 ? 1.0 / inverse_flattening : 0.0);
    return HN_OK;
}

static hn_status take_projection(hn_ellipsoid *e, const PJ *crs, hn_error *err)
{
    PJ *base = proj_crs_get_geodetic_crs(e->context, crs);
    PJ *raw = base ? proj_create_crs_to_crs_from_pj(e->context, crs, base, NULL, NULL) : NULL;

    if (base)
        e->degrees_per_unit = axis_factor(e->context, base) * DEGREES_PER_RADIAN;
    e->metres_per_unit = axis_factor(e->context, crs);
    if (raw)
        e->to_lonlat = proj_normalize_for_visualization(e->context, raw);
    proj_destroy(raw);
    proj_destroy(base);
    if (!e->to_lonlat || !(e->metres_per_unit > 0) || !(e->degrees_per_unit > 0))
        return fail_crs(e, "it cannot be turned into longitude and latitude", err);
    return HN_OK;
}

static void take_area(hn_ellipsoid *e, const PJ *crs)
{
    double *b = e->lonlat_bounds;

    b[0] = b[1] = b[2] = b[3] = NAN;
    if (!proj_get_area_of_use(e->context, crs, &b[0], &b[1], &b[2], &b[3], NULL) || b[0] < -900)
        b[0] = b[1] = b[2] = b[3] = NAN;
}

hn_status hn_ellipsoid_init(hn_ellipsoid *e, const char *crs_wkt, hn_error *err)
{
    hn_status rc = HN_OK;
    PJ *crs = NULL;
    PJ_TYPE type;

    memset(e, 0, sizeof *e);
    e->context = proj_context_create();
    HN_TRY_ALLOC(e->context);
    proj_log_func(e->context, NULL, silent);
    crs = horizontal_of(e->context, proj_create(e->context, crs_wkt));
    type = crs ? proj_get_type(crs) : PJ_TYPE_UNKNOWN;
    if (!crs)
        HN_TRY(fail_crs(e, "it is not understood", err));
    HN_TRY(take_figure(e, crs, err));
    take_area(e, crs);
    if (type == PJ_TYPE_GEOGRAPHIC_2D_CRS || type == PJ_TYPE_GEOGRAPHIC_3D_CRS) {
        e->metres_per_unit = NAN;
        e->degrees_per_unit = axis_factor(e->context, crs) * DEGREES_PER_RADIAN;
        if (!(e->degrees_per_unit > 0))
            HN_TRY(fail_crs(e, "its angles have no unit", err));
    } else {
        HN_TRY(take_projection(e, crs, err));
    }
out:
    proj_destroy(crs);
    return rc;
}

void hn_ellipsoid_clear(hn_ellipsoid *e)
{
    proj_destroy(e->to_lonlat);
    if (e->context)
        proj_context_destroy(e->context);
    e->to_lonlat = NULL;
    e->context = NULL;
}

int hn_ellipsoid_lonlat(const hn_ellipsoid *e, const double xy[2], double lonlat[2])
{
    PJ_COORD c = {{xy[0], xy[1], 0, 0}};

    if (e->to_lonlat)
        c = proj_trans(e->to_lonlat, PJ_FWD, c);
    lonlat[0] = c.v[0] * e->degrees_per_unit;
    lonlat[1] = c.v[1] * e->degrees_per_unit;
    return isfinite(lonlat[0]) && fabs(lonlat[1]) <= 90;
}

double hn_ellipsoid_distance(const hn_ellipsoid *e, const double a[2], const double b[2])
{
    double p[2], q[2], metres;

    if (!hn_ellipsoid_lonlat(e, a, p) || !hn_ellipsoid_lonlat(e, b, q))
        return NAN;
    geod_inverse(&e->geod, p[1], p[0], q[1], q[0], &metres, NULL, NULL);
    return metres;
}
