/* table/plane.h - metres around the network, for snapping and nearness.
 *
 * Projected layers are scaled by their unit. Layers in degrees are laid flat
 * at the network's mean latitude with the ellipsoid's radii of curvature
 * there; good for a town, not for a country (a degree of latitude away from the
 * mean, distances east-west are 2-4 % off). Lengths never use it: they are measured on
 * the ellipsoid.
 */
#ifndef HN_TABLE_PLANE_H
#define HN_TABLE_PLANE_H

#include "table/segment_table.h"

typedef struct hn_plane {
    double x_m, y_m;           /* metres per layer unit, east and north */
    double min_x, min_y, max_x, max_y; /* extent of the lines, layer units */
    double latitude_span_deg;  /* 0 for projected layers */
} hn_plane;

/* Projected layers: makes distances true to the ground on average, whatever the
 * scale of the projection here (1.7 in web Mercator at 54 degrees), by the
 * lengths measured on the ellipsoid. Rows must be in their final order. */
void hn_plane_scale(hn_plane *plane, const hn_table *table);

/* metres_per_unit: of a projected layer; ignored when is_geographic. */
hn_plane hn_plane_of(const hn_lines *lines, int is_geographic, double metres_per_unit);

/* Distance between two points in layer units, metres. */
static inline double hn_plane_distance_m(const hn_plane *plane, const double *a, const double *b)
{
    double dx = (a[0] - b[0]) * plane->x_m, dy = (a[1] - b[1]) * plane->y_m;

    return sqrt(dx * dx + dy * dy);
}

#endif
