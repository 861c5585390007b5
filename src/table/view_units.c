#include "table/view_units.h"

#include <string.h>

/* Inch and foot of 1959: 25.4 mm and 0.3048 m exactly. */
static const struct {
    const char *unit, *suffix, *us_unit, *us_suffix;
    double factor;
} conversions[] = {
    {"mm", "_mm", "in", "_in", 1.0 / 25.4},
    {"m", "_m", "ft", "_ft", 1.0 / 0.3048},
    {"m3/s", "_m3_per_s", "ft3/s", "_ft3_per_s", 1.0 / (0.3048 * 0.3048 * 0.3048)},
};

/* A price by length. A slope in m/m is the same number in ft/ft. */
static const char per_m[] = "/m", per_m_suffix[] = "_per_m";
static const double PER_FOOT = 0.3048;

typedef struct us_view {
    hn_view view;
    const hn_view *inner;
    double *factor; /* per column, 1 when unchanged */
} us_view;

static void us_row(const void *context, size_t row, hn_cell *cells, hn_scratch *scratch)
{
    const us_view *us = context;

    us->inner->row(us->inner->context, row, cells, scratch);
    for (size_t c = 0; c < us->inner->column_count; c++)
        if (us->inner->columns[c].kind == HN_VIEW_REAL)
            cells[c].r *= us->factor[c];
}

static void us_shape(const void *context, size_t row, hn_shape_ref *out, hn_scratch *scratch)
{
    const us_view *us = context;

    us->inner->shape(us->inner->context, row, out, scratch);
}

/* 1 when `text` is longer than `end` and ends with it. */
static int ends_with(const char *text, const char *end)
{
    size_t n = strlen(text), m = strlen(end);

    return n > m && strcmp(text + n - m, end) == 0;
}

static int convert_price(hn_view_column *column, double *factor, hn_arena *arena)
{
    *factor = PER_FOOT;
    column->unit = hn_arena_printf(arena, "%.*s/ft", (int)(strlen(column->unit) - 2), column->unit);
    if (ends_with(column->name, per_m_suffix))
        column->name =
            hn_arena_printf(arena, "%.*sft", (int)(strlen(column->name) - 1), column->name);
    return column->unit && column->name;
}

static int convert_column(hn_view_column *column, double *factor, hn_arena *arena)
{
    *factor = 1.0;
    if (column->kind == HN_VIEW_REAL && ends_with(column->unit, per_m) &&
        strcmp(column->unit, "m/m") != 0)
        return convert_price(column, factor, arena);
    for (size_t i = 0; i < sizeof conversions / sizeof conversions[0]; i++) {
        size_t n = strlen(column->name), m = strlen(conversions[i].suffix);

        if (column->kind != HN_VIEW_REAL || strcmp(column->unit, conversions[i].unit) != 0)
            continue;
        *factor = conversions[i].factor;
        column->unit = conversions[i].us_unit;
        if (ends_with(column->name, conversions[i].suffix))
            column->name = hn_arena_printf(arena, "%.*s%s", (int)(n - m), column->name,
                                           conversions[i].us_suffix);
        if (strcmp(conversions[i].unit, "mm") == 0)
            column->decimals += 1;
        return column->name != NULL;
    }
    return 1;
}

hn_status hn_view_in_us_units(const hn_view *view, hn_arena *arena, const hn_view **out,
                              hn_error *err)
{
    us_view *us = hn_arena_alloc(arena, 1, sizeof *us);
    hn_view_column *columns = hn_arena_alloc(arena, view->column_count, sizeof *columns);
    int ok = us && columns;

    if (ok)
        us->factor = hn_arena_alloc(arena, view->column_count, sizeof *us->factor);
    ok = ok && us->factor;
    for (size_t c = 0; ok && c < view->column_count; c++) {
        columns[c] = view->columns[c];
        ok = convert_column(&columns[c], &us->factor[c], arena);
    }
    if (!ok)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    us->view = *view;
    us->view.columns = columns;
    us->view.context = us;
    us->view.row = us_row;
    us->view.shape = view->shape ? us_shape : NULL;
    us->inner = view;
    *out = &us->view;
    return HN_OK;
}
