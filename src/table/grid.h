/* table/grid.h - a small result table held in memory, for totals and logs.
 * Rows are added in order; texts are copied into the grid's arena. */
#ifndef HN_TABLE_GRID_H
#define HN_TABLE_GRID_H

#include "base/arena.h"
#include "table/view.h"

typedef struct hn_grid {
    hn_view view;
    hn_cell *cells;
    size_t rows, capacity, at; /* at: next cell of the row being filled */
    hn_arena arena;
    int out_of_memory;
} hn_grid;

/* columns and texts are borrowed for the life of the grid. */
void hn_grid_init(hn_grid *grid, const char *name, const char *title, const char *meaning,
                  const hn_view_column *columns, size_t column_count);
void hn_grid_clear(hn_grid *grid);
/* Starts a row of empty cells; then one call per column, in order. */
void hn_grid_row(hn_grid *grid);
void hn_grid_text(hn_grid *grid, const char *text);
void hn_grid_int(hn_grid *grid, int64_t value);
void hn_grid_real(hn_grid *grid, double value);
void hn_grid_null(hn_grid *grid);
/* The finished table; HN_ERR_MEMORY when a row got lost on the way. */
HN_MUST_CHECK hn_status hn_grid_view(hn_grid *grid, const hn_view **out, hn_error *err);

#endif
