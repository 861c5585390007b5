#include "base/alloc.h"
#include "base/radix.h"
#include "programme/programme.h"

#include <string.h>

typedef struct wish {
    double cost;
    uint32_t row;
} wish;

int hn_is_candidate(const hn_table *table, const hn_plan *plan, size_t row)
{
    uint8_t method = hn_code(table, HN_COL_METHOD, row);

    return method != HN_CODE_MISSING &&
           plan->config.methods[method].kind != HN_METHOD_WATCH &&
           hn_f64(table, HN_COL_COST, row) > 0.0;
}

static double urgency(const hn_allocate_spec *spec, size_t row)
{
    return spec->order == HN_ORDER_VALUE
               ? hn_table_derived(spec->table, HN_COL_LOSS_AVOIDED_PER_COST, row)
               : hn_f64(spec->table, HN_COL_LOSS_NOW, row);
}

static uint64_t deadline(const hn_allocate_spec *spec, size_t row)
{
    uint8_t rule = hn_code(spec->table, HN_COL_ACT_NOW, row);

    return rule == HN_CODE_MISSING || spec->order == HN_ORDER_WORST_FIRST
               ? INT32_MAX
               : (uint64_t)spec->plan->config.act_now[rule].within_days;
}

/* Act-now by its deadline, then by the order's key, then by segment id (the row
 * order): two stable sorts, the leading key last. */
static hn_status gather(const hn_allocate_spec *spec, const int8_t *year_of, wish *wishes,
                        size_t *count, hn_error *err)
{
    size_t rows = spec->table->rows, n = 0;
    hn_keyed *order = hn_alloc(rows, sizeof *order);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(order);
    for (size_t row = 0; row < rows; row++)
        if (year_of[row] < 0 && hn_is_candidate(spec->table, spec->plan, row) &&
            !isnan(urgency(spec, row)))
            order[n++] = hn_keyed_of(hn_key_falling(urgency(spec, row)), (uint32_t)row);
    if (!hn_radix_sort(order, n))
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    for (size_t i = 0; i < n; i++)
        order[i] = hn_keyed_of(deadline(spec, order[i].value), order[i].value);
    if (!hn_radix_sort(order, n))
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    for (size_t i = 0; i < n; i++)
        wishes[i] = (wish){HN_F64(spec->table, COST)[order[i].value], order[i].value};
    *count = n;
out:
    hn_free(order);
    return rc;
}

static void count_in(const hn_allocate_spec *spec, hn_allocation *out, size_t row, size_t year,
                     double cost)
{
    const hn_table *t = spec->table;
    hn_budget_line *line = &out->lines[year];
    uint8_t method = hn_code(t, HN_COL_METHOD, row);
    double length = hn_f64(t, HN_COL_LENGTH_M, row), avoided = 0.0;
    double loss[HN_OUTLOOK_DRIVERS] = {hn_f64(t, HN_COL_CONSEQUENCE_MONEY, row),
                                       hn_f64(t, HN_COL_CONSEQUENCE_SERVICE, row),
                                       hn_f64(t, HN_COL_CONSEQUENCE_TIGHTNESS, row)};
    hn_method_kind kind = method == HN_CODE_MISSING ? HN_METHOD_WATCH
                                                    : spec->plan->config.methods[method].kind;

    if (method != HN_CODE_MISSING)
        avoided = hn_loss_avoided(spec->loss, spec->outlook, row, method, year, loss);
    out->year_of[row] = (int8_t)year;
    out->funded++;
    out->total_cost += cost;
    out->total_avoided += avoided;
    line->segments++;
    line->spent += cost;
    line->loss_avoided += avoided;
    length = isnan(length) ? 0.0 : length;
    if (kind == HN_METHOD_LINING)
        line->length_lined_m += length;
    else if (kind == HN_METHOD_REPLACEMENT)
        line->length_replaced_m += length;
    else
        line->length_other_m += length;
}

static void take_commitments(const hn_allocate_spec *spec, hn_allocation *out)
{
    for (size_t i = 0; i < spec->commitment_count; i++) {
        const hn_commitment *c = &spec->commitments[i];
        size_t year = (size_t)(c->year - spec->plan->first_year);
        double cost = isnan(c->cost) ? hn_f64(spec->table, HN_COL_COST, c->row) : c->cost;

        if (c->year < spec->plan->first_year || year >= out->years || out->year_of[c->row] >= 0)
            continue;
        cost = isnan(cost) ? 0.0 : cost;
        count_in(spec, out, c->row, year, cost);
        out->lines[year].committed += cost;
    }
}

/* Fills one year from the wishes in order: what does not fit is passed over,
 * not a reason to stop. Money is compared to a tenth of a cent. */
static size_t fill_year(const hn_allocate_spec *spec, hn_allocation *out, size_t year,
                        wish *wishes, size_t count)
{
    hn_budget_line *line = &out->lines[year];
    double left = line->budget + line->carry_in - line->spent;
    size_t kept = 0;

    for (size_t i = 0; i < count; i++) {
        if (wishes[i].cost <= left + 1e-3) {
            left -= wishes[i].cost;
            count_in(spec, out, wishes[i].row, year, wishes[i].cost);
        } else {
            wishes[kept++] = wishes[i];
        }
    }
    return kept;
}

static void carry(const hn_allocate_spec *spec, hn_allocation *out, size_t year)
{
    hn_budget_line *line = &out->lines[year];
    double left = line->budget + line->carry_in - line->spent;
    double most = spec->plan->carry_over_share * line->budget;

    if (isinf(line->budget))
        return;
    if (left < 0.0)
        out->committed_over -= left;
    left = left > 0.0 ? left : 0.0;
    line->carry_out = year + 1 < out->years ? fmin(left, most) : 0.0;
    line->forfeited = left - line->carry_out;
    if (year + 1 < out->years)
        out->lines[year + 1].carry_in = line->carry_out;
}

static double money_of(const hn_allocate_spec *spec, size_t year)
{
    if (isinf(spec->budget_factor))
        return INFINITY;
    return spec->plan->budgets[year].amount * spec->budget_factor;
}

hn_status hn_allocate(const hn_allocate_spec *spec, hn_allocation *out, hn_error *err)
{
    size_t rows = spec->table->rows, count = 0;
    wish *wishes = hn_alloc(rows, sizeof *wishes);
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out);
    out->years = (size_t)spec->plan->years;
    out->lines = hn_alloc(out->years, sizeof *out->lines);
    out->year_of = hn_alloc(rows, sizeof *out->year_of);
    HN_TRY_ALLOC(wishes);
    HN_TRY_ALLOC(out->lines);
    HN_TRY_ALLOC(out->year_of);
    memset(out->year_of, -1, rows);
    for (size_t y = 0; y < out->years; y++) {
        out->lines[y].year = spec->plan->first_year + (int32_t)y;
        out->lines[y].budget = money_of(spec, y);
    }
    take_commitments(spec, out);
    HN_TRY(gather(spec, out->year_of, wishes, &count, err));
    for (size_t y = 0; y < out->years; y++) {
        count = fill_year(spec, out, y, wishes, count);
        carry(spec, out, y);
    }
out:
    hn_free(wishes);
    if (rc != HN_OK)
        hn_allocation_clear(out);
    return rc;
}

void hn_allocation_clear(hn_allocation *allocation)
{
    hn_free(allocation->lines);
    hn_free(allocation->year_of);
    memset(allocation, 0, sizeof *allocation);
}
