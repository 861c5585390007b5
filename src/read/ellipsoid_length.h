/* read/ellipsoid_length.h - length of drawn lines on the ellipsoid of their
 * CRS, so that no projection scale enters quantities and money. */
#ifndef HN_READ_ELLIPSOID_LENGTH_H
#define HN_READ_ELLIPSOID_LENGTH_H

#include "base/status.h"
#include "table/segment_table.h"

/* length_m[i] = sum over the edges of row i of the geodesic between their
 * ends, in metres, heights ignored, jumps between parts left out; NaN when the
 * row has no line or a point that the CRS cannot place. x is east or
 * longitude. Relative error at most 1e-6 against geodesics of every edge
 * (tests/unit/test_ellipsoid_length.c), and the same for any thread count.
 *
 * Geographic CRS, edge below 1 km: ds2 = (M dphi)2 + (N cos(phi) dlambda)2 at
 * the middle latitude. Projected CRS: ds2 = E dx2 + 2 F dx dy + G dy2, the
 * metric of the inverse projection, interpolated in cells of 2 km and checked
 * at each cell's centre. Long edges, thinly used cells and cells that fail
 * the check are measured geodesically one by one.
 * Source: C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013)
 * 43-55, by PROJ's geodesic.h; M and N: radii of curvature in the meridian
 * and the prime vertical (textbook, from memory).
 * Errors: HN_ERR_INPUT when PROJ cannot use the CRS, HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_ellipsoid_lengths(const char *crs_wkt, const hn_lines *lines,
                                             size_t rows, int threads, double *length_m,
                                             hn_error *err);

#endif
