/* What waiting costs: the loss that the chosen work avoids, by the year in which it is
 * done. Only where the plan asks for it: it has a line for each segment and year. */
#include "run/table_columns.h"
#include "run/tables.h"

enum { ALL_UP_TO = 100000 };

static const hn_view_column columns[] = {
    HN_TEXT("segment_id", "Segment", "Segment with work to do"),
    HN_TEXT("method", "Method", "Chosen method"),
    HN_WHOLE("year", "Year", "Year in which it is done"),
    HN_MONEY("loss_avoided", "Loss avoided",
             "Present value of the loss avoided to the horizon when done in this year"),
    HN_MONEY("lost_by_waiting", "Lost by waiting",
             "Loss avoided in the first year of the programme less that of this year"),
    HN_TEXT("programme", "Programme", "What the programme does with the segment"),
};

/* In a large network only segments that are decided about. */
static int is_shown(const hn_state *s, size_t row)
{
    const uint8_t state = hn_code(s->table, HN_COL_PROGRAMME, row);

    if (!hn_is_candidate(s->table, s->plan, row))
        return 0;
    return s->table->rows <= ALL_UP_TO || state == HN_PROGRAMME_FUNDED ||
           state == HN_PROGRAMME_COMMITTED ||
           hn_code(s->table, HN_COL_ACT_NOW, row) != HN_CODE_MISSING;
}

static void put_years(const hn_state *s, hn_grid *g, size_t row)
{
    const hn_table *t = s->table;
    const uint8_t method = hn_code(t, HN_COL_METHOD, row);
    const double cost[HN_OUTLOOK_DRIVERS] = {hn_f64(t, HN_COL_CONSEQUENCE_MONEY, row),
                                             hn_f64(t, HN_COL_CONSEQUENCE_SERVICE, row),
                                             hn_f64(t, HN_COL_CONSEQUENCE_TIGHTNESS, row)};
    const double first = hn_loss_avoided(&s->loss, &s->outlook, row, method, 0, cost);

    for (size_t k = 0; k < s->scenario[1].allocation.years && k < s->outlook.years; k++) {
        const double avoided = hn_loss_avoided(&s->loss, &s->outlook, row, method, k, cost);

        if (isnan(avoided))
            return;
        hn_grid_row(g);
        hn_grid_text(g, hn_table_text(t, HN_COL_SEGMENT_ID, row));
        hn_grid_text(g, s->plan->config.methods[method].id);
        hn_grid_int(g, s->plan->first_year + (int)k);
        hn_grid_real(g, avoided);
        hn_grid_real(g, first - avoided);
        hn_grid_text(g, hn_column_codes(HN_COL_PROGRAMME)[hn_code(t, HN_COL_PROGRAMME, row)]);
    }
}

void hn_tables_waiting(const hn_state *s, hn_tables *tables)
{
    hn_grid *g = &tables->grid[HN_TABLE_WAITING];

    hn_grid_init(
        g, "loss_avoided_by_year", "What waiting costs",
        "Loss that the chosen work of each segment avoids, by the year in which it is done.",
        columns, HN_COUNT_OF(columns));
    for (size_t row = 0; s->plan->write_waiting && row < s->table->rows; row++)
        if (is_shown(s, row))
            put_years(s, g, row);
}
