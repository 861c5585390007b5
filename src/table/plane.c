#include "table/plane.h"

/* WGS 84 ellipsoid. Source: NIMA TR8350.2, 3rd ed. (2000), table 3.1. */
static const double SEMI_MAJOR_M = 6378137.0;
static const double ECCENTRICITY_2 = 6.69437999014e-3;
static const double DEGREE = 3.14159265358979323846 / 180.0;

static void extent_of(const hn_lines *lines, hn_plane *plane)
{
    plane->min_x = plane->min_y = INFINITY;
    plane->max_x = plane->max_y = -INFINITY;
    for (size_t i = 0; i < lines->points; i++) {
        double x = lines->xy[2 * i], y = lines->xy[2 * i + 1];

        plane->min_x = x < plane->min_x ? x : plane->min_x;
        plane->max_x = x > plane->max_x ? x : plane->max_x;
        plane->min_y = y < plane->min_y ? y : plane->min_y;
        plane->max_y = y > plane->max_y ? y : plane->max_y;
    }
    if (lines->points == 0)
        plane->min_x = plane->min_y = plane->max_x = plane->max_y = 0.0;
}

/* Radii of curvature of the meridian and of the prime vertical. Source: any
 * geodesy text, for example J. P. Snyder, Map Projections - A Working Manual,
 * USGS PP 1395 (1987), eqs. 4-18 and 4-20 (numbers from memory). */
hn_plane hn_plane_of(const hn_lines *lines, int is_geographic, double metres_per_unit)
{
    hn_plane plane = {metres_per_unit, metres_per_unit, 0, 0, 0, 0, 0};
    double latitude, w;

    extent_of(lines, &plane);
    if (!is_geographic)
        return plane;
    latitude = 0.5 * (plane.min_y + plane.max_y) * DEGREE;
    w = 1.0 - ECCENTRICITY_2 * sin(latitude) * sin(latitude);
    plane.x_m = SEMI_MAJOR_M / sqrt(w) * cos(latitude) * DEGREE;
    plane.y_m = SEMI_MAJOR_M * (1.0 - ECCENTRICITY_2) / (w * sqrt(w)) * DEGREE;
    plane.latitude_span_deg = plane.max_y - plane.min_y;
    return plane;
}

static double planar_length(const hn_lines *lines, size_t row, const hn_plane *plane)
{
    double sum = 0.0;

    for (size_t k = lines->start[row] + 1; k < lines->start[row + 1]; k++)
        if (!lines->break_before || !lines->break_before[k])
            sum += hn_plane_distance_m(plane, lines->xy + 2 * k - 2, lines->xy + 2 * k);
    return sum;
}

void hn_plane_scale(hn_plane *plane, const hn_table *table)
{
    double ground = 0.0, planar = 0.0;

    if (plane->latitude_span_deg > 0.0)
        return;
    for (size_t row = 0; row < table->rows; row++) {
        double length = hn_f64(table, HN_COL_LENGTH_GEOMETRY_M, row);

        if (!(length > 0.0))
            continue;
        ground += length;
        planar += planar_length(&table->lines, row, plane);
    }
    if (!(planar > 0.0))
        return;
    plane->x_m *= ground / planar;
    plane->y_m *= ground / planar;
}
