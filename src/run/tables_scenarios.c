#include "run/table_columns.h"
#include "run/tables.h"

static const hn_view_column scenario_columns[] = {
    HN_TEXT("scenario", "Scenario", "Name of the scenario"),
    HN_TEXT("meaning", "Meaning", "What it assumes"),
    HN_MONEY("spent", "Spent", "Spending over the budget years"),
    HN_WHOLE("segments", "Segments", "Segments with work"),
    HN_METRES("length_m", "Length", "Length with work"),
    HN_SHARE("observed_share", "Observed", "Share of this length with an observed condition"),
    HN_MONEY("loss_avoided", "Loss avoided", "Present value of the loss avoided"),
    HN_MONEY("loss_first_year", "Loss, first year", "Expected loss of the first year"),
    HN_MONEY("loss_last_year", "Loss, last budget year", "Expected loss of the last budget year"),
    HN_MONEY("loss_budget_years", "Loss, budget years",
             "Expected loss summed over the budget years"),
    HN_METRES("backlog_first_m", "Backlog, first year", "Length in grades 4 and 5 at the start"),
    HN_METRES("backlog_last_m", "Backlog, last budget year",
              "Length in grades 4 and 5 at the start of the last budget year"),
    HN_WHOLE("segments_moved", "Moved",
             "Segments whose year differs from the plan's, not funded included"),
    HN_WHOLE("act_now_missed", "Act-now unfunded", "Act-now segments with work that get no money"),
};

static const hn_view_column path_columns[] = {
    HN_TEXT("scenario", "Scenario", "Name of the scenario"),
    HN_WHOLE("year", "Year", "Year"),
    HN_MONEY("expected_loss", "Expected loss", "Expected loss of the network in the year"),
    HN_MONEY("loss_structural", "Structural", "Part of it by structural failures"),
    HN_MONEY("loss_service", "Service", "Part of it by service failures"),
    HN_MONEY("loss_tightness", "Tightness", "Part of it by tightness failures"),
    HN_METRES("backlog_m", "Backlog", "Expected length in structural grades 4 and 5"),
    HN_MONEY("backlog_cost", "Backlog cost", "Cost of that length by the chosen methods"),
    HN_MONEY("spent", "Spent", "Spending of the year"),
    HN_SHARE("observed_share", "Observed",
             "Share of the length of the network with an observed condition; the rest is inferred"),
};

static int year_in(const hn_scenario *scenario, size_t row)
{
    return scenario->does_nothing ? -1 : scenario->allocation.year_of[row];
}

typedef struct scenario_sums {
    double length_m, observed_m;
    int64_t moved, missed;
} scenario_sums;

static scenario_sums sum_rows(const hn_state *s, const hn_scenario *scenario)
{
    scenario_sums sums = {0};

    for (size_t row = 0; row < s->table->rows; row++) {
        int year = year_in(scenario, row);
        double length = hn_f64(s->table, HN_COL_LENGTH_M, row);

        sums.length_m += year >= 0 && !isnan(length) ? length : 0.0;
        sums.observed_m += year >= 0 ? hn_observed_length_m(s->table, row) : 0.0;
        sums.moved += year != year_in(&s->scenario[1], row);
        sums.missed += year < 0 && hn_code(s->table, HN_COL_ACT_NOW, row) != HN_CODE_MISSING &&
                       hn_is_candidate(s->table, s->plan, row);
    }
    return sums;
}

static void add_scenario(const hn_state *s, const hn_scenario *scenario, hn_grid *g)
{
    size_t last = s->scenario[1].allocation.years;
    scenario_sums sums = sum_rows(s, scenario);
    double loss = 0.0;

    last = last < s->outlook.years ? last : s->outlook.years;
    for (size_t k = 0; k < last; k++)
        loss += scenario->path[k].loss;
    hn_grid_row(g);
    hn_grid_text(g, scenario->name);
    hn_grid_text(g, scenario->meaning);
    hn_grid_real(g, scenario->allocation.total_cost);
    hn_grid_int(g, (int64_t)scenario->allocation.funded);
    hn_grid_real(g, sums.length_m);
    hn_grid_real(g, sums.observed_m / sums.length_m);
    hn_grid_real(g, scenario->allocation.total_avoided);
    hn_grid_real(g, scenario->path[0].loss);
    hn_grid_real(g, scenario->path[last - 1].loss);
    hn_grid_real(g, loss);
    hn_grid_real(g, scenario->path[0].backlog_m);
    hn_grid_real(g, scenario->path[last - 1].backlog_m);
    hn_grid_int(g, sums.moved);
    hn_grid_int(g, sums.missed);
}

static void add_path(const hn_state *s, const hn_scenario *scenario, double observed_share,
                     hn_grid *g)
{
    for (size_t k = 0; k < s->outlook.years; k++) {
        hn_grid_row(g);
        hn_grid_text(g, scenario->name);
        hn_grid_int(g, s->plan->first_year + (int)k);
        hn_grid_real(g, scenario->path[k].loss);
        for (int d = 0; d < HN_OUTLOOK_DRIVERS; d++)
            hn_grid_real(g, scenario->path[k].loss_of[d]);
        hn_grid_real(g, scenario->path[k].backlog_m);
        hn_grid_real(g, scenario->path[k].backlog_cost);
        hn_grid_real(g, scenario->does_nothing || k >= scenario->allocation.years
                            ? 0.0
                            : scenario->allocation.lines[k].spent);
        hn_grid_real(g, observed_share);
    }
}

void hn_tables_scenarios(const hn_state *s, hn_tables *tables)
{
    const double observed_share = hn_observed_share(s->table);
    hn_grid *g = &tables->grid[HN_TABLE_SCENARIO], *path = &tables->grid[HN_TABLE_RISK_BY_YEAR];

    hn_grid_init(g, "scenario", "Scenarios", "The plan and its alternatives, assessed in one run.",
                 scenario_columns, HN_COUNT_OF(scenario_columns));
    hn_grid_init(path, "risk_by_year", "Risk and backlog by year",
                 "Expected loss and backlog of the network by year and scenario.", path_columns,
                 HN_COUNT_OF(path_columns));
    for (int i = 0; i < HN_SCENARIOS; i++) {
        add_scenario(s, &s->scenario[i], g);
        add_path(s, &s->scenario[i], observed_share, path);
    }
}
