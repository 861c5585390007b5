#include "read/scale_cells.h"

#include "base/alloc.h"
#include "base/hash.h"

#include <math.h>
#include <string.h>

static const double CELL_M = 2000.0;
static const double PROBE_M = 1000.0; /* half the length over which the scale is taken */
static const double CELL_NUMBER_MAX = 1e9;
static const double CENTRE_TOLERANCE = 4e-7; /* of the metric: 2e-7 of a length */

enum {
    FIRST_SLOTS = 1024,
    EDGES_WORTH_A_CELL = 32 /* a cell costs about as much as 30 exact edges */
};

hn_status hn_scale_cells_init(hn_scale_cells *cells, double metres_per_unit, hn_error *err)
{
    hn_status rc = HN_OK;

    memset(cells, 0, sizeof *cells);
    cells->size = CELL_M / metres_per_unit;
    cells->slot_count = FIRST_SLOTS;
    cells->slots = hn_alloc(cells->slot_count, sizeof *cells->slots);
    HN_TRY_ALLOC(cells->slots);
out:
    return rc;
}

void hn_scale_cells_clear(hn_scale_cells *cells)
{
    hn_free(cells->cells);
    hn_free(cells->slots);
    memset(cells, 0, sizeof *cells);
}

static size_t slot_of(const hn_scale_cells *cells, int32_t column, int32_t row)
{
    size_t mask = cells->slot_count - 1;
    size_t slot = hn_hash_mix((uint64_t)(uint32_t)column << 32 | (uint32_t)row) & mask;

    for (;; slot = (slot + 1) & mask) {
        const hn_scale_cell *cell;

        if (cells->slots[slot] == 0)
            return slot;
        cell = &cells->cells[cells->slots[slot] - 1];
        if (cell->column == column && cell->row == row)
            return slot;
    }
}

/* Cell numbers of a point; 0 when it is too far out to be numbered. */
static int number_cell(const hn_scale_cells *cells, const double p[2], int32_t *column,
                       int32_t *row)
{
    double x = floor(p[0] / cells->size), y = floor(p[1] / cells->size);

    if (!(fabs(x) < CELL_NUMBER_MAX && fabs(y) < CELL_NUMBER_MAX))
        return 0;
    *column = (int32_t)x;
    *row = (int32_t)y;
    return 1;
}

static int grow_slots(hn_scale_cells *cells)
{
    uint32_t *old = cells->slots;
    uint32_t *slots = hn_alloc(cells->slot_count * 2, sizeof *slots);

    if (!slots)
        return 0;
    cells->slots = slots;
    cells->slot_count *= 2;
    for (size_t i = 0; i < cells->count; i++)
        slots[slot_of(cells, cells->cells[i].column, cells->cells[i].row)] = (uint32_t)(i + 1);
    hn_free(old);
    return 1;
}

static hn_scale_cell *add_cell(hn_scale_cells *cells, int32_t column, int32_t row)
{
    void *items = cells->cells;
    hn_scale_cell *cell;

    if (cells->count * 2 >= cells->slot_count && !grow_slots(cells))
        return NULL;
    if (!hn_grow(&items, cells->count, &cells->capacity, sizeof *cells->cells))
        return NULL;
    cells->cells = items;
    cell = &cells->cells[cells->count++];
    memset(cell, 0, sizeof *cell);
    cell->column = column;
    cell->row = row;
    cells->slots[slot_of(cells, column, row)] = (uint32_t)cells->count;
    return cell;
}

int hn_scale_cells_count(hn_scale_cells *cells, const double middle[2])
{
    int32_t column, row;
    uint32_t at;
    hn_scale_cell *cell;

    if (!number_cell(cells, middle, &column, &row))
        return 1;
    at = cells->slots[slot_of(cells, column, row)];
    cell = at ? &cells->cells[at - 1] : add_cell(cells, column, row);
    if (!cell)
        return 0;
    cell->edges += cell->edges < UINT32_MAX;
    return 1;
}

/* Square of the scale along the direction (dx, dy), units to metres. */
static double square_scale(const hn_ellipsoid *e, const double p[2], double dx, double dy)
{
    double a[2] = {p[0] - dx, p[1] - dy}, b[2] = {p[0] + dx, p[1] + dy};
    double metres = hn_ellipsoid_distance(e, a, b);

    return metres * metres / (4.0 * (dx * dx + dy * dy));
}

/* E, F, G at a point from the scale along x, y and the diagonal:
 * (E + 2 F + G) / 2 is the square of the scale along (1, 1). */
static void metric_at(const hn_ellipsoid *e, const double p[2], double metric[3])
{
    double d = PROBE_M / e->metres_per_unit;

    metric[0] = square_scale(e, p, d, 0);
    metric[2] = square_scale(e, p, 0, d);
    metric[1] = square_scale(e, p, d, d) - (metric[0] + metric[2]) / 2.0;
}

static double interpolated(const double c[4], double u, double v)
{
    return c[0] + c[1] * u + c[2] * v + c[3] * u * v;
}

static int centre_agrees(const hn_scale_cell *cell, const double centre[3])
{
    double unit = (centre[0] + centre[2]) / 2.0;

    for (int k = 0; k < 3; k++)
        if (!(fabs(interpolated(cell->metric[k], 0.5, 0.5) - centre[k]) <= CENTRE_TOLERANCE * unit))
            return 0;
    return 1;
}

void hn_scale_cell_fit(hn_scale_cells *cells, size_t index, const hn_ellipsoid *e)
{
    hn_scale_cell *cell = &cells->cells[index];
    double corner[4][3], centre[3], p[2];

    if (cell->edges < EDGES_WORTH_A_CELL)
        return;
    for (int k = 0; k < 4; k++) {
        p[0] = (cell->column + (k & 1)) * cells->size;
        p[1] = (cell->row + (k >> 1)) * cells->size;
        metric_at(e, p, corner[k]);
    }
    for (int k = 0; k < 3; k++) {
        cell->metric[k][0] = corner[0][k];
        cell->metric[k][1] = corner[1][k] - corner[0][k];
        cell->metric[k][2] = corner[2][k] - corner[0][k];
        cell->metric[k][3] = corner[3][k] - corner[2][k] - corner[1][k] + corner[0][k];
    }
    p[0] = (cell->column + 0.5) * cells->size;
    p[1] = (cell->row + 0.5) * cells->size;
    metric_at(e, p, centre);
    cell->is_fitted = centre_agrees(cell, centre);
}

double hn_scale_cells_length(const hn_scale_cells *cells, const double a[2], const double b[2])
{
    double middle[2] = {(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0};
    double dx = b[0] - a[0], dy = b[1] - a[1], u, v, square;
    const hn_scale_cell *cell;
    int32_t column, row;
    uint32_t at;

    if (!number_cell(cells, middle, &column, &row))
        return NAN;
    at = cells->slots[slot_of(cells, column, row)];
    cell = at ? &cells->cells[at - 1] : NULL;
    if (!cell || !cell->is_fitted)
        return NAN;
    u = middle[0] / cells->size - column;
    v = middle[1] / cells->size - row;
    square = interpolated(cell->metric[0], u, v) * dx * dx +
             2.0 * interpolated(cell->metric[1], u, v) * dx * dy +
             interpolated(cell->metric[2], u, v) * dy * dy;
    return sqrt(fmax(square, 0.0));
}
