/* optimise/exact.c - branch and bound over the alternatives that the gap leaves open. Prices
 * are bettered at every node by a few subgradient steps aimed at the best value known, which
 * is all that a branch must be brought under to be left.
 *
 * Source: Lagrangian branch and bound is common practice (Geoffrion 1974, from memory); step
 * length after B. T. Polyak, USSR Computational Mathematics 9 (1969) 14-29 (from memory). The
 * counts are local rules.
 */
#include <math.h>
#include <string.h>

#include "base/alloc.h"
#include "optimise/search.h"

enum { OPEN_MOST = 300, WAYS_MOST = 6000, STEPS_ROOT = 100, STEPS_NODE = 30 };

typedef struct exact {
    hn_search *search;
    const hn_model *model;
    size_t rows, items, ways;
    uint32_t *item;          /* [items] */
    size_t *first;           /* [items + 1] */
    int32_t *alternative;    /* [ways] */
    double *value, *reduced; /* [ways] */
    uint8_t *off;            /* [ways] left out on this branch */
    size_t *first_use;       /* [ways + 1] */
    hn_choice_use *uses;
    double *room;               /* [rows] */
    double *stack;              /* prices: [items + 2][rows] */
    double *gradient;           /* [rows] */
    size_t *trail, trail_count; /* ways put off, newest last */
    size_t *pick;               /* [items] best way at the prices */
    double best;                /* value of the best choice, fixed items counted */
    int32_t *best_choice;       /* [items] */
    int found;
    size_t nodes, cap;
    double root; /* the bound at the root */
} exact;

static void clear_exact(exact *e)
{
    hn_free(e->item);
    hn_free(e->first);
    hn_free(e->alternative);
    hn_free(e->value);
    hn_free(e->reduced);
    hn_free(e->off);
    hn_free(e->first_use);
    hn_free(e->uses);
    hn_free(e->room);
    hn_free(e->stack);
    hn_free(e->gradient);
    hn_free(e->trail);
    hn_free(e->pick);
    hn_free(e->best_choice);
}

/* Ways of pool item k that a better choice could hold. */
static size_t open_ways(const hn_search *search, size_t k, double gap)
{
    size_t count = 0;

    for (size_t w = search->first_way[k]; w < search->first_way[k + 1]; w++)
        count += search->ways[w].regret <= gap;
    return count;
}

static hn_status new_exact(exact *e, size_t ways, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(e->item = hn_alloc(e->items, sizeof *e->item));
    HN_TRY_ALLOC(e->first = hn_alloc(e->items + 1, sizeof *e->first));
    HN_TRY_ALLOC(e->alternative = hn_alloc(ways, sizeof *e->alternative));
    HN_TRY_ALLOC(e->value = hn_alloc(ways, sizeof *e->value));
    HN_TRY_ALLOC(e->reduced = hn_alloc(ways, sizeof *e->reduced));
    HN_TRY_ALLOC(e->off = hn_alloc(ways, sizeof *e->off));
    HN_TRY_ALLOC(e->first_use = hn_alloc(ways + 1, sizeof *e->first_use));
    HN_TRY_ALLOC(e->uses = hn_alloc(ways * (e->model->use_width + 1), sizeof *e->uses));
    HN_TRY_ALLOC(e->room = hn_alloc(e->rows, sizeof *e->room));
    HN_TRY_ALLOC(e->stack = hn_alloc((e->items + 2) * e->rows, sizeof *e->stack));
    HN_TRY_ALLOC(e->gradient = hn_alloc(e->rows, sizeof *e->gradient));
    HN_TRY_ALLOC(e->trail = hn_alloc(ways, sizeof *e->trail));
    HN_TRY_ALLOC(e->pick = hn_alloc(e->items, sizeof *e->pick));
    HN_TRY_ALLOC(e->best_choice = hn_alloc(e->items, sizeof *e->best_choice));
out:
    return rc;
}

static void add_open(exact *e, size_t k, size_t *at, double gap)
{
    const hn_search *search = e->search;

    e->item[*at] = search->pool[k];
    e->first[(*at)++] = e->ways;
    for (size_t w = search->first_way[k]; w < search->first_way[k + 1]; w++) {
        const hn_way *way = &search->ways[w];

        if (way->regret > gap)
            continue;
        e->alternative[e->ways] = way->alternative;
        e->value[e->ways] = way->value;
        e->first_use[e->ways + 1] = e->first_use[e->ways];
        if (way->alternative >= 0)
            e->first_use[e->ways + 1] +=
                hn_model_uses(e->model, search->pool[k], (size_t)way->alternative,
                              e->uses + e->first_use[e->ways]);
        e->ways++;
    }
    e->first[*at] = e->ways;
}

/* Others are fixed at their best way; their uses leave the rooms. Returns their value. */
static double fix_others(exact *e, double gap)
{
    const hn_search *search = e->search;
    const hn_model *model = e->model;
    hn_choice_use uses[HN_CHOICE_ROWS_MAX];
    size_t at = 0;
    double fixed = 0;

    memcpy(e->room, model->limit, e->rows * sizeof *e->room);
    for (size_t k = 0; k < search->pool_count; k++) {
        const hn_way *best = &search->ways[search->first_way[k]];

        if (open_ways(search, k, gap) > 1) {
            add_open(e, k, &at, gap);
            continue;
        }
        search->choice[search->pool[k]] = best->alternative;
        fixed += best->value;
        if (best->alternative < 0)
            continue;
        for (size_t u = 0,
                    n = hn_model_uses(model, search->pool[k], (size_t)best->alternative, uses);
             u < n; u++)
            e->room[uses[u].row] -= uses[u].amount;
    }
    return fixed;
}

static double floored(const exact *e, double bound)
{
    const double step = e->model->step;

    return step > 0 ? floor(bound / step + 1e-6) * step : bound;
}

static int no_better(const exact *e, double bound)
{
    return floored(e, bound) <= e->best + 1e-10 * fabs(e->best);
}

/* Bound at these prices, with its subgradient; `pick` is the choice that it stands on. */
static double price_node(exact *e, const double *row, double fixed)
{
    const hn_model *model = e->model;
    double bound = fixed;

    for (size_t r = 0; r < e->rows; r++) {
        const int32_t to = model->carry_to[r];

        bound += row[r] * e->room[r];
        e->gradient[r] = e->room[r];
        if (to >= 0)
            bound += model->carry_limit[r] * fmax(0.0, row[to] - row[r]);
    }
    for (size_t i = 0; i < e->items; i++) {
        size_t best = SIZE_MAX;

        for (size_t w = e->first[i]; w < e->first[i + 1]; w++) {
            double sum = e->value[w];

            if (e->off[w])
                continue;
            for (size_t u = e->first_use[w]; u < e->first_use[w + 1]; u++)
                sum -= row[e->uses[u].row] * e->uses[u].amount;
            e->reduced[w] = sum;
            if (best == SIZE_MAX || sum > e->reduced[best])
                best = w;
        }
        if (best == SIZE_MAX)
            return -INFINITY;
        e->pick[i] = best;
        bound += e->reduced[best];
        for (size_t u = e->first_use[best]; u < e->first_use[best + 1]; u++)
            e->gradient[e->uses[u].row] -= e->uses[u].amount;
    }
    return bound;
}

/* The choice the bound stands on may itself keep every limit. `gradient` is still what is
 * left of each row without carrying. */
static void keep_pick(exact *e, double fixed)
{
    const hn_model *model = e->model;
    double carried[HN_CHOICE_ROWS_MAX], value = fixed;

    for (size_t n = 0; n < e->rows; n++) {
        const uint32_t r = model->order[n];
        double left = e->gradient[r];

        if (model->carry_from[r] >= 0)
            left += carried[model->carry_from[r]];
        if (left < -1e-9 * model->size[r])
            return;
        carried[r] = fmin(model->carry_limit[r], fmax(0.0, left));
    }
    for (size_t i = 0; i < e->items; i++)
        value += e->value[e->pick[i]];
    if (e->found && !(value > e->best + 1e-12 * fabs(e->best)))
        return;
    if (!e->found && value < e->best)
        return;
    e->best = value;
    e->found = 1;
    for (size_t i = 0; i < e->items; i++)
        e->best_choice[i] = e->alternative[e->pick[i]];
}

static void descend_prices(exact *e, double *row, double target, double bound)
{
    const hn_model *model = e->model;
    double norm = 0, length;

    for (size_t r = 0; r < e->rows; r++) {
        const int32_t to = model->carry_to[r];

        if (to >= 0 && row[to] > row[r]) {
            e->gradient[to] += model->carry_limit[r];
            e->gradient[r] -= model->carry_limit[r];
        }
    }
    for (size_t r = 0; r < e->rows; r++)
        if (row[r] > 0 || e->gradient[r] < 0)
            norm += e->gradient[r] * e->gradient[r] / (model->size[r] * model->size[r]);
    if (!(norm > 0))
        return;
    length = (bound - target) / norm;
    for (size_t r = 0; r < e->rows; r++)
        row[r] = fmax(0.0, row[r] - length * e->gradient[r] / (model->size[r] * model->size[r]));
}

/* Best bound of the node; its prices are left in `row`. */
static double bound_node(exact *e, double *row, double *trial, double fixed, int steps)
{
    double best = INFINITY, damp = 1;

    memcpy(trial, row, e->rows * sizeof *trial);
    for (int k = 0; k < steps; k++) {
        const double bound = price_node(e, trial, fixed);
        const double floor_value = isfinite(e->best) ? e->best : bound - fabs(bound) * 0.05 - 1;

        if (bound == -INFINITY)
            return bound;
        keep_pick(e, fixed);
        if (bound < best) {
            best = bound;
            memcpy(row, trial, e->rows * sizeof *row);
        } else {
            damp *= 0.8;
        }
        if (no_better(e, best))
            return best;
        descend_prices(e, trial, bound - damp * (bound - floor_value), bound);
    }
    return best;
}

static void put_off(exact *e, size_t w)
{
    e->off[w] = 1;
    e->trail[e->trail_count++] = w;
}

static void put_back(exact *e, size_t count)
{
    while (e->trail_count > count)
        e->off[e->trail[--e->trail_count]] = 0;
}

static void close_ways(exact *e, double bound)
{
    for (size_t i = 0; i < e->items; i++)
        for (size_t w = e->first[i]; w < e->first[i + 1]; w++)
            if (!e->off[w] && w != e->pick[i] &&
                no_better(e, bound - (e->reduced[e->pick[i]] - e->reduced[w])))
                put_off(e, w);
}

/* The item whose two best ways lie nearest; items when all are settled. */
static size_t pick_item(const exact *e)
{
    size_t best = e->items;
    double least = INFINITY;

    for (size_t i = 0; i < e->items; i++) {
        double second = -INFINITY;

        for (size_t w = e->first[i]; w < e->first[i + 1]; w++)
            if (!e->off[w] && w != e->pick[i])
                second = fmax(second, e->reduced[w]);
        if (e->reduced[e->pick[i]] - second < least) {
            least = e->reduced[e->pick[i]] - second;
            best = i;
        }
    }
    return best;
}

static size_t next_way(const exact *e, size_t i, const double *row)
{
    size_t best = SIZE_MAX;
    double top = -INFINITY;

    for (size_t w = e->first[i]; w < e->first[i + 1]; w++) {
        double sum = e->value[w];

        if (e->off[w])
            continue;
        for (size_t u = e->first_use[w]; u < e->first_use[w + 1]; u++)
            sum -= row[e->uses[u].row] * e->uses[u].amount;
        if (best == SIZE_MAX || sum > top) {
            best = w;
            top = sum;
        }
    }
    return best;
}

/* Least use of row r by item i on this branch. */
static double least_use(const exact *e, size_t i, uint32_t r)
{
    double least = INFINITY;

    for (size_t w = e->first[i]; w < e->first[i + 1]; w++) {
        double use = 0;

        if (e->off[w])
            continue;
        for (size_t u = e->first_use[w]; u < e->first_use[w + 1]; u++)
            use += e->uses[u].row == r ? e->uses[u].amount : 0.0;
        least = fmin(least, use);
    }
    return least;
}

/* Puts off ways that no row has room for, whatever the others take; 0 when an item is left
 * without any. */
static int fit_rooms(exact *e)
{
    for (uint32_t r = 0; r < e->rows; r++) {
        const int32_t from = e->model->carry_from[r];
        double left =
            e->room[r] + 1e-9 * e->model->size[r] + (from < 0 ? 0.0 : e->model->carry_limit[from]);

        for (size_t i = 0; i < e->items; i++)
            left -= least_use(e, i, r);
        if (!(left >= 0))
            return 0;
        for (size_t i = 0; i < e->items; i++) {
            const double least = least_use(e, i, r);

            for (size_t w = e->first[i]; w < e->first[i + 1]; w++)
                for (size_t u = e->first_use[w]; !e->off[w] && u < e->first_use[w + 1]; u++)
                    if (e->uses[u].row == r && e->uses[u].amount - least > left)
                        put_off(e, w);
        }
    }
    return 1;
}

static void branch(exact *e, size_t depth, double fixed, int steps)
{
    double *row = e->stack + (depth + 1) * e->rows, *trial = e->stack + (e->items + 1) * e->rows;
    const size_t mark = e->trail_count;
    double bound;
    size_t item, way;

    if (e->nodes++ >= e->cap)
        return;
    memcpy(row, e->stack + depth * e->rows, e->rows * sizeof *row);
    if (!fit_rooms(e)) {
        put_back(e, mark);
        return;
    }
    bound = bound_node(e, row, trial, fixed, steps);
    if (depth == 0)
        e->root = bound;
    if (bound == -INFINITY || no_better(e, bound)) {
        put_back(e, mark);
        return;
    }
    bound = fmin(bound, price_node(e, row, fixed));
    close_ways(e, bound);
    item = pick_item(e);
    if (item == e->items) { /* nothing open: the pick is the leaf, and was looked at */
        put_back(e, mark);
        return;
    }
    while (e->nodes < e->cap && (way = next_way(e, item, row)) != SIZE_MAX) {
        const size_t inner = e->trail_count;

        for (size_t w = e->first[item]; w < e->first[item + 1]; w++)
            if (!e->off[w] && w != way)
                put_off(e, w);
        if (depth + 1 < e->items)
            branch(e, depth + 1, fixed, STEPS_NODE);
        else {
            price_node(e, row, fixed);
            keep_pick(e, fixed);
        }
        put_back(e, inner);
        put_off(e, way);
    }
    put_back(e, mark);
}

static void store(exact *e)
{
    for (size_t i = 0; i < e->items; i++)
        e->search->choice[e->item[i]] = e->best_choice[i];
    hn_search_recount(e->search);
}

static int count_open(const hn_search *search, double gap, size_t *items, size_t *ways)
{
    *items = *ways = 0;
    for (size_t k = 0; k < search->pool_count; k++) {
        const size_t count = open_ways(search, k, gap);

        *items += count > 1;
        *ways += count > 1 ? count : 0;
    }
    return *items <= OPEN_MOST && *ways <= WAYS_MOST;
}

hn_status hn_search_exact(hn_search *search, size_t node_cap, double *bound, size_t *open_items,
                          int *complete, hn_dual *dual, hn_error *err)
{
    exact e = {.search = search, .model = search->model, .rows = search->model->rows};
    const int known = search->excess <= 0;
    const double gap = known ? (dual->best - search->value) * (1 + 1e-9) : INFINITY;
    size_t ways;
    hn_status rc = HN_OK;
    double fixed;

    *complete = 0;
    if (!count_open(search, gap, &e.items, &ways) || search->pool_count < e.model->items ||
        e.items == 0) {
        *open_items = e.items;
        return HN_OK;
    }
    *open_items = e.items;
    HN_TRY(new_exact(&e, ways, err));
    e.cap = node_cap;
    e.best = known ? search->value : -INFINITY;
    e.root = dual->best;
    fixed = fix_others(&e, gap);
    memcpy(e.stack, dual->best_row, e.rows * sizeof *e.stack);
    branch(&e, 0, fixed, STEPS_ROOT);
    search->nodes += e.nodes;
    *complete = e.nodes < e.cap;
    if (e.found)
        store(&e);
    else
        hn_search_recount(search);
    if (search->excess <= 0)
        *bound = *complete ? search->value : fmin(*bound, fmax(e.root, search->value));
out:
    clear_exact(&e);
    return rc;
}
