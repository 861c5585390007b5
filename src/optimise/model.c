/* optimise/model.c - the part of a model that is the same for both forms: rows turned to at
 * most, chains of carried rows, prices. */
#include "optimise/model.h"

#include <math.h>
#include <string.h>

#include "base/alloc.h"

static hn_status check_rows(const hn_choice_problem *problem, hn_error *err)
{
    if (!problem->list == !problem->table)
        return hn_fail(err, HN_ERR_INTERNAL, "a problem has one form, list or table");
    if (problem->row_count > HN_CHOICE_ROWS_MAX)
        return hn_fail(err, HN_ERR_INPUT, "%zu limits are more than %d", problem->row_count,
                       HN_CHOICE_ROWS_MAX);
    for (size_t r = 0; r < problem->row_count; r++) {
        const hn_choice_row *row = &problem->rows[r];

        if (!isfinite(row->limit))
            return hn_fail(err, HN_ERR_INPUT, "limit %zu is not a number", r);
        if (row->carry_to < 0)
            continue;
        if ((size_t)row->carry_to >= problem->row_count || row->carry_to == (int32_t)r)
            return hn_fail(err, HN_ERR_INPUT, "limit %zu is carried to %d, which is none", r,
                           row->carry_to);
        if (row->sense != HN_ROW_AT_MOST || problem->rows[row->carry_to].sense != HN_ROW_AT_MOST ||
            !(row->carry_limit >= 0) || !isfinite(row->carry_limit))
            return hn_fail(err, HN_ERR_INPUT,
                           "limit %zu: only what is left of a budget can be carried, to a "
                           "budget, and 0 or more of it",
                           r);
    }
    return HN_OK;
}

/* Givers before receivers: chains are walked from their first row. */
static hn_status order_rows(hn_model *model, hn_error *err)
{
    size_t placed = 0;

    for (size_t r = 0; r < model->rows; r++)
        model->carry_from[r] = -1;
    for (size_t r = 0; r < model->rows; r++) {
        int32_t to = model->carry_to[r];

        if (to < 0)
            continue;
        model->has_carry = 1;
        if (model->carry_from[to] >= 0)
            return hn_fail(err, HN_ERR_INPUT, "limit %d is carried to from two others", to);
        model->carry_from[to] = (int32_t)r;
    }
    for (size_t r = 0; r < model->rows; r++)
        for (int32_t at = model->carry_from[r] < 0 ? (int32_t)r : -1; at >= 0;
             at = model->carry_to[at])
            model->order[placed++] = (uint32_t)at;
    if (placed != model->rows)
        return hn_fail(err, HN_ERR_INPUT, "limits are carried in a circle");
    return HN_OK;
}

static hn_status new_rows(hn_model *model, hn_error *err)
{
    const size_t rows = model->rows;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(model->limit = hn_alloc(rows, sizeof *model->limit));
    HN_TRY_ALLOC(model->sign = hn_alloc(rows, sizeof *model->sign));
    HN_TRY_ALLOC(model->size = hn_alloc(rows, sizeof *model->size));
    HN_TRY_ALLOC(model->carry_to = hn_alloc(rows, sizeof *model->carry_to));
    HN_TRY_ALLOC(model->carry_from = hn_alloc(rows, sizeof *model->carry_from));
    HN_TRY_ALLOC(model->carry_limit = hn_alloc(rows, sizeof *model->carry_limit));
    HN_TRY_ALLOC(model->order = hn_alloc(rows, sizeof *model->order));
    HN_TRY_ALLOC(model->must = hn_alloc(model->items, sizeof *model->must));
    for (size_t r = 0; r < rows; r++) {
        const hn_choice_row *row = &model->problem->rows[r];

        model->sign[r] = row->sense == HN_ROW_AT_LEAST ? -1.0 : 1.0;
        model->limit[r] = model->sign[r] * row->limit;
        model->size[r] = fabs(row->limit) > 0 ? fabs(row->limit) : 1.0;
        model->carry_to[r] = row->carry_to < 0 ? -1 : row->carry_to;
        model->carry_limit[r] = row->carry_to < 0 ? 0.0 : row->carry_limit;
    }
    HN_TRY(order_rows(model, err));
out:
    return rc;
}

hn_status hn_model_new(hn_model *model, const hn_choice_problem *problem, hn_error *err)
{
    hn_status rc;

    *model = (hn_model){0};
    HN_TRY(check_rows(problem, err));
    model->problem = problem;
    model->list = problem->list;
    model->table = problem->table;
    model->rows = problem->row_count;
    model->items = model->list ? model->list->items : model->table->items;
    if (model->items > INT32_MAX)
        rc = hn_fail(err, HN_ERR_INPUT, "%zu items are too many", model->items);
    HN_TRY(rc);
    HN_TRY(new_rows(model, err));
    HN_TRY(model->list ? hn_model_list(model, err) : hn_model_table(model, err));
    HN_TRY(hn_presolve(model, err));
out:
    if (rc != HN_OK)
        hn_model_clear(model);
    return rc;
}

void hn_model_clear(hn_model *model)
{
    hn_free(model->limit);
    hn_free(model->sign);
    hn_free(model->size);
    hn_free(model->carry_to);
    hn_free(model->carry_from);
    hn_free(model->carry_limit);
    hn_free(model->order);
    hn_free(model->must);
    hn_free(model->closed);
    hn_free(model->reference);
    hn_free(model->open);
    hn_free(model->class_top);
    hn_free(model->cell_first);
    hn_free(model->cell_rows);
    *model = (hn_model){0};
}

static size_t cells_of(const hn_model *model)
{
    return model->table ? model->table->groups * model->table->methods * model->table->years : 0;
}

hn_status hn_row_prices_new(const hn_model *model, hn_row_prices *prices, hn_error *err)
{
    hn_status rc = HN_OK;

    *prices = (hn_row_prices){0};
    HN_TRY_ALLOC(prices->row = hn_alloc(model->rows, sizeof *prices->row));
    for (int b = 0; b < 3; b++)
        HN_TRY_ALLOC(prices->cell[b] = hn_alloc(cells_of(model), sizeof *prices->cell[b]));
out:
    if (rc != HN_OK)
        hn_row_prices_clear(prices);
    return rc;
}

void hn_row_prices_clear(hn_row_prices *prices)
{
    hn_free(prices->row);
    for (int b = 0; b < 3; b++)
        hn_free(prices->cell[b]);
    *prices = (hn_row_prices){0};
}

void hn_row_prices_set(const hn_model *model, hn_row_prices *prices, const double *row)
{
    const hn_choice_table *table = model->table;
    const size_t span = table ? table->methods * table->years : 0;

    if (row != prices->row)
        memcpy(prices->row, row, model->rows * sizeof *row);
    for (size_t c = 0; c < cells_of(model); c++) {
        double sum[3] = {0, 0, 0};

        for (uint32_t e = model->cell_first[c]; e < model->cell_first[c + 1]; e++) {
            uint32_t r = model->cell_rows[e].row;

            sum[model->cell_rows[e].basis] += model->sign[r] * row[r];
        }
        prices->cell[HN_BASIS_COST][c] = sum[HN_BASIS_COST] * table->escalation[c % span];
        prices->cell[HN_BASIS_QUANTITY][c] = sum[HN_BASIS_QUANTITY];
        prices->cell[HN_BASIS_COUNT][c] = sum[HN_BASIS_COUNT];
    }
}

void hn_row_most(const hn_model *model, double *most)
{
    for (size_t n = 0; n < model->rows; n++) {
        const uint32_t r = model->order[n];
        const int32_t from = model->carry_from[r];

        most[r] = model->limit[r];
        if (from >= 0)
            most[r] += fmin(model->carry_limit[from], fmax(0.0, most[from]));
    }
}
