#include "network/snap.h"

#include "base/alloc.h"
#include "network/end_grid.h"

#include <string.h>

static const double SAME_PLACE_M = 0.001;

/* A grid of all nodes that have a place. */
static hn_status grid_of(const hn_nodes *nodes, const hn_plane *plane, double reach_m,
                         size_t room, hn_end_grid **out, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(hn_end_grid_new(plane, reach_m, room, out, err));
    for (size_t i = 0; i < nodes->count; i++)
        if (!isnan(nodes->x[i]) && !hn_end_grid_add(*out, (int32_t)i, nodes->x[i], nodes->y[i]))
            HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
out:
    return rc;
}

/* An end without a line gets a node of its own. */
static hn_status place_end(hn_nodes *nodes, hn_end_grid *grid, const double *xy, int32_t *index,
                           hn_error *err)
{
    int32_t found = xy ? hn_end_grid_nearest(grid, xy[0], xy[1], NULL) : -1;

    if (found < 0) {
        found = (int32_t)nodes->count++;
        nodes->x[found] = xy ? xy[0] : (double)NAN;
        nodes->y[found] = xy ? xy[1] : (double)NAN;
        if (xy && !hn_end_grid_add(grid, found, xy[0], xy[1]))
            return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    }
    *index = found;
    return HN_OK;
}

static hn_status place_ends(hn_table *table, hn_nodes *nodes, const hn_plane *plane,
                            hn_error *err)
{
    const hn_lines *lines = &table->lines;
    hn_end_grid *grid = NULL;
    hn_status rc = HN_OK;

    HN_TRY(grid_of(nodes, plane, SAME_PLACE_M, table->rows * 2, &grid, err));
    for (size_t i = 0; i < table->rows; i++) {
        size_t n = hn_line_points(lines, i);
        const double *first = n ? lines->xy + 2 * lines->start[i] : NULL;
        const double *last = n ? first + 2 * (n - 1) : NULL;

        if (HN_I32(table, UP_INDEX)[i] == HN_I32_MISSING)
            HN_TRY(place_end(nodes, grid, first, &HN_I32(table, UP_INDEX)[i], err));
        if (HN_I32(table, DOWN_INDEX)[i] == HN_I32_MISSING)
            HN_TRY(place_end(nodes, grid, last, &HN_I32(table, DOWN_INDEX)[i], err));
    }
out:
    hn_end_grid_free(grid);
    return rc;
}

static int32_t root_of(int32_t *parent, int32_t i)
{
    while (parent[i] != i) {
        parent[i] = parent[parent[i]];
        i = parent[i];
    }
    return i;
}

/* The lower number, and so the named node, stands for both. */
static void join(const hn_nodes *nodes, int32_t *parent, int32_t a, int32_t b)
{
    a = root_of(parent, a);
    b = root_of(parent, b);
    if (a == b || ((size_t)a < nodes->named && (size_t)b < nodes->named))
        return;
    if (a < b)
        parent[b] = a;
    else
        parent[a] = b;
}

/* partner[2 node], partner[2 node + 1]: the other ends of pieces no longer than
 * snap_m that meet there, else -1. Two are enough for a chain of crumbs. */
static void find_partners(const hn_table *table, const hn_nodes *nodes, const hn_plane *plane,
                          double snap_m, int32_t *partner)
{
    memset(partner, 0xff, 2 * nodes->count * sizeof *partner);
    for (size_t i = 0; i < table->rows; i++) {
        int32_t up = HN_I32(table, UP_INDEX)[i], down = HN_I32(table, DOWN_INDEX)[i];
        double a[2] = {nodes->x[up], nodes->y[up]}, b[2] = {nodes->x[down], nodes->y[down]};

        if (up == down || !(hn_plane_distance_m(plane, a, b) <= snap_m))
            continue;
        partner[2 * up + (partner[2 * up] >= 0)] = down;
        partner[2 * down + (partner[2 * down] >= 0)] = up;
    }
}

static hn_status join_close(const hn_table *table, hn_nodes *nodes, const hn_plane *plane,
                            double snap_m, int32_t *parent, hn_error *err)
{
    int32_t *partner = hn_alloc(2 * nodes->count, sizeof *partner);
    hn_end_grid *grid = NULL;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(partner);
    find_partners(table, nodes, plane, snap_m, partner);
    HN_TRY(grid_of(nodes, plane, snap_m, nodes->count, &grid, err));
    for (size_t i = nodes->named; i < nodes->count; i++) {
        const int32_t left_out[HN_LEFT_OUT] = {(int32_t)i, partner[2 * i], partner[2 * i + 1]};
        int32_t near = isnan(nodes->x[i])
                           ? -1
                           : hn_end_grid_nearest(grid, nodes->x[i], nodes->y[i], left_out);

        if (near >= 0)
            join(nodes, parent, (int32_t)i, near);
    }
out:
    hn_free(partner);
    hn_end_grid_free(grid);
    return rc;
}

hn_status hn_snap_unnamed(hn_table *table, hn_nodes *nodes, const hn_plane *plane, double snap_m,
                          hn_error *err)
{
    int32_t *parent = NULL;
    hn_status rc = HN_OK;

    HN_TRY(place_ends(table, nodes, plane, err));
    parent = hn_alloc(nodes->count, sizeof *parent);
    HN_TRY_ALLOC(parent);
    for (size_t i = 0; i < nodes->count; i++)
        parent[i] = (int32_t)i;
    HN_TRY(join_close(table, nodes, plane, snap_m, parent, err));
    for (size_t i = 0; i < table->rows; i++) {
        HN_I32(table, UP_INDEX)[i] = root_of(parent, HN_I32(table, UP_INDEX)[i]);
        HN_I32(table, DOWN_INDEX)[i] = root_of(parent, HN_I32(table, DOWN_INDEX)[i]);
    }
out:
    hn_free(parent);
    return rc;
}
