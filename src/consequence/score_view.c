#include "consequence/score_view.h"

#include <string.h>

#define MONEY(name, title, meaning) {name, title, meaning, "money", HN_VIEW_REAL, 2, NULL, 0}
static const hn_view_column columns[] = {
    {"segment_id", "Segment", "Segment", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"factor", "Factor", "Consequence factor", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"class", "Class", "Class of the factor that holds; the first that does", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"points", "Points", "Points of the class; they add up to consequence_points", "points", HN_VIEW_REAL, 1, NULL, 0},
    MONEY("money", "Money", "Part in the cost of one structural failure; parts add up to consequence_money"),
    MONEY("service_money", "Money, service", "Part in the cost of one service failure"),
    MONEY("tightness_money", "Money, tightness", "Part in the cost of one tightness failure"),
    {"share_of_total", "Share", "Money over the segment's consequence_money", "0-1", HN_VIEW_REAL, 4, NULL, 0},
    {"source", "Source", "Source of the class", "", HN_VIEW_TEXT, 0, NULL, 0},
};
#undef MONEY

static double part(const hn_score_view *v, size_t factor, size_t row, hn_driver driver)
{
    uint8_t c = v->parts->class_of[factor][row];
    double money = hn_part_money(v->parts, factor, row);

    if (c == 255 || isnan(money))
        return (double)NAN;
    return round(money * v->plan->config.factors[c].share[driver] * 100.0) / 100.0;
}

static void score_row(const void *context, size_t line, hn_cell *cells, hn_scratch *scratch)
{
    const hn_score_view *v = context;
    size_t row = v->row[line / v->parts->factors], factor = line % v->parts->factors;
    uint8_t c = v->parts->class_of[factor][row];
    double money = part(v, factor, row, HN_STRUCTURAL);

    (void)scratch;
    hn_cell_text(&cells[0], hn_table_text(v->table, HN_COL_SEGMENT_ID, row));
    hn_cell_text(&cells[1], v->plan->config.factor_names[factor]);
    hn_cell_text(&cells[2], c == 255 ? "none of the classes" : v->plan->config.factors[c].name);
    hn_cell_real(&cells[3], c == 255 ? 0.0 : v->plan->config.factors[c].points);
    hn_cell_real(&cells[4], money);
    hn_cell_real(&cells[5], part(v, factor, row, HN_SERVICE));
    hn_cell_real(&cells[6], part(v, factor, row, HN_TIGHTNESS));
    hn_cell_real(&cells[7], money / hn_f64(v->table, HN_COL_CONSEQUENCE_MONEY, row));
    hn_cell_text(&cells[8], c == 255 ? "" : v->plan->config.factors[c].source);
}

static int is_shown(const hn_table *t, const hn_plan *plan, size_t row)
{
    uint8_t state = hn_code(t, HN_COL_PROGRAMME, row);

    return plan->score_detail == HN_DETAIL_ALL || state == HN_PROGRAMME_FUNDED ||
           state == HN_PROGRAMME_COMMITTED || hn_code(t, HN_COL_ACT_NOW, row) != HN_CODE_MISSING;
}

hn_status hn_score_view_make(const hn_table *table, const hn_plan *plan,
                             const hn_consequence_parts *parts, const uint32_t *by_priority,
                             hn_arena *arena, hn_score_view *out, hn_error *err)
{
    size_t count = 0;

    memset(out, 0, sizeof *out);
    out->table = table;
    out->plan = plan;
    out->parts = parts;
    for (size_t row = 0; row < table->rows; row++)
        count += is_shown(table, plan, row);
    out->row = hn_arena_alloc(arena, count, sizeof *out->row);
    if (!out->row)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < table->rows; i++)
        if (is_shown(table, plan, by_priority[i]))
            out->row[out->rows++] = by_priority[i];
    out->view = (hn_view){.name = "score_parts",
                          .title = "Parts of the consequence",
                          .meaning = "What each factor adds to points and money of a segment.",
                          .columns = columns,
                          .column_count = sizeof columns / sizeof columns[0],
                          .rows = out->rows * parts->factors,
                          .context = out,
                          .row = score_row};
    return HN_OK;
}
