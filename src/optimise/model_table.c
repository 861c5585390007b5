/* optimise/model_table.c - the form for networks: value and cost are products of a figure of
 * the item and a figure of a small table, so nothing is stored for single alternatives but a
 * mask of years.
 *
 * Source: local method; a row of limits is a sum over cells (group, method, year), so its
 * price is added to the cells once and an item costs methods x years multiplications.
 */
#include <math.h>

#include "base/alloc.h"
#include "optimise/forms.h"

static hn_status check_sizes(const hn_choice_table *table, hn_error *err)
{
    if (table->years < 1 || table->years > HN_CHOICE_YEARS_MAX)
        return hn_fail(err, HN_ERR_INPUT, "%zu years: 1 to %d can be planned", table->years,
                       HN_CHOICE_YEARS_MAX);
    if (table->methods < 1 || table->methods > HN_CHOICE_METHODS_MAX)
        return hn_fail(err, HN_ERR_INPUT, "%zu methods: 1 to %d can be planned", table->methods,
                       HN_CHOICE_METHODS_MAX);
    if (table->groups < 1 || table->groups > HN_CHOICE_GROUPS_MAX)
        return hn_fail(err, HN_ERR_INPUT, "%zu groups: 1 to %d can be planned", table->groups,
                       HN_CHOICE_GROUPS_MAX);
    for (size_t c = 0; c < table->classes * table->methods * table->years; c++)
        if (!(table->benefit[c] >= 0) || !isfinite(table->benefit[c]))
            return hn_fail(err, HN_ERR_INPUT, "a benefit is negative or not a number");
    for (size_t c = 0; c < table->methods * table->years; c++)
        if (!(table->escalation[c] > 0) || !isfinite(table->escalation[c]))
            return hn_fail(err, HN_ERR_INPUT, "an escalation factor is not above 0");
    return HN_OK;
}

static hn_status check_items(const hn_choice_table *table, hn_error *err)
{
    for (size_t i = 0; i < table->items; i++) {
        if (!(table->weight[i] >= 0) || !isfinite(table->weight[i]))
            return hn_fail(err, HN_ERR_INPUT, "item %zu: its weight is negative or not a number",
                           i);
        if (table->quantity && (!(table->quantity[i] >= 0) || !isfinite(table->quantity[i])))
            return hn_fail(err, HN_ERR_INPUT, "item %zu: its quantity is negative or not a number",
                           i);
        if (table->class_of[i] >= table->classes ||
            (table->group_of && table->group_of[i] >= table->groups))
            return hn_fail(err, HN_ERR_INPUT, "item %zu: its class or group does not exist", i);
        for (size_t m = 0; m < table->methods; m++)
            if (table->cost[i * table->methods + m] < 0 ||
                isinf(table->cost[i * table->methods + m]))
                return hn_fail(err, HN_ERR_INPUT, "item %zu: a cost is negative or infinite", i);
    }
    return HN_OK;
}

static int counts(const hn_row_scope *scope, size_t group, size_t method, size_t year)
{
    return (scope->groups[group / 64] >> group % 64 & 1) && (scope->methods >> method & 1) &&
           (scope->years >> year & 1);
}

/* Walks the cells; writes their rows when `fill` is set. Returns the entries. */
static size_t list_cells(hn_model *model, int fill)
{
    const hn_choice_table *table = model->table;
    size_t cell = 0, entry = 0;

    for (size_t g = 0; g < table->groups; g++)
        for (size_t m = 0; m < table->methods; m++)
            for (size_t t = 0; t < table->years; t++, cell++) {
                const size_t before = entry;

                model->cell_first[cell] = (uint32_t)entry;
                for (size_t r = 0; r < model->rows; r++) {
                    if (!counts(&table->scopes[r], g, m, t))
                        continue;
                    if (fill)
                        model->cell_rows[entry] =
                            (hn_cell_row){(uint32_t)r, table->scopes[r].basis};
                    model->basis_used[table->scopes[r].basis] = 1;
                    entry++;
                }
                if (entry - before > model->use_width)
                    model->use_width = entry - before;
            }
    model->cell_first[cell] = (uint32_t)entry;
    return entry;
}

static void open_years(hn_model *model)
{
    const hn_choice_table *table = model->table;
    const uint64_t all = table->years == 64 ? ~(uint64_t)0 : ((uint64_t)1 << table->years) - 1;

    for (size_t i = 0; i < table->items; i++)
        for (size_t m = 0; m < table->methods; m++) {
            uint64_t years = all & (table->years_open ? table->years_open[i] : all);

            model->open[i * table->methods + m] =
                isnan(table->cost[i * table->methods + m]) ? 0 : years;
        }
}

/* A demand rules over closed years: what is settled is settled. */
static hn_status apply_demands(hn_model *model, hn_error *err)
{
    const hn_choice_table *table = model->table;

    for (size_t d = 0; d < table->demand_count; d++) {
        const hn_choice_demand *demand = &table->demands[d];
        uint64_t years = 0;

        if (demand->item >= table->items || demand->method >= (int32_t)table->methods)
            return hn_fail(err, HN_ERR_INPUT, "demand %zu: its item or method does not exist", d);
        if (demand->year_first < 0 || demand->year_last < demand->year_first)
            return hn_fail(err, HN_ERR_INPUT, "demand %zu: its years are out of order", d);
        for (int32_t t = demand->year_first; t <= demand->year_last; t++)
            if (t < (int32_t)table->years)
                years |= (uint64_t)1 << t;
        model->must[demand->item] = 1;
        for (size_t m = 0; m < table->methods; m++) {
            uint64_t *open = &model->open[demand->item * table->methods + m];

            if (demand->method < 0)
                *open &= years;
            else
                *open = (int32_t)m == demand->method &&
                                !isnan(table->cost[demand->item * table->methods + m])
                            ? years
                            : 0;
        }
    }
    return HN_OK;
}

hn_status hn_model_table(hn_model *model, hn_error *err)
{
    const hn_choice_table *table = model->table;
    hn_status rc;

    HN_TRY(check_sizes(table, err));
    HN_TRY(check_items(table, err));
    model->width = table->methods * table->years;
    HN_TRY_ALLOC(model->open = hn_alloc(table->items * table->methods, sizeof *model->open));
    HN_TRY_ALLOC(model->class_top = hn_alloc(table->classes, sizeof *model->class_top));
    HN_TRY_ALLOC(model->cell_first =
                     hn_alloc(table->groups * model->width + 1, sizeof *model->cell_first));
    HN_TRY_ALLOC(model->cell_rows = hn_alloc(list_cells(model, 0), sizeof *model->cell_rows));
    list_cells(model, 1);
    for (size_t c = 0; c < table->classes; c++)
        for (size_t a = 0; a < model->width; a++)
            model->class_top[c] = fmax(model->class_top[c], table->benefit[c * model->width + a]);
    for (size_t i = 0; i < table->items; i++)
        model->value_scale = fmax(model->value_scale, hn_model_reference(model, i));
    open_years(model);
    HN_TRY(apply_demands(model, err));
out:
    return rc;
}

static size_t group_of(const hn_choice_table *table, size_t item)
{
    return table->group_of ? table->group_of[item] : 0;
}

/* One method: years side by side, so that the compiler can take several at once. */
static void reduced_years(const hn_model *model, const hn_row_prices *prices, size_t item, size_t m,
                          double *restrict reduced)
{
    const hn_choice_table *table = model->table;
    const size_t years = table->years;
    const size_t cell = (group_of(table, item) * table->methods + m) * years;
    const double *restrict benefit =
        table->benefit + (table->class_of[item] * table->methods + m) * years;
    const double *restrict price = prices->cell[HN_BASIS_COST] + cell;
    const double weight = table->weight[item], cost = table->cost[item * table->methods + m];

    for (size_t t = 0; t < years; t++)
        reduced[t] = weight * benefit[t] - cost * price[t];
    if (model->basis_used[HN_BASIS_QUANTITY] && table->quantity) {
        const double quantity = table->quantity[item];
        const double *restrict unit = prices->cell[HN_BASIS_QUANTITY] + cell;

        for (size_t t = 0; t < years; t++)
            reduced[t] -= quantity * unit[t];
    }
    if (model->basis_used[HN_BASIS_COUNT])
        for (size_t t = 0; t < years; t++)
            reduced[t] -= prices->cell[HN_BASIS_COUNT][cell + t];
}

size_t hn_table_reduced(const hn_model *model, const hn_row_prices *prices, size_t item,
                        double *reduced)
{
    const hn_choice_table *table = model->table;
    const size_t years = table->years;
    const uint64_t all = years == 64 ? ~(uint64_t)0 : ((uint64_t)1 << years) - 1;

    for (size_t m = 0; m < table->methods; m++) {
        const uint64_t open = model->open[item * table->methods + m];

        if (open)
            reduced_years(model, prices, item, m, reduced + m * years);
        if (open != all)
            for (size_t t = 0; t < years; t++)
                if (!(open >> t & 1))
                    reduced[m * years + t] = -INFINITY;
    }
    return model->width;
}

static double amount_of(const hn_choice_table *table, size_t item, size_t alternative,
                        hn_row_basis basis)
{
    if (basis == HN_BASIS_COST)
        return table->cost[item * table->methods + alternative / table->years] *
               table->escalation[alternative];
    if (basis == HN_BASIS_QUANTITY)
        return table->quantity ? table->quantity[item] : 0.0;
    return 1.0;
}

size_t hn_table_uses(const hn_model *model, size_t item, size_t alternative, hn_choice_use *uses)
{
    const size_t cell = group_of(model->table, item) * model->width + alternative;
    size_t count = 0;

    for (uint32_t e = model->cell_first[cell]; e < model->cell_first[cell + 1]; e++) {
        const hn_cell_row *entry = &model->cell_rows[e];

        uses[count++] = (hn_choice_use){
            entry->row,
            model->sign[entry->row] * amount_of(model->table, item, alternative, entry->basis)};
    }
    return count;
}

/* Compulsory items only, and only rows of at most: for others the least is 0, or of no use. */
void hn_table_forced(const hn_model *model, double *forced)
{
    hn_choice_use uses[HN_CHOICE_ROWS_MAX];
    double least[HN_CHOICE_ROWS_MAX];

    for (size_t r = 0; r < model->rows; r++)
        forced[r] = model->sign[r] > 0 ? 0.0 : -INFINITY;
    for (size_t i = 0; i < model->items; i++) {
        uint32_t seen[HN_CHOICE_ROWS_MAX];
        size_t open = 0;

        if (!model->must[i])
            continue;
        for (size_t r = 0; r < model->rows; r++) {
            least[r] = INFINITY;
            seen[r] = 0;
        }
        for (size_t a = 0; a < model->width; a++) {
            if (!hn_model_open(model, i, a))
                continue;
            open++;
            for (size_t u = 0, n = hn_table_uses(model, i, a, uses); u < n; u++) {
                least[uses[u].row] = fmin(least[uses[u].row], uses[u].amount);
                seen[uses[u].row]++;
            }
        }
        for (size_t r = 0; r < model->rows; r++)
            if (open && seen[r] == open)
                forced[r] += least[r];
    }
}

/* Most that one item may cost, measure or count in a cell: with the money that compulsory
 * items need set aside, or for these themselves without. */
static void cell_most(const hn_model *model, const double *most, const double *forced, size_t cell,
                      double *top)
{
    top[0] = top[1] = top[2] = INFINITY;
    for (uint32_t e = model->cell_first[cell]; e < model->cell_first[cell + 1]; e++) {
        const hn_cell_row *entry = &model->cell_rows[e];
        const uint32_t r = entry->row;

        if (model->sign[r] > 0)
            top[entry->basis] = fmin(top[entry->basis],
                                     most[r] - (forced ? forced[r] : 0.0) + 1e-9 * model->size[r]);
    }
    top[HN_BASIS_COST] /= model->table->escalation[cell % model->width];
}

static uint64_t fitting_years(const hn_model *model, const double *tops, size_t item, size_t m)
{
    const hn_choice_table *table = model->table;
    const size_t cell = group_of(table, item) * model->width + m * table->years;
    const double cost = table->cost[item * table->methods + m];
    const double quantity = table->quantity ? table->quantity[item] : 0.0;
    uint64_t years = model->open[item * table->methods + m];

    for (size_t t = 0; t < table->years; t++) {
        const double *top = tops + 3 * (cell + t);

        if (cost > top[HN_BASIS_COST] || quantity > top[HN_BASIS_QUANTITY] ||
            top[HN_BASIS_COUNT] < 1)
            years &= ~((uint64_t)1 << t);
    }
    return years;
}

/* An item that must be done and fits nowhere stays as it is: the clash is told, not hidden. */
static void close_item(hn_model *model, const double *tops, size_t item)
{
    const size_t methods = model->table->methods;
    uint64_t years[HN_CHOICE_METHODS_MAX], any = 0;

    for (size_t m = 0; m < methods; m++)
        any |= years[m] = fitting_years(model, tops, item, m);
    for (size_t m = 0; m < methods && (any || !model->must[item]); m++)
        model->open[item * methods + m] = years[m];
}

hn_status hn_table_close(hn_model *model, const double *most, const double *forced, hn_error *err)
{
    const size_t cells = model->table->groups * model->width;
    double *tops = hn_alloc(2 * cells, 3 * sizeof *tops);

    if (!tops)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t c = 0; c < cells; c++) {
        cell_most(model, most, forced, c, tops + 3 * c);
        cell_most(model, most, NULL, c, tops + 3 * (cells + c));
    }
    for (size_t i = 0; i < model->items; i++)
        close_item(model, model->must[i] ? tops + 3 * cells : tops, i);
    hn_free(tops);
    return HN_OK;
}
