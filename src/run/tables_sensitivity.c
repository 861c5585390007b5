/* What the variations changed: the table, the ranks of each segment, the picture. */
#include "run/tables_sensitivity.h"

#include "base/alloc.h"
#include "plan/vary.h"
#include "report/tornado.h"
#include "run/sensitivity.h"
#include "run/table_columns.h"
#include "write/folder_tree.h"
#include "write/output_file.h"

#include <stdio.h>
#include <string.h>

static const char *const sides[2] = {"low", "high"};

static const hn_view_column sensitivity_columns[] = {
    HN_WHOLE("effect_rank", "Effect",
             "1 is the parameter that moves the most length into or out of the first years"),
    HN_TEXT("parameter", "Parameter", "Name in sensitivity.csv"),
    HN_TEXT("side", "Side", "low or high"),
    HN_TEXT("value", "Value", "Value taken; x2 is twice that of the plan"),
    HN_TEXT("plan_value", "Plan", "Value of the plan; x1 where it is not one number"),
    {"rank_correlation_risk", "Correlation, risk",
     "Spearman's rank correlation of the rank by risk with that of the plan, equal losses sharing "
     "their mean rank",
     "-", HN_VIEW_REAL, 6, NULL, 0},
    {"rank_correlation_priority", "Correlation, priority", "The same of the priority", "-",
     HN_VIEW_REAL, 6, NULL, 0},
    HN_WHOLE("first_years", "First years", "Years of the programme that are compared"),
    HN_WHOLE("entering_segments", "Entering", "Segments that enter the first years"),
    HN_METRES("entering_m", "Entering length", "Their length"),
    HN_WHOLE("leaving_segments", "Leaving", "Segments that leave the first years"),
    HN_METRES("leaving_m", "Leaving length", "Their length"),
    {"expected_loss_change", "Change of expected loss",
     "Change of the expected loss of the network in the next year", "money/year", HN_VIEW_REAL, 2,
     NULL, 0},
    HN_MONEY("programme_cost_change", "Change of cost",
             "Change of the cost of the programme, all its years"),
    HN_MONEY("loss_avoided_change", "Change of loss avoided",
             "Change of the present value of the loss that the programme avoids"),
    HN_WHOLE("methods_changed", "Methods changed", "Segments whose chosen method is another"),
    HN_TEXT("meaning", "Meaning", "What is varied"),
    HN_TEXT("source", "Source", "Where low and high come from"),
};

static const hn_view_column rank_columns[] = {
    HN_TEXT("segment_id", "Segment", "Segment"),
    HN_WHOLE("priority", "Priority", "Rank by the plan"),
    HN_WHOLE("rank_sensitivity_low", "Best rank", "Best priority seen under all variations"),
    HN_TEXT("best_under", "Best under", "Variation that gives it; empty: the plan itself does"),
    HN_WHOLE("rank_sensitivity_high", "Worst rank", "Worst priority seen under all variations"),
    HN_TEXT("worst_under", "Worst under", "Variation that gives it; empty: the plan itself does"),
    {"is_in_first_years", "In the first years", "Done in the first years by the plan", "",
     HN_VIEW_BOOL, 0, NULL, 0},
    HN_WHOLE("variations_in_first_years", "Variations",
             "Variations under which it is done in the first years"),
    {"share_in_first_years", "Share",
     "The same over all variations; no chance, since they are not equally likely", "0-1",
     HN_VIEW_REAL, 3, NULL, 0},
};

static void real_or_null(hn_grid *g, double value)
{
    if (isnan(value))
        hn_grid_null(g);
    else
        hn_grid_real(g, value);
}

static void add_case(const hn_state *s, const hn_vary_case *c, size_t place, hn_grid *g)
{
    const hn_vary *v = &s->plan->vary[c->vary];
    const hn_vary_effect *e = &c->effect;

    hn_grid_row(g);
    hn_grid_int(g, (int64_t)place + 1);
    hn_grid_text(g, v->name);
    hn_grid_text(g, sides[c->side]);
    hn_grid_text(g, v->side[c->side].shown);
    hn_grid_text(g, v->base_shown);
    real_or_null(g, e->correlation_risk);
    real_or_null(g, e->correlation_priority);
    hn_grid_int(g, s->plan->sensitivity_years);
    hn_grid_int(g, (int64_t)e->entering);
    hn_grid_real(g, e->entering_m);
    hn_grid_int(g, (int64_t)e->leaving);
    hn_grid_real(g, e->leaving_m);
    hn_grid_real(g, e->loss_change);
    hn_grid_real(g, e->cost_change);
    hn_grid_real(g, e->avoided_change);
    hn_grid_int(g, (int64_t)e->methods_changed);
    hn_grid_text(g, v->meaning);
    hn_grid_text(g, v->source);
}

void hn_tables_sensitivity(const hn_state *s, hn_tables *tables)
{
    hn_grid *g = &tables->grid[HN_TABLE_SENSITIVITY];

    hn_grid_init(g, "sensitivity", "Sensitivity",
                 "Each weight and parameter up and down, one at a time: what it does to ranks and "
                 "programme.",
                 sensitivity_columns, HN_COUNT_OF(sensitivity_columns));
    for (size_t i = 0; i < s->sensitivity.parameters; i++)
        for (int side = 0; side < 2; side++) {
            const hn_vary_case *c =
                hn_sensitivity_case(&s->sensitivity, s->sensitivity.by_effect[i], side);

            if (c)
                add_case(s, c, i, g);
        }
}

/* ---- ranks ---- */

static void case_cell(const hn_state *s, uint16_t at, hn_cell *cell, hn_scratch *scratch)
{
    const hn_vary_case *c = at == UINT16_MAX ? NULL : &s->sensitivity.cases[at];

    if (c)
        hn_cell_text(cell, hn_scratch_printf(scratch, "%s %s", s->plan->vary[c->vary].name,
                                             s->plan->vary[c->vary].side[c->side].shown));
    else
        hn_cell_null(cell);
}

static void rank_row(const void *context, size_t at, hn_cell *cells, hn_scratch *scratch)
{
    const hn_rank_view *view = context;
    const hn_state *s = view->state;
    const hn_sensitivity *r = &s->sensitivity;
    const size_t row = view->order[at];
    const int year = s->scenario[1].allocation.year_of[row];

    hn_cell_text(&cells[0], hn_table_text(s->table, HN_COL_SEGMENT_ID, row));
    hn_cell_int(&cells[1], HN_I32(s->table, PRIORITY)[row]);
    hn_cell_int(&cells[2], r->best[row]);
    case_cell(s, r->best_case[row], &cells[3], scratch);
    hn_cell_int(&cells[4], r->worst[row]);
    case_cell(s, r->worst_case[row], &cells[5], scratch);
    hn_cell_int(&cells[6], year >= 0 && year < s->plan->sensitivity_years);
    hn_cell_int(&cells[7], r->in_first_years[row]);
    hn_cell_real(&cells[8], (double)r->in_first_years[row] / (double)r->count);
}

void hn_rank_view_make(const hn_state *s, const uint32_t *by_priority, hn_rank_view *out)
{
    *out = (hn_rank_view){.state = s, .order = by_priority};
    out->view = (hn_view){.name = "rank_sensitivity",
                          .title = "Ranks under all variations",
                          .meaning = "Best and worst priority of each segment under all variations "
                                     "of the table sensitivity.",
                          .columns = rank_columns,
                          .column_count = HN_COUNT_OF(rank_columns),
                          .rows = s->table->rows,
                          .context = out,
                          .row = rank_row};
}

/* ---- picture ---- */

static hn_tornado_row picture_row(const hn_state *s, size_t at)
{
    const hn_sensitivity *r = &s->sensitivity;
    const hn_vary *v = &s->plan->vary[at];
    hn_tornado_row row = {.name = v->name, .base_shown = v->base_shown};

    for (int side = 0; side < 2; side++) {
        const hn_vary_case *c = hn_sensitivity_case(r, at, side);

        if (c)
            row.side[side] = (hn_tornado_side){
                1, v->side[side].shown, c->effect.entering_m + c->effect.leaving_m,
                r->avoided > 0.0 ? 100.0 * c->effect.avoided_change / r->avoided : (double)NAN};
    }
    return row;
}

static hn_status draw(const hn_state *s, const char *path, hn_error *err)
{
    hn_tornado_row rows[HN_TORNADO_MOST];
    hn_tornado t = {.title = s->plan->title,
                    .first_year = s->plan->first_year,
                    .years = s->plan->sensitivity_years,
                    .first_years_m = s->sensitivity.first_years_m,
                    .is_us = s->plan->units_us,
                    .rows = rows,
                    .count = s->sensitivity.parameters};
    hn_output_file file = {0};
    hn_status rc = HN_OK;

    for (size_t i = 0; i < t.count && i < HN_TORNADO_MOST; i++)
        rows[i] = picture_row(s, s->sensitivity.by_effect[i]);
    HN_TRY(hn_output_open(&file, path, err));
    hn_tornado_draw(&t, &file.out);
    rc = hn_output_close(&file, err);
out:
    return rc;
}

hn_status hn_tornado_write(void *state, const char *folder, hn_error *err)
{
    char *path = hn_path_join(folder, "tornado.svg");
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(path);
    HN_TRY(draw(state, path, err));
out:
    hn_free(path);
    return rc;
}
