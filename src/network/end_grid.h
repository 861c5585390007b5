/* network/end_grid.h - nodes by place: a hash of square cells as wide as the
 * search distance, so that nine cells hold every candidate. */
#ifndef HN_NETWORK_END_GRID_H
#define HN_NETWORK_END_GRID_H

#include "base/status.h"
#include "table/plane.h"

typedef struct hn_end_grid hn_end_grid;

HN_MUST_CHECK hn_status hn_end_grid_new(const hn_plane *plane, double reach_m, size_t expected,
                                        hn_end_grid **out, hn_error *err);
void hn_end_grid_free(hn_end_grid *grid);
int hn_end_grid_add(hn_end_grid *grid, int32_t node, double x, double y); /* 0: no memory */
enum { HN_LEFT_OUT = 3 };
/* Nearest node within reach but for those left out (NULL: none; -1 entries count
 * for nothing); lowest number of equals; -1 for none. */
int32_t hn_end_grid_nearest(const hn_end_grid *grid, double x, double y,
                            const int32_t left_out[HN_LEFT_OUT]);

#endif
