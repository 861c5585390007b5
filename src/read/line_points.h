/* read/line_points.h - the geometry of one row as plain points.
 *
 * Curves become chords (1 degree of arc each, at most 0.002 % too short), M
 * is dropped, Z is kept. Parts that touch end to end in any order become one
 * line that runs like the first part; others stay parts. What is not a line
 * leaves no points and says why.
 */
#ifndef HN_READ_LINE_POINTS_H
#define HN_READ_LINE_POINTS_H

#include "read/row_batch.h"

typedef struct hn_line_rules {
    int is_geographic; /* check degrees; never when they are in grads */
    double touch;      /* ends closer than this meet, units of the CRS */
    int allow_points;  /* a point is a line of one point; parts are not joined */
} hn_line_rules;

/* Both append to the newest row and set its point_end, state and flags. */
void hn_line_from_ogr(hn_row_batch *batch, OGRGeometryH geometry, const hn_line_rules *rules);
void hn_line_from_wkb(hn_row_batch *batch, const unsigned char *wkb, size_t size,
                      const hn_line_rules *rules);
/* Body of a GeoPackage geometry blob (OGC 12-128r18, 2.1.3.1.1), or NULL when
 * it is not one; *is_empty is its flag. */
const unsigned char *hn_gpkg_wkb(const unsigned char *blob, size_t size, size_t *wkb_size,
                                 int *is_empty);

#endif
