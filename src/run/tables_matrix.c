#include "run/table_columns.h"
#include "run/tables.h"

static const hn_view_column matrix_columns[] = {
    HN_WHOLE("likelihood_class", "Likelihood",
             "Class of the likelihood score, 1 lowest; empty: not known"),
    HN_WHOLE("consequence_class", "Consequence",
             "Class of the consequence score, 1 lowest; empty: not known"),
    HN_WHOLE("segments", "Segments", "Segments in the cell"),
    HN_METRES("length_m", "Length", "Their length"),
    HN_SHARE("observed_share", "Observed",
             "Share of that length with an observed condition; empty for a cell without length"),
    HN_MONEY("cost", "Cost", "Cost of the chosen methods"),
    {"expected_loss_per_year", "Expected loss", "Expected loss in the next year if nothing is done",
     "money/year", HN_VIEW_REAL, 2, NULL, 0},
};

enum { CLASSES_MAX = 11 }; /* 0: not known */

typedef struct cell {
    int64_t segments;
    double length_m, observed_m, cost, loss;
} cell;

/* A sum that leaves out what is not known. */
static void add_known(double *sum, double value)
{
    if (!isnan(value))
        *sum += value;
}

static size_t class_at(const hn_table *t, hn_column_id id, size_t row)
{
    const int32_t class_of = hn_i32(t, id, row);

    return class_of == HN_I32_MISSING ? 0 : (size_t)class_of;
}

static void fill_cells(const hn_table *t, cell cells[CLASSES_MAX][CLASSES_MAX])
{
    for (size_t row = 0; row < t->rows; row++) {
        cell *c = &cells[class_at(t, HN_COL_CLASS_LIKELIHOOD, row)]
                        [class_at(t, HN_COL_CLASS_CONSEQUENCE, row)];
        const double length = hn_f64(t, HN_COL_LENGTH_M, row);

        c->segments++;
        add_known(&c->length_m, length);
        if (hn_code(t, HN_COL_CONDITION_BASIS, row) == HN_BASIS_OBSERVED)
            add_known(&c->observed_m, length);
        add_known(&c->cost, hn_table_number(t, HN_COL_COST, row));
        add_known(&c->loss, hn_f64(t, HN_COL_LOSS_NOW, row));
    }
}

static void write_class(hn_grid *g, size_t class_of)
{
    if (class_of)
        hn_grid_int(g, (int64_t)class_of);
    else
        hn_grid_null(g);
}

int hn_tables_has_matrix(const hn_plan *plan)
{
    return plan->risk_scheme != HN_SCHEME_MONEY && plan->side[HN_LIKELIHOOD].limits &&
           plan->side[HN_CONSEQUENCE].limits;
}

void hn_tables_matrix(const hn_state *s, hn_tables *tables)
{
    hn_grid *g = &tables->grid[HN_TABLE_MATRIX];
    cell cells[CLASSES_MAX][CLASSES_MAX] = {{{0}}};

    hn_grid_init(g, "matrix", "Likelihood against consequence",
                 "Segments by the classes of a points scheme, whose limits the plan fixes. A "
                 "picture: two cells do not compare as their expected losses do.",
                 matrix_columns, HN_COUNT_OF(matrix_columns));
    if (!hn_tables_has_matrix(s->plan))
        return;
    fill_cells(s->table, cells);
    for (size_t l = 0; l <= s->plan->side[HN_LIKELIHOOD].limits + 1; l++) {
        for (size_t c = 0; c <= s->plan->side[HN_CONSEQUENCE].limits + 1; c++) {
            const cell *k = &cells[l][c];

            if ((l == 0 || c == 0) && k->segments == 0)
                continue;
            hn_grid_row(g);
            write_class(g, l);
            write_class(g, c);
            hn_grid_int(g, k->segments);
            hn_grid_real(g, k->length_m);
            hn_grid_real(g, k->observed_m / k->length_m);
            hn_grid_real(g, k->cost);
            hn_grid_real(g, k->loss);
        }
    }
}
