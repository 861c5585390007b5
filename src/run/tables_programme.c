#include "run/table_columns.h"
#include "run/tables.h"

#include <stdio.h>

/* The years of a programme are an int8_t per segment. */
enum { MAX_YEARS = 128 };

static const hn_view_column year_columns[] = {
    HN_WHOLE("year", "Year", "Year of the programme"),
    HN_MONEY("budget", "Budget", "Money of the year"),
    HN_MONEY("carry_in", "Carried in", "Money carried over from the year before"),
    HN_MONEY("committed", "Committed", "Part of the spending that was committed beforehand"),
    HN_MONEY("spent", "Spent", "Spending of the year, commitments included"),
    HN_MONEY("carry_out", "Carried on", "Money carried over to the next year"),
    HN_MONEY("forfeited", "Left", "Money that was neither spent nor may be carried over"),
    HN_WHOLE("segments", "Segments", "Segments renewed, repaired or cleaned"),
    HN_METRES("length_lined_m", "Lined", "Length lined"),
    HN_METRES("length_replaced_m", "Replaced", "Length replaced"),
    HN_METRES("length_other_m", "Other", "Length repaired locally or cleaned"),
    HN_SHARE("observed_share", "Observed",
             "Share of the length worked on with an observed condition"),
    HN_MONEY("loss_avoided", "Loss avoided",
             "Present value of the loss that the year's work avoids"),
    HN_MONEY("expected_loss", "Expected loss",
             "Expected loss of the network in this year, under the programme"),
    HN_MONEY("expected_loss_do_nothing", "Expected loss, nothing done",
             "The same if nothing is done"),
    HN_METRES("backlog_m", "Backlog",
              "Expected length in structural grades 4 and 5 at the start of the year"),
    HN_MONEY("backlog_cost", "Backlog cost", "Cost of that length by the chosen methods"),
};

static const hn_view_column period_columns[] = {
    HN_TEXT("period", "Period", "One year, then blocks of five"),
    HN_WHOLE("first_year", "From", "First year"),
    HN_WHOLE("last_year", "To", "Last year"),
    HN_MONEY("budget", "Budget", "Money of the period; empty after the last budget year"),
    HN_MONEY("spent", "Spent", "Spending of the period; empty after the last budget year"),
    HN_MONEY("expected_loss", "Expected loss", "Expected loss in the period, under the programme"),
    HN_MONEY("expected_loss_do_nothing", "Expected loss, nothing done",
             "The same if nothing is done"),
    HN_METRES("backlog_end_m", "Backlog",
              "Expected length in grades 4 and 5 at the start of the last year"),
    HN_SHARE("observed_share", "Observed",
             "Share of the length of the network with an observed condition; the rest is inferred"),
};

/* Share of the length worked on in each budget year; NaN: none. */
static void observed_shares(const hn_state *s, double share[MAX_YEARS])
{
    const int8_t *year_of = s->scenario[1].allocation.year_of;
    double observed_m[MAX_YEARS] = {0}, length_m[MAX_YEARS] = {0};

    for (size_t row = 0; row < s->table->rows; row++) {
        const double length = hn_f64(s->table, HN_COL_LENGTH_M, row);

        if (year_of[row] < 0 || isnan(length))
            continue;
        observed_m[year_of[row]] += hn_observed_length_m(s->table, row);
        length_m[year_of[row]] += length;
    }
    for (size_t k = 0; k < MAX_YEARS; k++)
        share[k] = observed_m[k] / length_m[k];
}

static void add_year(const hn_state *s, size_t k, double observed_share, hn_grid *g)
{
    const hn_budget_line *line = &s->scenario[1].allocation.lines[k];
    const hn_path_year *with = &s->scenario[1].path[k], *without = &s->scenario[0].path[k];

    hn_grid_row(g);
    hn_grid_int(g, line->year);
    hn_grid_real(g, line->budget);
    hn_grid_real(g, line->carry_in);
    hn_grid_real(g, line->committed);
    hn_grid_real(g, line->spent);
    hn_grid_real(g, line->carry_out);
    hn_grid_real(g, line->forfeited);
    hn_grid_int(g, (int64_t)line->segments);
    hn_grid_real(g, line->length_lined_m);
    hn_grid_real(g, line->length_replaced_m);
    hn_grid_real(g, line->length_other_m);
    hn_grid_real(g, observed_share);
    hn_grid_real(g, line->loss_avoided);
    hn_grid_real(g, with->loss);
    hn_grid_real(g, without->loss);
    hn_grid_real(g, with->backlog_m);
    hn_grid_real(g, with->backlog_cost);
}

enum { SINGLE_YEARS = 10, BLOCK_YEARS = 5, PERIOD_YEARS = 30 };

static void add_period(const hn_state *s, size_t from, size_t to, double observed_share, hn_grid *g)
{
    const hn_allocation *a = &s->scenario[1].allocation;
    double budget = 0.0, spent = 0.0, with = 0.0, without = 0.0;
    int first = s->plan->first_year + (int)from, last = s->plan->first_year + (int)to - 1;
    char name[32];

    for (size_t k = from; k < to; k++) {
        budget += k < a->years ? a->lines[k].budget : 0.0;
        spent += k < a->years ? a->lines[k].spent : 0.0;
        with += s->scenario[1].path[k].loss;
        without += s->scenario[0].path[k].loss;
    }
    if (to - from == 1)
        snprintf(name, sizeof name, "%d", first);
    else
        snprintf(name, sizeof name, "%d-%d", first, last);
    hn_grid_row(g);
    hn_grid_text(g, name);
    hn_grid_int(g, first);
    hn_grid_int(g, last);
    hn_grid_real(g, from < a->years ? budget : (double)NAN);
    hn_grid_real(g, from < a->years ? spent : (double)NAN);
    hn_grid_real(g, with);
    hn_grid_real(g, without);
    hn_grid_real(g, s->scenario[1].path[to - 1].backlog_m);
    hn_grid_real(g, observed_share);
}

void hn_tables_programme(const hn_state *s, hn_tables *tables)
{
    hn_grid *years = &tables->grid[HN_TABLE_PROGRAMME_YEAR];
    hn_grid *periods = &tables->grid[HN_TABLE_PROGRAMME_PERIOD];
    size_t horizon = s->outlook.years < PERIOD_YEARS ? s->outlook.years : PERIOD_YEARS;
    const double network_share = hn_observed_share(s->table);
    double share[MAX_YEARS];
    size_t budget_years = s->scenario[1].allocation.years;

    hn_grid_init(years, "programme_year", "Programme by year",
                 "Money, work, risk and backlog of each year. Real money at today's prices.",
                 year_columns, HN_COUNT_OF(year_columns));
    observed_shares(s, share);
    for (size_t k = 0; k < budget_years && k < s->outlook.years; k++)
        add_year(s, k, share[k], years);
    hn_grid_init(periods, "programme_period", "Programme by period",
                 "Ten single years, then blocks of five years, to thirty years.", period_columns,
                 HN_COUNT_OF(period_columns));
    for (size_t k = 0; k < horizon && k < SINGLE_YEARS; k++)
        add_period(s, k, k + 1, network_share, periods);
    for (size_t k = SINGLE_YEARS; k < horizon; k += BLOCK_YEARS)
        add_period(s, k, k + BLOCK_YEARS < horizon ? k + BLOCK_YEARS : horizon, network_share,
                   periods);
}
