/* plan/config_takeoff.c - standard pipe sizes, the numbers of the takeoff, and
 * carbon factors. */
#include "plan/config_table.h"
#include "plan/config_tables.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

/* ---- pipe sizes ---- */

static const hn_cell_spec size_cells[] = {
    HN_NUMBER_CELL(hn_pipe_size, inside_mm, HN_CELL_VALUE, 50, 20000),
    HN_NUMBER_CELL(hn_pipe_size, outside_mm, HN_CELL_VALUE, 50, 25000),
    HN_TEXT_CELL(hn_pipe_size, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

static hn_status check_size(const hn_config_input *in, size_t i, const hn_pipe_size *sizes,
                            hn_error *err)
{
    if (sizes[i].outside_mm <= sizes[i].inside_mm)
        return hn_config_fail(in, i, "outside_mm", err, "%g is not more than inside_mm %g",
                              sizes[i].outside_mm, sizes[i].inside_mm);
    if (i > 0 && sizes[i].outside_mm <= sizes[i - 1].outside_mm)
        return hn_config_fail(in, i, "outside_mm", err,
                              "%g does not follow %g: a wider pipe is wider outside",
                              sizes[i].outside_mm, sizes[i - 1].outside_mm);
    if (i > 0 && sizes[i].inside_mm <= sizes[i - 1].inside_mm)
        return hn_config_fail(in, i, "inside_mm", err,
                              "%g does not follow %g: sizes are written in rising order, each once",
                              sizes[i].inside_mm, sizes[i - 1].inside_mm);
    return HN_OK;
}

hn_status hn_config_pipe_sizes(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {size_cells, sizeof(hn_pipe_size), 0, 256};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;

    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    for (size_t i = 0; i < in.count; i++)
        HN_TRY(check_size(&in, i, rows, err));
    out->sizes = rows;
    out->size_count = in.count;
out:
    return rc;
}

/* ---- numbers of the takeoff: one row each, all of them ---- */

static const hn_cell_spec number_cells[] = {
    HN_TEXT_CELL(hn_takeoff_number, name, HN_CELL_VALUE),
    HN_NUMBER_CELL(hn_takeoff_number, value, HN_CELL_VALUE, 0, 1e9),
    HN_TEXT_CELL(hn_takeoff_number, unit, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_takeoff_number, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

static const struct {
    const char *name, *unit;
    double low, high;
    size_t offset;
} numbers[] = {
#define NUMBER_ROW(field, unit, low, high) \
    {#field, unit, low, high, offsetof(hn_takeoff_params, field)},
    HN_TAKEOFF_PARAMS(NUMBER_ROW)
#undef NUMBER_ROW
};
enum { NUMBERS = sizeof numbers / sizeof numbers[0] };

static hn_status take_number(const hn_config_input *in, size_t i, const hn_takeoff_number *row,
                             hn_takeoff_params *out, hn_error *err)
{
    const char *names[NUMBERS];
    for (size_t k = 0; k < NUMBERS; k++)
        names[k] = numbers[k].name;
    const size_t k = hn_config_find(in, i, "name", row->name, "name", names, NUMBERS, err);
    if (k == SIZE_MAX)
        return HN_ERR_PLAN;
    if (strcmp(row->unit, numbers[k].unit) != 0)
        return hn_config_fail(in, i, "unit", err, "\"%s\", but %s is in %s", row->unit, row->name,
                              numbers[k].unit);
    if (!(row->value >= numbers[k].low && row->value <= numbers[k].high))
        return hn_config_fail(in, i, "value", err, "%g; %s is from %g to %g %s", row->value,
                              row->name, numbers[k].low, numbers[k].high, numbers[k].unit);
    if (strcmp(row->name, "panels_around") == 0 && floor(row->value) != row->value)
        return hn_config_fail(in, i, "value", err, "%g; %s is a whole number", row->value,
                              row->name);
    memcpy((char *)out + numbers[k].offset, &row->value, sizeof row->value);
    return HN_OK;
}

static hn_status check_none_missing(const hn_config_input *in, const hn_takeoff_params *params,
                                    hn_error *err)
{
    for (size_t k = 0; k < NUMBERS; k++) {
        double value;
        memcpy(&value, (const char *)params + numbers[k].offset, sizeof value);
        if (!isnan(value))
            continue;
        const hn_status rc =
            hn_fail(err, HN_ERR_PLAN, "%s: there is no row %s", in->path, numbers[k].name);
        hn_hint(err, "add a row `%s,VALUE,%s,SOURCE`", numbers[k].name, numbers[k].unit);
        return rc;
    }
    return HN_OK;
}

hn_status hn_config_takeoff(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {number_cells, sizeof(hn_takeoff_number), 0, 256};
    static const char *const key[] = {"name", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;

    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    for (size_t k = 0; k < NUMBERS; k++) {
        const double missing = (double)NAN;
        memcpy((char *)&out->takeoff + numbers[k].offset, &missing, sizeof missing);
    }
    out->takeoff_numbers = rows;
    out->takeoff_number_count = in.count;
    for (size_t i = 0; i < in.count; i++)
        HN_TRY(take_number(&in, i, &out->takeoff_numbers[i], &out->takeoff, err));
    HN_TRY(check_none_missing(&in, &out->takeoff, err));
out:
    return rc;
}

/* ---- names of quantities ---- */

static const char *const quantity_names[] = {
#define QUANTITY_NAME(id, name, title, meaning, unit, decimals) name,
    HN_TAKEOFF_LIST(QUANTITY_NAME)
#undef QUANTITY_NAME
};

size_t hn_config_quantity_names(const char **names)
{
    memcpy(names, quantity_names, sizeof quantity_names);
    return sizeof quantity_names / sizeof quantity_names[0];
}

int hn_method_has_quantity(const hn_method *m, hn_take quantity)
{
    const int is_grouted = m->takeoff == HN_TAKEOFF_GROUTED || m->takeoff == HN_TAKEOFF_RINGS;
    const int renews = m->kind == HN_METHOD_LINING || m->kind == HN_METHOD_REPLACEMENT;

    if (quantity == HN_TAKE_CREW_DAYS)
        return !isnan(m->production_m_per_day);
    if (quantity == HN_TAKE_BYPASS_DAYS)
        return renews && !isnan(m->production_m_per_day);
    if (quantity == HN_TAKE_NEW_PIPE_M)
        return m->kind == HN_METHOD_REPLACEMENT;
    if (quantity <= HN_TAKE_WALL_M3)
        return m->kind == HN_METHOD_LINING;
    if (quantity <= HN_TAKE_GROUT_DAYS)
        return is_grouted;
    return m->takeoff == (quantity <= HN_TAKE_JOINTS_M ? HN_TAKEOFF_RINGS : HN_TAKEOFF_TRENCH);
}

uint32_t hn_config_with_quantity(const hn_config *config, uint32_t methods, hn_take quantity)
{
    uint32_t bits = 0;
    for (size_t m = 0; m < config->method_count; m++)
        if (methods >> m & 1 && hn_method_has_quantity(&config->methods[m], quantity))
            bits |= UINT32_C(1) << m;
    return bits;
}

/* ---- carbon: factors by quantity ---- */

static const hn_cell_spec carbon_cells[] = {
    {"quantity", HN_CELL_TEXT, HN_CELL_VALUE, HN_CELL_NO_FIELD, 0, 0, NULL, 0},
    {"methods", HN_CELL_TEXT, HN_CELL_VALUE, HN_CELL_NO_FIELD, 0, 0, NULL, 0},
    HN_NUMBER_CELL(hn_carbon_factor, kg_per_unit, HN_CELL_VALUE, -1e6, 1e6),
    HN_TEXT_CELL(hn_carbon_factor, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

hn_status hn_config_carbon(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {carbon_cells, sizeof(hn_carbon_factor), 1, 256};
    const char *names[HN_TAKE_COUNT];
    const size_t count = hn_config_quantity_names(names);
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;

    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    out->carbon = rows;
    for (size_t i = 0; i < in.count; i++) {
        const size_t found = hn_config_find(&in, i, "quantity", hn_config_text(&in, i, "quantity"),
                                            "quantity", names, count, err);
        if (found == SIZE_MAX)
            return HN_ERR_PLAN;
        out->carbon[i].quantity = (hn_take)found;
        HN_TRY(hn_config_methods_of(&in, i, out, &out->carbon[i].methods, err));
        out->carbon[i].methods =
            hn_config_with_quantity(out, out->carbon[i].methods, out->carbon[i].quantity);
        if (!out->carbon[i].methods)
            HN_TRY(hn_config_fail(&in, i, "methods", err, "none of them has the quantity %s",
                                  names[found]));
    }
    out->carbon_count = in.count;
out:
    return rc;
}
