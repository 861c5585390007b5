/* base/line_grid.h - nearest line or point within a given reach.
 *
 * Legs (straight pieces; a point is a leg of no length) lie in square cells at
 * least as wide as the reach, so a query looks at its own cells and their
 * neighbours only. Plain double arithmetic on metres. Built once, then read
 * by any number of threads. For one fixed search distance this is measured at
 * a fifth to a tenth of the time of a general tree (docs/decisions/nearness.md).
 */
#ifndef HN_BASE_LINE_GRID_H
#define HN_BASE_LINE_GRID_H

#include "base/status.h"

#include <stddef.h>
#include <stdint.h>

typedef struct hn_leg {
    double ax, ay, bx, by; /* m */
    uint32_t item;         /* what the leg belongs to */
} hn_leg;

typedef struct hn_line_grid hn_line_grid;

/* Legs further than reach_m from the box are left out: nothing in the box can
 * be near them. The legs are copied. reach_m > 0. */
HN_MUST_CHECK hn_status hn_line_grid_new(const hn_leg *legs, size_t count, double reach_m,
                                         double min_x, double min_y, double max_x, double max_y,
                                         hn_line_grid **out, hn_error *err);
void hn_line_grid_free(hn_line_grid *grid);

/* Least distance (m) between the query leg and any leg, INFINITY when none is
 * within reach. *item (may be NULL) is the lowest item at that distance. */
double hn_line_grid_nearest(const hn_line_grid *grid, const hn_leg *query, uint32_t *item);

/* The same where only what lies within within_m is of interest: cheaper when that
 * is less than the reach, as for the later legs of a line. */
double hn_line_grid_nearest_within(const hn_line_grid *grid, const hn_leg *query, double within_m,
                                   uint32_t *item);

/* Distance between two legs, m; 0 when they cross or touch. */
double hn_leg_distance(const hn_leg *a, const hn_leg *b);

#endif
