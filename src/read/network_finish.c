/* What is known only after the last row: constants, widths, heights, sums. */
#include "read/network_rows.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static hn_status fill_constant(hn_network_rows *rows, const hn_role *role, hn_error *err)
{
    hn_table *table = rows->table;
    hn_status rc = HN_OK;
    hn_value value;
    char text[HN_CONSTANT_MAX];
    uint32_t id;

    HN_TRY(hn_role_constant(role, &value, text, sizeof text, err));
    HN_TRY(hn_table_want(table, role->spec->column, err));
    id = hn_text_pool_add(table->texts, text, strlen(text));
    if (id == UINT32_MAX)
        HN_TRY_ALLOC(NULL);
    for (size_t row = 0; row < table->rows; row++)
        if (role->spec->kind == HN_VALUE_TEXT)
            ((uint32_t *)table->column[role->spec->column])[row] = id;
        else
            hn_network_store(table, role->spec->column, row, value.number);
out:
    return rc;
}

/* The narrower end rules: what passes there passes through the segment. */
static hn_status width_from_ends(hn_network_rows *rows, hn_error *err)
{
    hn_table *table = rows->table;
    hn_status rc = HN_OK;

    if (hn_role_map_has(rows->map, "width") ||
        (!table->column[HN_COL_WIDTH_UP_MM] && !table->column[HN_COL_WIDTH_DOWN_MM]))
        return HN_OK;
    HN_TRY(hn_table_want(table, HN_COL_WIDTH_MM, err));
    for (size_t row = 0; row < table->rows; row++) {
        double up = hn_f64(table, HN_COL_WIDTH_UP_MM, row);
        double down = hn_f64(table, HN_COL_WIDTH_DOWN_MM, row);
        char value[64];

        HN_F64(table, WIDTH_MM)[row] = fmin(up, down);
        if (isnan(up) || isnan(down) || up == down)
            continue;
        snprintf(value, sizeof value, "%.15g and %.15g mm", up, down);
        hn_issue_add(rows->issues, HN_SEVERITY_NOTE, "width_ends_differ",
                     hn_table_text(table, HN_COL_SEGMENT_ID, row), "width", value,
                     "the widths recorded at the two ends differ", "the smaller width is used", NAN,
                     NAN);
    }
out:
    return rc;
}

static hn_status height_of_circles(hn_network_rows *rows, hn_error *err)
{
    hn_table *table = rows->table;
    hn_status rc = HN_OK;

    if (!table->column[HN_COL_SHAPE] || !table->column[HN_COL_WIDTH_MM])
        return HN_OK;
    HN_TRY(hn_table_want(table, HN_COL_HEIGHT_MM, err));
    for (size_t row = 0; row < table->rows; row++)
        if (HN_CODE(table, SHAPE)[row] == HN_SHAPE_CIRCLE && isnan(HN_F64(table, HEIGHT_MM)[row]))
            HN_F64(table, HEIGHT_MM)[row] = HN_F64(table, WIDTH_MM)[row];
out:
    return rc;
}

static void add_note(const hn_network_rows *rows, const char *rule, const char *field, size_t count,
                     const char *message, const char *effect)
{
    char value[48];

    if (count == 0)
        return;
    snprintf(value, sizeof value, "%zu rows", count);
    hn_issue_add(rows->issues, HN_SEVERITY_NOTE, rule, NULL, field, value, message, effect, NAN,
                 NAN);
}

hn_status hn_network_rows_end(hn_network_rows *rows, hn_error *err)
{
    const hn_role_map *map = rows->map;
    hn_status rc = HN_OK;

    for (size_t i = 0; i < map->constant_count; i++)
        HN_TRY(fill_constant(rows, &map->constants[i], err));
    HN_TRY(width_from_ends(rows, err));
    HN_TRY(height_of_circles(rows, err));
    add_note(rows, "geometry_has_m", "geometry", rows->had_m, "the lines carry measures (M)",
             "the measures are not used");
    add_note(rows, "geometry_is_curved", "geometry", rows->were_curves, "the lines are curved",
             "drawn as chords of 1 degree of arc");
    for (size_t i = 0; i < map->count; i++)
        add_note(rows, hn_fault_rule(HN_FAULT_ENCODING), map->roles[i].map->role, rows->not_utf8[i],
                 hn_fault_message(HN_FAULT_ENCODING), hn_fault_effect(HN_FAULT_ENCODING));
out:
    return rc;
}
