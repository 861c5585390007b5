/* Totals that must agree, summed again by another way than the one that made
 * them. A difference beyond a cent (or a millimetre) is printed, not hidden. */
#include "run/table_columns.h"
#include "run/tables.h"

static const hn_view_column columns[] = {
    HN_TEXT("check", "Check", "What must agree"),
    {"left", "Left", "First sum", "", HN_VIEW_REAL, 2, NULL, 0},
    {"right", "Right", "Second sum", "", HN_VIEW_REAL, 2, NULL, 0},
    {"difference", "Difference", "Left less right", "", HN_VIEW_REAL, 2, NULL, 0},
    {"holds", "Holds", "The two agree", "", HN_VIEW_BOOL, 0, NULL, 0},
};

static void check(hn_tables *tables, const char *name, double left, double right, double tolerance)
{
    hn_grid *g = &tables->grid[HN_TABLE_RECONCILIATION];
    int holds = fabs(left - right) <= tolerance;

    hn_grid_row(g);
    hn_grid_text(g, name);
    hn_grid_real(g, left);
    hn_grid_real(g, right);
    hn_grid_real(g, left - right);
    hn_grid_int(g, holds);
    tables->reconciles = tables->reconciles && holds;
}

typedef struct sums {
    double segments[HN_PROGRAMME_COUNT]; /* cost by programme state */
    double chosen, years, length, coverage_length, rows, parts;
} sums;

static double committed_cost(const hn_state *s, size_t row, double estimate)
{
    for (size_t i = 0; i < s->commitment_count; i++)
        if (s->commitments[i].row == row && !isnan(s->commitments[i].cost))
            return s->commitments[i].cost;
    return estimate;
}

static sums add_up(const hn_state *s)
{
    sums sum = {0};
    const hn_table *t = s->table;

    for (size_t row = 0; row < t->rows; row++) {
        uint8_t state = hn_code(t, HN_COL_PROGRAMME, row);
        double cost = hn_f64(t, HN_COL_COST, row), length = hn_f64(t, HN_COL_LENGTH_M, row);

        cost = isnan(cost) ? 0.0 : cost;
        if (state == HN_PROGRAMME_COMMITTED)
            cost = committed_cost(s, row, cost);
        sum.segments[state] += cost;
        sum.chosen += cost;
        sum.length += isnan(length) ? 0.0 : length;
        sum.rows += hn_i32(t, HN_COL_SOURCE_ROWS, row);
    }
    for (size_t y = 0; y < s->scenario[1].allocation.years; y++)
        sum.years += s->scenario[1].allocation.lines[y].spent;
    return sum;
}

static double column_sum(const hn_grid *g, size_t column)
{
    double sum = 0.0;

    for (size_t r = 0; r < g->rows; r++) {
        const hn_cell *cell = &g->cells[r * g->view.column_count + column];

        sum += cell->is_null                                 ? 0.0
               : g->view.columns[column].kind == HN_VIEW_INT ? (double)cell->i
                                                             : cell->r;
    }
    return sum;
}

static double parts_sum(const hn_state *s)
{
    double sum = 0.0;

    for (size_t row = 0; row < s->table->rows; row++)
        for (size_t f = 0; f < s->parts.factors; f++) {
            uint8_t c = s->parts.class_of[f][row];
            double money = hn_part_money(&s->parts, f, row);

            if (c != 255 && !isnan(money))
                sum +=
                    round(money * s->plan->config.factors[c].share[HN_STRUCTURAL] * 100.0) / 100.0;
        }
    return sum;
}

static double consequence_sum(const hn_state *s)
{
    double sum = 0.0;

    for (size_t row = 0; row < s->table->rows; row++)
        sum += hn_f64(s->table, HN_COL_CONSEQUENCE_MONEY, row);
    return sum;
}

static double loss_now_sum(const hn_state *s)
{
    double sum = 0.0;

    for (size_t row = 0; row < s->table->rows; row++)
        sum += hn_f64(s->table, HN_COL_LOSS_NOW, row);
    return sum;
}

/* Loss of the first year if nothing is done, driver by driver. */
static double first_year_by_driver(const hn_state *s)
{
    const double *part = s->scenario[0].path[0].loss_of;

    return part[0] + part[1] + part[2];
}

void hn_tables_reconciliation(const hn_state *s, double project_cost, hn_tables *tables)
{
    sums sum = add_up(s);
    double funded = sum.segments[HN_PROGRAMME_FUNDED] + sum.segments[HN_PROGRAMME_COMMITTED];
    const hn_source_note *network = &s->sources[0];
    double cents = 0.005 + 1e-9 * fabs(sum.chosen);

    hn_grid_init(&tables->grid[HN_TABLE_RECONCILIATION], "reconciliation", "Do the totals agree?",
                 "Sums made in two ways; every line must hold.", columns, HN_COUNT_OF(columns));
    tables->reconciles = 1;
    check(tables, "rows read = rows kept + rows rejected", (double)network->rows_read,
          (double)(network->rows_kept + network->rows_rejected), 0.0);
    check(tables, "rows kept = source rows of all segments", (double)network->rows_kept, sum.rows,
          0.0);
    check(tables, "rows kept = segments + rows merged into others", (double)network->rows_kept,
          (double)(s->table->rows + s->network.rows_merged), 0.0);
    check(tables, "length of segments = length in coverage (m)", sum.length,
          column_sum(&tables->grid[HN_TABLE_COVERAGE], 3), 1e-3 + 1e-9 * sum.length);
    check(tables, "length of segments = length in districts (m)", sum.length,
          column_sum(&tables->grid[HN_TABLE_DISTRICT_TOTALS], 2), 1e-3 + 1e-9 * sum.length);
    check(tables, "cost of funded segments, contract sums where given = spending of all years",
          funded, sum.years, cents);
    check(tables, "cost of funded segments, contract sums where given = cost of all projects",
          funded, project_cost, cents);
    check(tables, "cost of segments = funded + unfunded + no work", sum.chosen,
          funded + sum.segments[HN_PROGRAMME_UNFUNDED] + sum.segments[HN_PROGRAMME_NO_WORK] +
              sum.segments[HN_PROGRAMME_NO_METHOD],
          cents);
    check(tables, "spending by year = spending in scenario table",
          column_sum(&tables->grid[HN_TABLE_PROGRAMME_YEAR], 4),
          s->scenario[1].allocation.total_cost, cents);
    check(tables, "consequence of segments = sum of the factor parts", consequence_sum(s),
          parts_sum(s), 0.005 + 1e-9 * consequence_sum(s));
    check(tables, "expected loss of segments = loss of the first year by driver", loss_now_sum(s),
          first_year_by_driver(s), 0.005 + 1e-9 * loss_now_sum(s));
    check(tables, "inspection records = matched + unmatched", (double)s->join.records,
          column_sum(&tables->grid[HN_TABLE_MATCH_REPORT], 1), 0.0);
}
