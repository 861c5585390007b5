#include "options/quantities_view.h"

#include "table/codes.h"

#include <string.h>

#define QUANTITY(id, name, title, meaning, unit, decimals) \
    {name, title, meaning, unit, HN_VIEW_REAL, decimals, NULL, 0},
static const hn_view_column columns[] = {
    {"segment_id", "Segment", "Segment", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"method", "Method", "Chosen method", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"year", "Year", "Year of the programme", "", HN_VIEW_INT, 0, NULL, 0},
    {"project_id", "Project", "Project it belongs to", "", HN_VIEW_INT, 0, NULL, 0},
    HN_TAKEOFF_LIST(QUANTITY)
    {"lift_limit", "Lift limited by", "What limits the height of a lift of grout", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"lift_m", "Lift", "Greatest lift that the lining stands, with the factor of safety", "m", HN_VIEW_REAL, 2, NULL, 0},
    {"floats_at_m", "Floats at", "Depth of wet grout at which the empty lining rises; the first lift ends here", "m", HN_VIEW_REAL, 2, NULL, 0},
    {"uplift_kn_per_m", "Uplift", "Upward force when grouted to the top at once; above 0 it rises", "kN/m", HN_VIEW_REAL, 2, NULL, 0},
    {"carbon_kg", "Carbon", "By the factors of the carbon table of the plan; empty without one", "kg CO2e", HN_VIEW_REAL, 0, NULL, 0},
};
#undef QUANTITY
enum { COLUMNS = sizeof columns / sizeof columns[0] };

static void quantities_row(const void *context, size_t line, hn_cell *cells, hn_scratch *scratch)
{
    const hn_quantities_view *v = context;
    const size_t row = v->row[line];
    const int method = hn_code(v->table, HN_COL_METHOD, row);
    hn_cell *c = cells;
    hn_option option;
    hn_takeoff t;

    (void)scratch;
    hn_option_evaluate(v->options, row, method, &option);
    hn_option_takeoff(v->options, row, &option, &t);
    hn_cell_text(c++, hn_table_text(v->table, HN_COL_SEGMENT_ID, row));
    hn_cell_text(c++, v->plan->config.methods[method].id);
    hn_cell_int(c++, HN_I32(v->table, YEAR)[row]);
    hn_cell_int(c++, HN_I32(v->table, PROJECT)[row]);
    for (int i = 0; i < HN_TAKE_COUNT; i++)
        hn_cell_real(c++, t.amount[i]);
    if (isnan(t.amount[HN_TAKE_GROUT_M3])) {
        hn_cell_text(c++, "");
        for (int i = 0; i < 3; i++)
            hn_cell_real(c++, (double)NAN);
    } else {
        hn_cell_text(c++, hn_lift_limit_name(t.grouting.limit));
        hn_cell_real(c++, t.grouting.lift_by_strength_m);
        hn_cell_real(c++, t.grouting.lift_by_floating_m);
        hn_cell_real(c++, t.grouting.uplift_kn_per_m);
    }
    hn_cell_real(c, t.carbon_kg);
}

static int is_shown(const hn_table *t, size_t row)
{
    uint8_t state = hn_code(t, HN_COL_PROGRAMME, row);

    return (state == HN_PROGRAMME_FUNDED || state == HN_PROGRAMME_COMMITTED) &&
           hn_code(t, HN_COL_METHOD, row) != HN_CODE_MISSING;
}

hn_status hn_quantities_view_make(const hn_options *options, const hn_table *table,
                                  const hn_plan *plan, const uint32_t *by_priority,
                                  hn_arena *arena, hn_quantities_view *out, hn_error *err)
{
    size_t lines = 0;

    memset(out, 0, sizeof *out);
    out->options = options;
    out->table = table;
    out->plan = plan;
    for (size_t row = 0; row < table->rows; row++)
        lines += (size_t)is_shown(table, row);
    out->row = hn_arena_alloc(arena, lines, sizeof *out->row);
    if (!out->row)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for %zu quantities", lines);
    lines = 0;
    for (size_t i = 0; i < table->rows; i++) {
        size_t row = by_priority ? by_priority[i] : i;

        if (is_shown(table, row))
            out->row[lines++] = (uint32_t)row;
    }
    out->view = (hn_view){.name = "quantities",
                          .title = "Quantities of the programme",
                          .meaning = "What the chosen work of each funded or committed segment takes. "
                                     "Screening level: take the numbers of a project from its design.",
                          .columns = columns,
                          .column_count = COLUMNS,
                          .rows = lines,
                          .context = out,
                          .row = quantities_row};
    return HN_OK;
}
