/* Ranks by one number, greatest first; equal numbers keep the order of the
 * segment ids, which is the row order. */
#include "base/alloc.h"
#include "base/parallel.h"
#include "base/radix.h"
#include "risk/risk.h"

/* Rows by falling number, missing ones last; `order` has one entry a row. */
static hn_status rank_by(const hn_table *table, hn_column_id id, hn_keyed *order, hn_error *err)
{
    for (size_t i = 0; i < table->rows; i++)
        order[i] = hn_keyed_of(hn_key_falling(hn_table_number(table, id, i)), (uint32_t)i);
    if (!hn_radix_sort(order, table->rows))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    return HN_OK;
}

static size_t store_risk_rank(hn_table *table, const hn_keyed *order)
{
    size_t ties = 0;

    for (size_t i = 0; i < table->rows; i++) {
        HN_I32(table, RANK_RISK)[order[i].value] = (int32_t)(i + 1);
        ties += (i > 0 && hn_key_in(&order[i]) == hn_key_in(&order[i - 1])) ||
                (i + 1 < table->rows && hn_key_in(&order[i]) == hn_key_in(&order[i + 1]));
    }
    return ties;
}

/* Segments without work have no value rank; in the priority they follow by
 * risk, which `order` gives by sorting them again. */
static hn_status store_value_rank(hn_table *table, hn_keyed *order, hn_priority_rule rule,
                                  hn_error *err)
{
    size_t with = 0;

    while (with < table->rows && hn_key_in(&order[with]) != UINT64_MAX)
        with++;
    for (size_t i = 0; i < with; i++)
        HN_I32(table, RANK_VALUE)[order[i].value] = (int32_t)(i + 1);
    if (rule != HN_PRIORITY_VALUE)
        return HN_OK;
    for (size_t i = with; i < table->rows; i++)
        order[i] = hn_keyed_of((uint64_t)HN_I32(table, RANK_RISK)[order[i].value], order[i].value);
    if (!hn_radix_sort(order + with, table->rows - with))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < table->rows; i++)
        HN_I32(table, PRIORITY)[order[i].value] = (int32_t)(i + 1);
    return HN_OK;
}

/* Grade below which `part` of the chance lies. */
static int grade_at(const hn_outlook *o, size_t row, int driver, double part)
{
    double sum = 0.0;

    for (int g = 0; g < HN_OUTLOOK_GRADES - 1; g++) {
        sum += hn_outlook_share(o, driver, g, row);
        if (sum >= part)
            return g;
    }
    return HN_OUTLOOK_GRADES - 1;
}

/* An unseen grade may be the one at the 10 % or the 90 % point of its
 * distribution; without any data it may be 1 or 5. (local rule) */
static double case_loss(const hn_table *t, const hn_outlook *o, size_t row, int is_worst)
{
    static const hn_column_id seen[HN_OUTLOOK_DRIVERS] = {
        HN_COL_GRADE_STRUCTURAL, HN_COL_GRADE_SERVICE, HN_COL_GRADE_TIGHTNESS};
    int no_data = hn_code(t, HN_COL_CONDITION_BASIS, row) == HN_BASIS_NONE;
    double cost[HN_OUTLOOK_DRIVERS] = {
        (double)hn_f32(t, is_worst ? HN_COL_CONSEQUENCE_HIGH : HN_COL_CONSEQUENCE_LOW, row),
        hn_f64(t, HN_COL_CONSEQUENCE_SERVICE, row), hn_f64(t, HN_COL_CONSEQUENCE_TIGHTNESS, row)};
    double sum = 0.0;

    for (int d = 0; d < HN_OUTLOOK_DRIVERS; d++) {
        int grade = no_data ? (is_worst ? HN_OUTLOOK_GRADES - 1 : 0)
                            : grade_at(o, row, d, is_worst ? 0.9 : 0.1);
        double chance = isnan(hn_f32(t, seen[d], row))
                            ? hn_outlook_annual(o, hn_outlook_class(o, row), d, grade)[0]
                            : hn_outlook_chance(o, row, d, 0);

        sum += chance * cost[d];
    }
    return sum;
}

/* Every STRIDE-th entry by itself: few enough to stay in the processor's cache,
 * so a search goes to memory only for its last steps. */
typedef struct ranking {
    const hn_keyed *order; /* by falling loss, then by row */
    size_t rows;
    hn_keyed *sample; /* order[STRIDE * i] */
    size_t samples;
} ranking;

enum { STRIDE = 64 };

static hn_status make_ranking(ranking *r, const hn_keyed *order, size_t rows, hn_error *err)
{
    *r = (ranking){.order = order, .rows = rows, .samples = (rows + STRIDE - 1) / STRIDE};
    r->sample = hn_alloc(r->samples, sizeof *r->sample);
    if (!r->sample)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < r->samples; i++)
        r->sample[i] = order[STRIDE * i];
    return HN_OK;
}

static int is_before(const hn_keyed *a, const hn_keyed *b)
{
    return hn_key_in(a) != hn_key_in(b) ? hn_key_in(a) < hn_key_in(b) : a->value < b->value;
}

/* Entries of [low, high) that come before `item`, counted from 0. */
static size_t first_not_before(const hn_keyed *list, size_t low, size_t high, const hn_keyed *item)
{
    while (low < high) {
        size_t middle = low + (high - low) / 2;

        if (is_before(&list[middle], item))
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* Rank that the row would have with this loss while all others stay; equal losses
 * go by row, as in the rank by risk. */
static int32_t rank_with(const ranking *r, size_t row, double loss, double now)
{
    const hn_keyed item = hn_keyed_of(hn_key_falling(loss), (uint32_t)row);
    const hn_keyed own = hn_keyed_of(hn_key_falling(now), (uint32_t)row);
    const size_t low = first_not_before(r->sample, 0, r->samples, &item);
    const size_t high = low * STRIDE < r->rows ? low * STRIDE : r->rows;
    const size_t before = first_not_before(r->order, low ? (low - 1) * STRIDE : 0, high, &item);

    /* the row's own present entry is none of the others */
    return (int32_t)(before + 1 - (size_t)is_before(&own, &item));
}

typedef struct bounding {
    hn_table *table;
    const hn_outlook *outlook;
    ranking by_loss;
} bounding;

/* The ranks that the worst and the best fill of what is not known would give. */
static void bound_ranks(void *context, size_t begin, size_t end, int worker)
{
    const bounding *b = context;
    hn_table *t = b->table;

    (void)worker;
    for (size_t i = begin; i < end; i++) {
        double now = HN_F64(t, LOSS_NOW)[i];

        /* a loss that is not known stands last, and no best case is later than that */
        HN_I32(t, RANK_LOW)[i] =
            rank_with(&b->by_loss, i,
                      isnan(now) ? now : fmin(case_loss(t, b->outlook, i, 0), now), now);
        HN_I32(t, RANK_HIGH)[i] =
            rank_with(&b->by_loss, i, fmax(case_loss(t, b->outlook, i, 1), now), now);
        HN_I32(t, PRIORITY)[i] = HN_I32(t, RANK_RISK)[i];
    }
}

hn_status hn_risk_rank(hn_table *table, const hn_outlook *outlook, const hn_plan *plan,
                       int threads, hn_rank_stats *stats, hn_error *err)
{
    static const hn_column_id mine[] = {HN_COL_RANK_RISK, HN_COL_RANK_VALUE, HN_COL_RANK_LOW,
                                        HN_COL_RANK_HIGH, HN_COL_PRIORITY};
    hn_keyed *order = hn_alloc(table->rows, sizeof *order);
    bounding b = {.table = table, .outlook = outlook};
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(order);
    for (size_t i = 0; i < sizeof mine / sizeof mine[0]; i++)
        HN_TRY(hn_table_want(table, mine[i], err));
    HN_TRY(rank_by(table, HN_COL_LOSS_NOW, order, err));
    stats->ties = store_risk_rank(table, order);
    HN_TRY(make_ranking(&b.by_loss, order, table->rows, err));
    hn_parallel(threads, table->rows, bound_ranks, &b);
    HN_TRY(rank_by(table, HN_COL_LOSS_AVOIDED_PER_COST, order, err));
    HN_TRY(store_value_rank(table, order, plan->priority, err));
out:
    hn_free(b.by_loss.sample);
    hn_free(order);
    return rc;
}
