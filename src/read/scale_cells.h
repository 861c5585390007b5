/* read/scale_cells.h - the metric of an inverse projection, tabulated.
 *
 * A network crowds into few square kilometres, where the scale of a
 * projection is almost constant: so it is measured at the corners of 2 km
 * cells and interpolated for the edges inside. Which cells are tabulated
 * depends only on the lines, never on threads or order.
 */
#ifndef HN_READ_SCALE_CELLS_H
#define HN_READ_SCALE_CELLS_H

#include "read/ellipsoid.h"

#include <stddef.h>
#include <stdint.h>

/* ds2 = E dx2 + 2 F dx dy + G dy2; each of E, F, G over the cell is
 * c0 + c1 u + c2 v + c3 u v with u, v from 0 to 1. */
typedef struct hn_scale_cell {
    int32_t column, row;
    uint32_t edges; /* of the network with their middle in it */
    int is_fitted;
    double metric[3][4];
} hn_scale_cell;

typedef struct hn_scale_cells {
    double size; /* of a cell, in units of the CRS */
    hn_scale_cell *cells;
    size_t count, capacity;
    uint32_t *slots; /* cell number + 1, or 0; power of two */
    size_t slot_count;
} hn_scale_cells;

HN_MUST_CHECK hn_status hn_scale_cells_init(hn_scale_cells *cells, double metres_per_unit,
                                            hn_error *err);
void hn_scale_cells_clear(hn_scale_cells *cells);

/* Counts an edge with this middle point; 0 when out of memory. */
int hn_scale_cells_count(hn_scale_cells *cells, const double middle[2]);
/* Tabulates cell `index` when enough edges lie in it and it passes the check
 * at its centre. Safe in several threads on different cells. */
void hn_scale_cell_fit(hn_scale_cells *cells, size_t index, const hn_ellipsoid *ellipsoid);
/* Metres of a short edge, or NaN when it must be measured exactly. */
double hn_scale_cells_length(const hn_scale_cells *cells, const double a[2], const double b[2]);

#endif
