/* The score of a points scheme, factor by factor; nothing when the plan has none. */
#include "report/sheet_parts.h"

static const hn_view_column columns[] = {
    {"side", "Side", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"factor", "Factor", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"class", "Class that holds", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"points", "Points", "", "", HN_VIEW_REAL, 4, NULL, 0},
    {"times", "Times", "", "", HN_VIEW_REAL, 4, NULL, 0},
    {"weight", "Weight", "", "", HN_VIEW_REAL, 4, NULL, 0},
    {"score", "Score", "", "", HN_VIEW_REAL, 4, NULL, 0},
    {"source", "Source", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static void add_factor(const hn_sheet_facts *f, size_t number, hn_sheet *s, hn_sheet_item *t)
{
    const hn_score_factor *factor = &f->plan->config.score_factors[number];
    const double points = hn_scheme_points(f->scheme, number, f->row);
    const uint8_t c = f->scheme->class_of[number][f->row];
    const hn_score_class *found = c == 255 ? NULL : &f->plan->config.scores[c];

    hn_sheet_cell_word(s, t, factor->side == HN_LIKELIHOOD ? "likelihood" : "consequence");
    hn_sheet_cell_word(s, t, factor->name);
    hn_sheet_cell_word(s, t, found ? found->name : "none of the classes");
    hn_sheet_cell_number(s, t, points);
    hn_sheet_cell_number(s, t, factor->times);
    hn_sheet_cell_number(s, t, factor->weight);
    hn_sheet_cell_number(s, t, hn_factor_score(factor, points));
    hn_sheet_cell_word(s, t, found ? found->source : "");
}

static const char *joined(const hn_plan *plan, int side)
{
    return plan->side[side].combine == HN_COMBINE_SUM
               ? "sum of its factors, within the limits of the plan"
               : "product of its factors, within the limits of the plan";
}

void hn_sheet_scheme(const hn_sheet_facts *f, hn_sheet *s)
{
    static const char *const made[] = {"", "likelihood + consequence", "likelihood x consequence",
                                       "class of likelihood x class of consequence"};
    hn_sheet_item *t;

    if (f->plan->risk_scheme == HN_SCHEME_MONEY)
        return;
    hn_sheet_begin(s, "scheme", "Score of the points scheme");
    t = hn_sheet_table(s, "factors", "Points x times x weight; an empty weight counts as 1",
                       columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < f->scheme->factors; i++)
        add_factor(f, i, s, t);
    hn_sheet_column(f, s, HN_COL_SCORE_LIKELIHOOD, NULL, joined(f->plan, HN_LIKELIHOOD));
    hn_sheet_column(f, s, HN_COL_SCORE_CONSEQUENCE, NULL, joined(f->plan, HN_CONSEQUENCE));
    hn_sheet_column(f, s, HN_COL_SCORE, NULL, made[f->plan->risk_scheme]);
    hn_sheet_column(f, s, HN_COL_SCORE_LOW, NULL, "unknown classes taken as the lowest");
    hn_sheet_column(f, s, HN_COL_SCORE_HIGH, NULL, "unknown classes taken as the highest");
    hn_sheet_end(s);
}
