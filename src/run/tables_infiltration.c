/* Water kept out per money: a ranking of its own, beside the risk and never in its
 * place. A dry pipe that may fall in has no place in it, so such pipes are listed
 * below with their rank by risk. */
#include "run/table_columns.h"
#include "run/tables.h"

#include "base/alloc.h"
#include "base/radix.h"

static const double SECONDS_PER_YEAR = 365.0 * 86400.0, WORN_FROM_GRADE = 4.0;

static const hn_view_column columns[] = {
    HN_WHOLE("rank_infiltration", "Rank",
             "1 is the most water removed per money; empty for a dry or unmeasured segment"),
    HN_TEXT("segment_id", "Segment", "Segment"),
    HN_TEXT("method", "Method", "Chosen method if it seals the pipe, else the best lining"),
    {"volume_m3_per_year", "Infiltration",
     "Measured infiltration, 365 days; empty where not measured", "m3/year", HN_VIEW_REAL, 2, NULL,
     0},
    {"removed_m3_per_year", "Removed",
     "Part of it that the method removes: all (local rule; what moves to the next joint is not "
     "counted)",
     "m3/year", HN_VIEW_REAL, 2, NULL, 0},
    HN_MONEY("cost", "Cost", "Cost of the method"),
    {"removed_m3_per_cost", "Removed per cost", "Water removed in a year over the cost",
     "m3/year/money", HN_VIEW_REAL, 6, NULL, 0},
    {"cost_per_m3", "Cost per water", "Cost over water removed in a year", "money/(m3/year)",
     HN_VIEW_REAL, 4, NULL, 0},
    HN_SHARE("share_of_removed", "Share of water", "Of the water removed by all ranked segments"),
    HN_SHARE("share_of_cost", "Share of cost", "Of the cost of all ranked segments"),
    {"structural_grade_now", "Structural grade",
     "Expected structural grade: water says nothing about it", "1-5", HN_VIEW_REAL, 2, NULL, 0},
    HN_MONEY("structural_loss_per_year", "Structural loss",
             "Expected loss by structural failure in the next year"),
    HN_WHOLE("rank_risk", "Rank by risk", "1 is the greatest expected loss now"),
    HN_TEXT("note", "Note", "Why it is listed without a rank"),
};

typedef struct sealing {
    uint8_t method; /* HN_CODE_MISSING: nothing that seals is possible */
    double cost, removed_m3;
} sealing;

static int seals(const hn_state *s, uint8_t method)
{
    return method != HN_CODE_MISSING && s->plan->config.methods[method].treats[HN_TIGHTNESS];
}

static double volume_m3(const hn_table *t, size_t row)
{
    return hn_f64(t, HN_COL_INFILTRATION_FLOW, row) * SECONDS_PER_YEAR;
}

static sealing sealing_of(const hn_state *s, size_t row)
{
    const hn_table *t = s->table;
    sealing out = {hn_code(t, HN_COL_METHOD, row), hn_f64(t, HN_COL_COST, row), (double)NAN};

    if (!seals(s, out.method)) {
        out.method = hn_code(t, HN_COL_BEST_LINING, row);
        out.cost = hn_f64(t, HN_COL_LINING_COST, row);
    }
    if (seals(s, out.method) && out.cost > 0.0)
        out.removed_m3 = volume_m3(t, row);
    return out;
}

static void put_name(const hn_state *s, hn_grid *g, uint8_t method)
{
    if (method == HN_CODE_MISSING)
        hn_grid_null(g);
    else
        hn_grid_text(g, s->plan->config.methods[method].id);
}

static void put_structure(const hn_state *s, hn_grid *g, size_t row, const char *note)
{
    const hn_table *t = s->table;

    hn_grid_real(g, (double)hn_f32(t, HN_COL_GRADE_NOW, row));
    hn_grid_real(g, (double)hn_f32(t, HN_COL_CHANCE_STRUCTURAL, row) *
                        hn_f64(t, HN_COL_CONSEQUENCE_MONEY, row));
    hn_grid_int(g, hn_i32(t, HN_COL_RANK_RISK, row));
    if (note)
        hn_grid_text(g, note);
}

static void put_ranked(const hn_state *s, hn_grid *g, size_t row, int64_t rank, const sealing *all)
{
    const sealing one = sealing_of(s, row);

    hn_grid_row(g);
    hn_grid_int(g, rank);
    hn_grid_text(g, hn_table_text(s->table, HN_COL_SEGMENT_ID, row));
    put_name(s, g, one.method);
    hn_grid_real(g, volume_m3(s->table, row));
    hn_grid_real(g, one.removed_m3);
    hn_grid_real(g, one.cost);
    hn_grid_real(g, one.removed_m3 / one.cost);
    hn_grid_real(g, one.cost / one.removed_m3);
    hn_grid_real(g, one.removed_m3 / all->removed_m3);
    hn_grid_real(g, one.cost / all->cost);
    put_structure(s, g, row, NULL);
}

static void put_unranked(const hn_state *s, hn_grid *g, size_t row, const char *note)
{
    const sealing one = sealing_of(s, row);
    const double volume = volume_m3(s->table, row);

    hn_grid_row(g);
    hn_grid_null(g);
    hn_grid_text(g, hn_table_text(s->table, HN_COL_SEGMENT_ID, row));
    put_name(s, g, one.method);
    if (isnan(volume))
        hn_grid_null(g);
    else
        hn_grid_real(g, volume);
    hn_grid_null(g);
    if (isnan(one.cost))
        hn_grid_null(g);
    else
        hn_grid_real(g, one.cost);
    for (int i = 0; i < 4; i++)
        hn_grid_null(g);
    put_structure(s, g, row, note);
}

static const char *why_unranked(const hn_state *s, size_t row)
{
    const double volume = volume_m3(s->table, row);

    if (volume > 0.0)
        return "no method that seals it can be priced";
    if ((double)hn_f32(s->table, HN_COL_GRADE_NOW, row) < WORN_FROM_GRADE)
        return NULL;
    return isnan(volume) ? "infiltration not measured, structure worn: see the rank by risk"
                         : "dry, structure worn: see the rank by risk";
}

static int is_ranked(const sealing *one)
{
    return one->removed_m3 > 0.0;
}

static void fill(const hn_state *s, hn_grid *g, hn_keyed *order)
{
    const size_t rows = s->table->rows;
    sealing all = {0, 0.0, 0.0};
    size_t ranked = 0;

    for (size_t row = 0; row < rows; row++) {
        const sealing one = sealing_of(s, row);

        if (!is_ranked(&one))
            continue;
        order[ranked++] = hn_keyed_of(hn_key_falling(one.removed_m3 / one.cost), (uint32_t)row);
        all.cost += one.cost;
        all.removed_m3 += one.removed_m3;
    }
    if (!hn_radix_sort(order, ranked)) {
        g->out_of_memory = 1;
        return;
    }
    for (size_t i = 0; i < ranked; i++)
        put_ranked(s, g, order[i].value, (int64_t)(i + 1), &all);
    for (size_t row = 0; row < rows; row++) {
        const sealing one = sealing_of(s, row);

        if (!is_ranked(&one) && why_unranked(s, row))
            put_unranked(s, g, row, why_unranked(s, row));
    }
}

void hn_tables_infiltration(const hn_state *s, hn_tables *tables)
{
    hn_grid *g = &tables->grid[HN_TABLE_INFILTRATION];
    hn_keyed *order;

    hn_grid_init(g, "infiltration", "Water kept out per money",
                 "Segments with measured infiltration by water removed per money, then those that "
                 "are worn but dry or not measured. A ranking beside the one by risk.",
                 columns, HN_COUNT_OF(columns));
    if (!s->table->column[HN_COL_INFILTRATION_FLOW])
        return;
    order = hn_alloc(s->table->rows, sizeof *order);
    if (order)
        fill(s, g, order);
    else
        g->out_of_memory = 1;
    hn_free(order);
}
