#include "base/line_grid.h"

#include "base/alloc.h"

#include <math.h>
#include <string.h>

enum { CELLS_MAX = 1 << 22 };

struct hn_line_grid {
    double min_x, min_y, cell, reach;
    int64_t across, up;
    hn_leg *legs;
    uint32_t *first; /* per cell, cells + 1 */
    uint32_t *in_cell;
};

/* Plain comparisons: fmin and fmax are calls. */
static inline double least(double a, double b)
{
    return a < b ? a : b;
}

static inline double most(double a, double b)
{
    return a > b ? a : b;
}

static double squared(double x, double y)
{
    return x * x + y * y;
}

/* Squared distance from (px, py) to the leg. */
static double point_to_leg2(double px, double py, const hn_leg *leg)
{
    double dx = leg->bx - leg->ax, dy = leg->by - leg->ay, length2 = squared(dx, dy);
    double t = length2 > 0.0 ? ((px - leg->ax) * dx + (py - leg->ay) * dy) / length2 : 0.0;

    t = t < 0.0 ? 0.0 : t > 1.0 ? 1.0 : t;
    return squared(px - leg->ax - t * dx, py - leg->ay - t * dy);
}

static double side(const hn_leg *leg, double x, double y)
{
    return (leg->bx - leg->ax) * (y - leg->ay) - (leg->by - leg->ay) * (x - leg->ax);
}

static int legs_cross(const hn_leg *a, const hn_leg *b)
{
    double b1 = side(a, b->ax, b->ay), b2 = side(a, b->bx, b->by);
    double a1 = side(b, a->ax, a->ay), a2 = side(b, a->bx, a->by);

    return ((b1 > 0.0) != (b2 > 0.0)) && ((a1 > 0.0) != (a2 > 0.0)) && b1 != b2 && a1 != a2;
}

static double leg_distance2(const hn_leg *a, const hn_leg *b)
{
    double d;

    if (legs_cross(a, b))
        return 0.0;
    d = point_to_leg2(a->ax, a->ay, b);
    d = least(d, point_to_leg2(a->bx, a->by, b));
    d = least(d, point_to_leg2(b->ax, b->ay, a));
    return least(d, point_to_leg2(b->bx, b->by, a));
}

/* Between the stretches a0 .. a1 and b0 .. b1, in any order; 0 when they meet. */
static double gap(double a0, double a1, double b0, double b1)
{
    return most(most(least(a0, a1) - most(b0, b1), least(b0, b1) - most(a0, a1)), 0.0);
}

/* Squared distance between the boxes of two legs, a hair less so that rounding
 * never puts it above that of the legs. */
static double box_distance2(const hn_leg *a, const hn_leg *b)
{
    return squared(gap(a->ax, a->bx, b->ax, b->bx), gap(a->ay, a->by, b->ay, b->by)) * (1.0 - 1e-9);
}

double hn_leg_distance(const hn_leg *a, const hn_leg *b)
{
    return sqrt(leg_distance2(a, b));
}

typedef struct cell_range {
    int64_t x0, y0, x1, y1;
} cell_range;

static int64_t clamp(double value, int64_t count)
{
    return value < 0.0 ? 0 : value >= (double)count ? count - 1 : (int64_t)value;
}

/* Cells that the leg's box, widened by `wide`, covers inside the grid. */
static cell_range cells_of(const hn_line_grid *g, const hn_leg *leg, double wide)
{
    cell_range r;

    r.x0 = clamp((least(leg->ax, leg->bx) - wide - g->min_x) / g->cell, g->across);
    r.x1 = clamp((most(leg->ax, leg->bx) + wide - g->min_x) / g->cell, g->across);
    r.y0 = clamp((least(leg->ay, leg->by) - wide - g->min_y) / g->cell, g->up);
    r.y1 = clamp((most(leg->ay, leg->by) + wide - g->min_y) / g->cell, g->up);
    return r;
}

static int is_outside(const hn_line_grid *g, const hn_leg *leg)
{
    double max_x = g->min_x + g->cell * (double)g->across;
    double max_y = g->min_y + g->cell * (double)g->up;

    return !(most(leg->ax, leg->bx) >= g->min_x - g->reach &&
             least(leg->ax, leg->bx) <= max_x + g->reach &&
             most(leg->ay, leg->by) >= g->min_y - g->reach &&
             least(leg->ay, leg->by) <= max_y + g->reach);
}

/* A long slanting leg has a large box but crosses few cells: leave out those
 * whose centre is too far for the leg to touch them. */
static int touches(const hn_line_grid *g, const hn_leg *leg, int64_t cx, int64_t cy)
{
    double x = g->min_x + ((double)cx + 0.5) * g->cell;
    double y = g->min_y + ((double)cy + 0.5) * g->cell;

    return point_to_leg2(x, y, leg) <= 0.51 * g->cell * g->cell || cx == 0 || cy == 0 ||
           cx == g->across - 1 || cy == g->up - 1;
}

static void for_cells(hn_line_grid *g, size_t legs, int fill)
{
    for (size_t i = 0; i < legs; i++) {
        cell_range r;

        if (is_outside(g, &g->legs[i]))
            continue;
        r = cells_of(g, &g->legs[i], 0.0);
        for (int64_t cy = r.y0; cy <= r.y1; cy++) {
            for (int64_t cx = r.x0; cx <= r.x1; cx++) {
                size_t cell = (size_t)(cy * g->across + cx);

                if ((r.x1 > r.x0 || r.y1 > r.y0) && !touches(g, &g->legs[i], cx, cy))
                    continue;
                if (fill)
                    g->in_cell[g->first[cell + 1]++] = (uint32_t)i;
                else
                    g->first[cell + 2]++;
            }
        }
    }
}

static void lay_out(hn_line_grid *g, double reach_m, double min_x, double min_y, double max_x,
                    double max_y)
{
    double wide = fmax(max_x - min_x, reach_m), high = fmax(max_y - min_y, reach_m);

    g->reach = reach_m;
    g->min_x = min_x;
    g->min_y = min_y;
    g->cell = fmax(reach_m, sqrt(wide * high / CELLS_MAX));
    g->cell = fmax(g->cell, fmax(wide, high) / CELLS_MAX);
    g->across = (int64_t)(wide / g->cell) + 1;
    g->up = (int64_t)(high / g->cell) + 1;
}

/* Puts the legs in the order of the cells that hold them first: a query then finds
 * its legs side by side in memory. */
static hn_status sort_legs(hn_line_grid *g, size_t count, size_t entries, hn_error *err)
{
    hn_leg *sorted = hn_alloc(count, sizeof *sorted);
    uint32_t *place = hn_alloc(count, sizeof *place);
    uint32_t next = 0;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(sorted);
    HN_TRY_ALLOC(place);
    memset(place, 0xff, count * sizeof *place);
    for (size_t e = 0; e < entries; e++) {
        const uint32_t leg = g->in_cell[e];

        if (place[leg] == UINT32_MAX) {
            sorted[next] = g->legs[leg];
            place[leg] = next++;
        }
        g->in_cell[e] = place[leg];
    }
    hn_free(g->legs);
    g->legs = sorted;
    sorted = NULL;
out:
    hn_free(sorted);
    hn_free(place);
    return rc;
}

hn_status hn_line_grid_new(const hn_leg *legs, size_t count, double reach_m, double min_x,
                           double min_y, double max_x, double max_y, hn_line_grid **out,
                           hn_error *err)
{
    hn_line_grid *g = hn_alloc(1, sizeof *g);
    size_t cells, entries;
    hn_status rc = HN_OK;

    *out = NULL;
    HN_TRY_ALLOC(g);
    lay_out(g, reach_m, min_x, min_y, max_x, max_y);
    cells = (size_t)(g->across * g->up);
    g->legs = hn_alloc(count, sizeof *g->legs);
    g->first = hn_alloc(cells + 2, sizeof *g->first);
    HN_TRY_ALLOC(g->legs);
    HN_TRY_ALLOC(g->first);
    if (count)
        memcpy(g->legs, legs, count * sizeof *legs);
    for_cells(g, count, 0);
    for (size_t i = 2; i < cells + 2; i++)
        g->first[i] += g->first[i - 1];
    entries = g->first[cells + 1];
    g->in_cell = hn_alloc(entries, sizeof *g->in_cell);
    HN_TRY_ALLOC(g->in_cell);
    for_cells(g, count, 1);
    HN_TRY(sort_legs(g, count, entries, err));
    *out = g;
    g = NULL;
out:
    hn_line_grid_free(g);
    return rc;
}

void hn_line_grid_free(hn_line_grid *grid)
{
    if (!grid)
        return;
    hn_free(grid->legs);
    hn_free(grid->first);
    hn_free(grid->in_cell);
    hn_free(grid);
}

double hn_line_grid_nearest(const hn_line_grid *g, const hn_leg *query, uint32_t *item)
{
    return hn_line_grid_nearest_within(g, query, g->reach, item);
}

double hn_line_grid_nearest_within(const hn_line_grid *g, const hn_leg *query, double within_m,
                                   uint32_t *item)
{
    const double reach = within_m < g->reach ? within_m : g->reach;
    cell_range r;
    double best = reach * reach;
    uint32_t found = UINT32_MAX;

    if (item)
        *item = UINT32_MAX;
    if (is_outside(g, query))
        return INFINITY;
    r = cells_of(g, query, reach);
    for (int64_t cy = r.y0; cy <= r.y1; cy++) {
        const uint32_t *row = g->first + cy * g->across;

        for (uint32_t e = row[r.x0]; e < row[r.x1 + 1]; e++) {
            const hn_leg *leg = &g->legs[g->in_cell[e]];
            double d;

            if (box_distance2(query, leg) > best)
                continue;
            d = leg_distance2(query, leg);
            if (d < best || (d <= best && leg->item < found)) {
                best = d;
                found = leg->item;
            }
        }
    }
    if (found == UINT32_MAX)
        return INFINITY;
    if (item)
        *item = found;
    return sqrt(best);
}
