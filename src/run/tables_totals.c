#include "base/alloc.h"
#include "run/table_columns.h"
#include "run/tables.h"

#include <stdlib.h>
#include <string.h>

static const hn_view_column method_columns[] = {
    HN_TEXT("method", "Method", "Method of the catalogue"),
    HN_TEXT("title", "Title", "Method in words"),
    HN_WHOLE("chosen_segments", "Chosen", "Segments for which it is chosen"),
    HN_METRES("chosen_length_m", "Chosen length", "Their length"),
    HN_SHARE("observed_share", "Observed", "Share of this length with an observed condition"),
    HN_MONEY("chosen_cost", "Chosen cost", "Their cost"),
    HN_WHOLE("funded_segments", "Funded", "Of these, segments funded or committed"),
    HN_METRES("funded_length_m", "Funded length", "Their length"),
    HN_MONEY("funded_cost", "Funded cost", "Their cost"),
    HN_WHOLE("best_lining_segments", "Best lining", "Segments for which it is the best lining"),
    HN_WHOLE("best_replacement_segments", "Best replacement",
             "Segments for which it is the best replacement"),
};

static const hn_view_column district_columns[] = {
    HN_TEXT("district", "District", "District; empty where none is recorded"),
    HN_WHOLE("segments", "Segments", "Segments"),
    HN_METRES("length_m", "Length", "Length"),
    HN_SHARE("observed_share", "Observed", "Share of the length with an observed condition"),
    HN_MONEY("expected_loss_per_year", "Expected loss",
             "Expected loss in the next year if nothing is done"),
    HN_WHOLE("act_now_segments", "Act now", "Segments of the act-now list"),
    HN_WHOLE("funded_segments", "Funded", "Segments funded or committed"),
    HN_METRES("funded_length_m", "Funded length", "Their length"),
    HN_MONEY("funded_cost", "Funded cost", "Their cost"),
    HN_WHOLE("unfunded_segments", "Unfunded", "Segments with work but no money"),
    HN_MONEY("unfunded_cost", "Unfunded cost", "Their cost"),
};

typedef struct totals {
    uint32_t district;
    int64_t segments, act_now, funded, unfunded;
    double length_m, observed_m, loss, funded_m, funded_cost, unfunded_cost;
} totals;

static double known(double value)
{
    return isnan(value) ? 0.0 : value;
}

double hn_observed_length_m(const hn_table *t, size_t row)
{
    return hn_code(t, HN_COL_CONDITION_BASIS, row) == HN_BASIS_OBSERVED
               ? known(hn_f64(t, HN_COL_LENGTH_M, row))
               : 0.0;
}

double hn_observed_share(const hn_table *t)
{
    double observed_m = 0.0, all_m = 0.0;

    for (size_t row = 0; row < t->rows; row++) {
        observed_m += hn_observed_length_m(t, row);
        all_m += known(hn_f64(t, HN_COL_LENGTH_M, row));
    }
    return observed_m / all_m;
}

static int is_funded(const hn_table *t, size_t row)
{
    uint8_t state = hn_code(t, HN_COL_PROGRAMME, row);

    return state == HN_PROGRAMME_FUNDED || state == HN_PROGRAMME_COMMITTED;
}

static void add_method(const hn_state *s, size_t method, hn_grid *g)
{
    const hn_table *t = s->table;
    int64_t chosen = 0, funded = 0, lining = 0, replacement = 0;
    double chosen_m = 0.0, observed_m = 0.0, chosen_cost = 0.0, funded_m = 0.0, funded_cost = 0.0;

    for (size_t row = 0; row < t->rows; row++) {
        lining += hn_code(t, HN_COL_BEST_LINING, row) == method;
        replacement += hn_code(t, HN_COL_BEST_REPLACEMENT, row) == method;
        if (hn_code(t, HN_COL_METHOD, row) != method)
            continue;
        chosen++;
        chosen_m += known(hn_f64(t, HN_COL_LENGTH_M, row));
        observed_m += hn_observed_length_m(t, row);
        chosen_cost += known(hn_f64(t, HN_COL_COST, row));
        if (!is_funded(t, row))
            continue;
        funded++;
        funded_m += known(hn_f64(t, HN_COL_LENGTH_M, row));
        funded_cost += known(hn_f64(t, HN_COL_COST, row));
    }
    hn_grid_row(g);
    hn_grid_text(g, s->plan->config.methods[method].id);
    hn_grid_text(g, s->plan->config.methods[method].title);
    hn_grid_int(g, chosen);
    hn_grid_real(g, chosen_m);
    hn_grid_real(g, observed_m / chosen_m);
    hn_grid_real(g, chosen_cost);
    hn_grid_int(g, funded);
    hn_grid_real(g, funded_m);
    hn_grid_real(g, funded_cost);
    hn_grid_int(g, lining);
    hn_grid_int(g, replacement);
}

static void add_to_district(const hn_table *t, size_t row, totals *d)
{
    double length = known(hn_f64(t, HN_COL_LENGTH_M, row)),
           cost = known(hn_f64(t, HN_COL_COST, row));

    d->segments++;
    d->length_m += length;
    d->observed_m += hn_observed_length_m(t, row);
    d->loss += known(hn_f64(t, HN_COL_LOSS_NOW, row));
    d->act_now += hn_code(t, HN_COL_ACT_NOW, row) != HN_CODE_MISSING;
    if (is_funded(t, row)) {
        d->funded++;
        d->funded_m += length;
        d->funded_cost += cost;
    } else if (hn_code(t, HN_COL_PROGRAMME, row) == HN_PROGRAMME_UNFUNDED) {
        d->unfunded++;
        d->unfunded_cost += cost;
    }
}

static int by_name(const void *left, const void *right, void *context)
{
    const hn_table *t = context;

    return strcmp(hn_text_pool_get(t->texts, ((const totals *)left)->district),
                  hn_text_pool_get(t->texts, ((const totals *)right)->district));
}

static void add_districts(const hn_state *s, hn_grid *g)
{
    const hn_table *t = s->table;
    uint32_t texts = hn_text_pool_count(t->texts);
    int32_t *slot = hn_alloc(texts, sizeof *slot); /* text id -> entry + 1 */
    totals *districts = NULL;
    size_t count = 0, capacity = 0;

    for (size_t row = 0; slot && row < t->rows; row++) {
        uint32_t name = hn_str(t, HN_COL_DISTRICT, row);
        void *grown = districts;

        if (slot[name] == 0) {
            if (!hn_grow(&grown, count, &capacity, sizeof *districts)) {
                g->out_of_memory = 1;
                break;
            }
            districts = grown;
            districts[count] = (totals){.district = name};
            slot[name] = (int32_t)++count;
        }
        add_to_district(t, row, &districts[slot[name] - 1]);
    }
    if (!slot)
        g->out_of_memory = 1;
    if (count)
        qsort_r(districts, count, sizeof *districts, by_name, s->table);
    for (size_t i = 0; i < count; i++) {
        const totals *d = &districts[i];

        hn_grid_row(g);
        hn_grid_text(g, hn_text_pool_get(t->texts, d->district));
        hn_grid_int(g, d->segments);
        hn_grid_real(g, d->length_m);
        hn_grid_real(g, d->observed_m / d->length_m);
        hn_grid_real(g, d->loss);
        hn_grid_int(g, d->act_now);
        hn_grid_int(g, d->funded);
        hn_grid_real(g, d->funded_m);
        hn_grid_real(g, d->funded_cost);
        hn_grid_int(g, d->unfunded);
        hn_grid_real(g, d->unfunded_cost);
    }
    hn_free(slot);
    hn_free(districts);
}

void hn_tables_totals(const hn_state *s, hn_tables *tables)
{
    hn_grid *methods = &tables->grid[HN_TABLE_METHOD_TOTALS];
    hn_grid *districts = &tables->grid[HN_TABLE_DISTRICT_TOTALS];

    hn_grid_init(methods, "method_totals", "Totals by method",
                 "How often and for how much each method is chosen and funded.", method_columns,
                 HN_COUNT_OF(method_columns));
    for (size_t m = 0; m < s->plan->config.method_count; m++)
        add_method(s, m, methods);
    hn_grid_init(districts, "district_totals", "Totals by district",
                 "Length, condition seen, risk and money by district.", district_columns,
                 HN_COUNT_OF(district_columns));
    add_districts(s, districts);
}
