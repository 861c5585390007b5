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
    size_t row = v->row[line], factor = v->factor[line];
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

static int is_shown(const hn_table *t, size_t row)
{
    uint8_t state = hn_code(t, HN_COL_PROGRAMME, row);

    return state == HN_PROGRAMME_FUNDED || state == HN_PROGRAMME_COMMITTED ||
           hn_code(t, HN_COL_ACT_NOW, row) != HN_CODE_MISSING;
}

static int gave_something(const hn_score_view *v, size_t row, size_t factor)
{
    uint8_t c = v->parts->class_of[factor][row];
    double money = hn_part_money(v->parts, factor, row);

    return c != 255 && (v->plan->config.factors[c].points != 0.0 || money != 0.0);
}

/* Lists the lines when they have been given room; returns how many. */
static size_t list_lines(hn_score_view *v, const uint32_t *by_priority)
{
    int all = v->plan->score_detail == HN_DETAIL_ALL;
    size_t lines = 0;

    for (size_t i = 0; i < v->table->rows; i++) {
        size_t row = by_priority ? by_priority[i] : i;

        if (!all && !is_shown(v->table, row))
            continue;
        for (size_t f = 0; f < v->parts->factors; f++) {
            if (!all && !gave_something(v, row, f))
                continue;
            if (v->row) {
                v->row[lines] = (uint32_t)row;
                v->factor[lines] = (uint8_t)f;
            }
            lines++;
        }
    }
    return lines;
}

hn_status hn_score_view_make(const hn_table *table, const hn_plan *plan,
                             const hn_consequence_parts *parts, const uint32_t *by_priority,
                             hn_arena *arena, hn_score_view *out, hn_error *err)
{
    size_t lines;

    memset(out, 0, sizeof *out);
    out->table = table;
    out->plan = plan;
    out->parts = parts;
    lines = list_lines(out, by_priority);
    out->row = hn_arena_alloc(arena, lines, sizeof *out->row);
    out->factor = hn_arena_alloc(arena, lines, sizeof *out->factor);
    if (!out->row || !out->factor)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    out->lines = list_lines(out, by_priority);
    out->view = (hn_view){.name = "score_parts",
                          .title = "Parts of the consequence",
                          .meaning = "What each factor adds to points and money of a segment.",
                          .columns = columns,
                          .column_count = sizeof columns / sizeof columns[0],
                          .rows = out->lines,
                          .context = out,
                          .row = score_row};
    return HN_OK;
}
