#include "table/grid.h"

#include "base/alloc.h"

#include <string.h>

static void grid_row(const void *context, size_t row, hn_cell *cells, hn_scratch *scratch)
{
    const hn_grid *grid = context;

    (void)scratch;
    memcpy(cells, grid->cells + row * grid->view.column_count,
           grid->view.column_count * sizeof *cells);
}

void hn_grid_init(hn_grid *grid, const char *name, const char *title, const char *meaning,
                  const hn_view_column *columns, size_t column_count)
{
    memset(grid, 0, sizeof *grid);
    grid->view = (hn_view){.name = name,
                           .title = title,
                           .meaning = meaning,
                           .columns = columns,
                           .column_count = column_count,
                           .row = grid_row};
}

void hn_grid_clear(hn_grid *grid)
{
    hn_free(grid->cells);
    hn_arena_clear(&grid->arena);
    grid->cells = NULL;
    grid->rows = grid->capacity = 0;
}

void hn_grid_row(hn_grid *grid)
{
    void *cells = grid->cells;

    if (!hn_grow(&cells, grid->rows, &grid->capacity, sizeof *grid->cells * grid->view.column_count)) {
        grid->out_of_memory = 1;
        return;
    }
    grid->cells = cells;
    for (size_t c = 0; c < grid->view.column_count; c++)
        grid->cells[grid->rows * grid->view.column_count + c] = (hn_cell){.is_null = 1};
    grid->rows++;
    grid->at = 0;
}

static hn_cell *next_cell(hn_grid *grid)
{
    if (grid->out_of_memory || grid->rows == 0 || grid->at >= grid->view.column_count)
        return NULL;
    return &grid->cells[(grid->rows - 1) * grid->view.column_count + grid->at++];
}

void hn_grid_text(hn_grid *grid, const char *text)
{
    hn_cell *cell = next_cell(grid);

    if (cell)
        hn_cell_text(cell, hn_arena_text(&grid->arena, text));
}

void hn_grid_int(hn_grid *grid, int64_t value)
{
    hn_cell *cell = next_cell(grid);

    if (cell)
        hn_cell_int(cell, value);
}

void hn_grid_real(hn_grid *grid, double value)
{
    hn_cell *cell = next_cell(grid);

    if (cell)
        hn_cell_real(cell, value);
}

void hn_grid_null(hn_grid *grid)
{
    next_cell(grid);
}

hn_status hn_grid_view(hn_grid *grid, const hn_view **out, hn_error *err)
{
    if (grid->out_of_memory)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for table \"%s\"", grid->view.name);
    grid->view.rows = grid->rows;
    grid->view.context = grid;
    *out = &grid->view;
    return HN_OK;
}
