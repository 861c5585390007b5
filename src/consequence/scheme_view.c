#include "consequence/scheme_view.h"

static const hn_view_column columns[] = {
    {"segment_id", "Segment", "Segment", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"side", "Side", "likelihood or consequence", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"factor", "Factor",
     "Factor of the points scheme; limit: what least or most of the side changed", "", HN_VIEW_TEXT,
     0, NULL, 0},
    {"class", "Class", "Class of the factor that holds; the first that does", "", HN_VIEW_TEXT, 0,
     NULL, 0},
    {"points", "Points", "Points of the class", "points", HN_VIEW_REAL, 4, NULL, 0},
    {"times", "Times", "Plain multiplier of the factor", "-", HN_VIEW_REAL, 4, NULL, 0},
    {"weight", "Weight", "Share of its side; empty where the factor counts as it is", "0-1",
     HN_VIEW_REAL, 4, NULL, 0},
    {"acts", "Acts", "adds or multiplies; a side's score is its factors so joined, plus its limit",
     "", HN_VIEW_TEXT, 0, NULL, 0},
    {"score", "Score", "Points x times x weight", "points", HN_VIEW_REAL, 6, NULL, 0},
    {"source", "Source", "Source of the class", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static const char *const side_names[HN_SIDES] = {"likelihood", "consequence"};

/* What the limits of a side changed in the score of a row. */
static double limited(const hn_scheme_view *v, int side, size_t row)
{
    const hn_config *config = &v->plan->config;
    double scores[HN_MAX_SCORE_FACTORS], changed;
    size_t count = 0;

    for (size_t f = 0; f < v->parts->factors; f++)
        if (config->score_factors[f].side == side)
            scores[count++] =
                hn_factor_score(&config->score_factors[f], hn_scheme_points(v->parts, f, row));
    (void)hn_side_score(&v->plan->side[side], scores, count, &changed);
    return changed;
}

static void limit_row(const hn_scheme_view *v, size_t row, int side, hn_cell *cells)
{
    const hn_score_side *rule = &v->plan->side[side];
    const double changed = limited(v, side, row);

    hn_cell_text(&cells[1], side_names[side]);
    hn_cell_text(&cells[2], "limit");
    hn_cell_text(&cells[3], changed < 0.0 ? "most" : "least");
    hn_cell_real(&cells[4], changed < 0.0 ? rule->most : rule->least);
    hn_cell_null(&cells[5]);
    hn_cell_null(&cells[6]);
    hn_cell_text(&cells[7], "adds");
    hn_cell_real(&cells[8], changed);
    hn_cell_text(&cells[9], "the plan");
}

static void scheme_row(const void *context, size_t line, hn_cell *cells, hn_scratch *scratch)
{
    const hn_scheme_view *v = context;
    const size_t row = v->row[line], f = v->factor[line];
    const hn_score_factor *factor;
    double points;
    uint8_t c;

    (void)scratch;
    hn_cell_text(&cells[0], hn_table_text(v->table, HN_COL_SEGMENT_ID, row));
    if (f >= v->parts->factors) {
        limit_row(v, row, (int)(f - v->parts->factors), cells);
        return;
    }
    factor = &v->plan->config.score_factors[f];
    points = hn_scheme_points(v->parts, f, row);
    c = v->parts->class_of[f][row];
    hn_cell_text(&cells[1], side_names[factor->side]);
    hn_cell_text(&cells[2], factor->name);
    hn_cell_text(&cells[3], c == 255 ? "none of the classes" : v->plan->config.scores[c].name);
    hn_cell_real(&cells[4], points);
    hn_cell_real(&cells[5], factor->times);
    hn_cell_real(&cells[6], factor->weight);
    hn_cell_text(&cells[7],
                 v->plan->side[factor->side].combine == HN_COMBINE_SUM ? "adds" : "multiplies");
    hn_cell_real(&cells[8], hn_factor_score(factor, points));
    hn_cell_text(&cells[9], c == 255 ? "" : v->plan->config.scores[c].source);
}

static int is_shown(const hn_table *t, size_t row)
{
    uint8_t state = hn_code(t, HN_COL_PROGRAMME, row);

    return state == HN_PROGRAMME_FUNDED || state == HN_PROGRAMME_COMMITTED ||
           hn_code(t, HN_COL_ACT_NOW, row) != HN_CODE_MISSING;
}

static void add_line(hn_scheme_view *v, size_t *lines, size_t row, size_t factor)
{
    if (v->row) {
        v->row[*lines] = (uint32_t)row;
        v->factor[*lines] = (uint8_t)factor;
    }
    ++*lines;
}

/* Lists the lines when they have been given room; returns how many. */
static size_t list_lines(hn_scheme_view *v, const uint32_t *by_priority)
{
    const int all = v->plan->score_detail == HN_DETAIL_ALL;
    size_t lines = 0;

    for (size_t i = 0; i < v->table->rows; i++) {
        const size_t row = by_priority ? by_priority[i] : i;

        if (!all && !is_shown(v->table, row))
            continue;
        for (size_t f = 0; f < v->parts->factors; f++)
            add_line(v, &lines, row, f);
        for (int side = 0; side < HN_SIDES; side++) {
            const double changed = limited(v, side, row);

            if (changed < 0.0 || changed > 0.0)
                add_line(v, &lines, row, v->parts->factors + (size_t)side);
        }
    }
    return lines;
}

hn_status hn_scheme_view_make(const hn_table *table, const hn_plan *plan,
                              const hn_scheme_parts *parts, const uint32_t *by_priority,
                              hn_arena *arena, hn_scheme_view *out, hn_error *err)
{
    size_t lines;

    *out = (hn_scheme_view){.table = table, .plan = plan, .parts = parts};
    lines = list_lines(out, by_priority);
    out->row = hn_arena_alloc(arena, lines, sizeof *out->row);
    out->factor = hn_arena_alloc(arena, lines, sizeof *out->factor);
    if (!out->row || !out->factor)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    out->lines = list_lines(out, by_priority);
    out->view = (hn_view){.name = "scheme_parts",
                          .title = "Parts of the score",
                          .meaning = "What each factor of the points scheme gives a segment.",
                          .columns = columns,
                          .column_count = sizeof columns / sizeof columns[0],
                          .rows = out->lines,
                          .context = out,
                          .row = scheme_row};
    return HN_OK;
}
