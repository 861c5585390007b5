/* optimise/search.c - the choice in work and moves on trial. */
#include "optimise/search.h"

#include <math.h>
#include <string.h>

#include "base/alloc.h"
#include "base/radix.h"

static const double ROOM = 1e-9; /* relative: sums of a million amounts round */

static int beyond(const hn_search *search, uint32_t r, double slack)
{
    return slack < -ROOM * search->model->size[r];
}

static double spread_of(const hn_search *search, size_t item, double *reduced)
{
    const size_t width = hn_model_reduced(search->model, search->prices, item, reduced);
    double best = search->model->must[item] ? -INFINITY : 0.0, second = -INFINITY;

    for (size_t a = 0; a < width; a++) {
        if (reduced[a] > best) {
            second = best;
            best = reduced[a];
        } else if (reduced[a] > second) {
            second = reduced[a];
        }
    }
    return best - second;
}

/* The pool_most items nearest a tie, by (spread, item). Spreads are told to three bits less
 * than a double in the key's high half so that two passes over the items do. */
static hn_status pick_pool(hn_search *search, size_t most, hn_error *err)
{
    const size_t items = search->model->items;
    double reduced[HN_CHOICE_WIDTH_MAX];
    hn_keyed *keyed = hn_alloc(items, sizeof *keyed);

    if (!keyed)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < items; i++)
        keyed[i] = hn_keyed_of(hn_key_of_double(spread_of(search, i, reduced)), (uint32_t)i);
    if (!hn_radix_sort(keyed, items)) {
        hn_free(keyed);
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    }
    search->pool_count = items < most ? items : most;
    search->pool = hn_alloc(search->pool_count, sizeof *search->pool);
    for (size_t k = 0; search->pool && k < search->pool_count; k++)
        search->pool[k] = keyed[k].value;
    hn_free(keyed);
    return search->pool ? HN_OK : hn_fail(err, HN_ERR_MEMORY, "out of memory");
}

static void sort_ways(hn_way *ways, size_t count)
{
    for (size_t k = 1; k < count; k++) {
        const hn_way way = ways[k];
        size_t at = k;

        for (; at > 0 &&
               (ways[at - 1].regret > way.regret ||
                (ways[at - 1].regret == way.regret && ways[at - 1].alternative > way.alternative));
             at--)
            ways[at] = ways[at - 1];
        ways[at] = way;
    }
}

static hn_status list_ways(hn_search *search, hn_error *err)
{
    const hn_model *model = search->model;
    double reduced[HN_CHOICE_WIDTH_MAX];
    size_t total = 0;
    hn_status rc = HN_OK;

    for (size_t k = 0; k < search->pool_count; k++)
        total += hn_model_width(model, search->pool[k]) + 1;
    HN_TRY_ALLOC(search->ways = hn_alloc(total, sizeof *search->ways));
    HN_TRY_ALLOC(search->first_way = hn_alloc(search->pool_count + 1, sizeof *search->first_way));
    total = 0;
    for (size_t k = 0; k < search->pool_count; k++) {
        const size_t item = search->pool[k];
        const size_t width = hn_model_reduced(model, search->prices, item, reduced);
        double best = model->must[item] ? -INFINITY : 0.0;

        search->first_way[k] = total;
        for (size_t a = 0; a < width; a++)
            best = fmax(best, reduced[a]);
        if (!model->must[item])
            search->ways[total++] = (hn_way){HN_CHOICE_NEVER, best, 0.0};
        for (size_t a = 0; a < width; a++)
            if (reduced[a] > -INFINITY)
                search->ways[total++] =
                    (hn_way){(int32_t)a, best - reduced[a], hn_model_value(model, item, a)};
        sort_ways(search->ways + search->first_way[k], total - search->first_way[k]);
    }
    search->first_way[search->pool_count] = total;
out:
    return rc;
}

static void round_choice(hn_search *search)
{
    double reduced[HN_CHOICE_WIDTH_MAX];

    for (size_t i = 0; i < search->model->items; i++) {
        const size_t width = hn_model_reduced(search->model, search->prices, i, reduced);
        double best = search->model->must[i] ? -INFINITY : 0.0;

        search->choice[i] = HN_CHOICE_NEVER;
        for (size_t a = 0; a < width; a++)
            if (reduced[a] > best) {
                best = reduced[a];
                search->choice[i] = (int32_t)a;
            }
    }
}

hn_status hn_search_new(hn_search *search, const hn_model *model, const hn_row_prices *prices,
                        size_t pool_most, hn_error *err)
{
    hn_status rc = HN_OK;

    *search = (hn_search){.model = model, .prices = prices};
    HN_TRY_ALLOC(search->choice = hn_alloc(model->items, sizeof *search->choice));
    HN_TRY_ALLOC(search->used = hn_alloc(model->rows, sizeof *search->used));
    HN_TRY_ALLOC(search->delta = hn_alloc(model->rows, sizeof *search->delta));
    HN_TRY_ALLOC(search->touched = hn_alloc(model->rows, sizeof *search->touched));
    round_choice(search);
    hn_search_recount(search);
    HN_TRY(pick_pool(search, pool_most, err));
    HN_TRY(list_ways(search, err));
out:
    if (rc != HN_OK)
        hn_search_clear(search);
    return rc;
}

void hn_search_clear(hn_search *search)
{
    hn_free(search->choice);
    hn_free(search->used);
    hn_free(search->pool);
    hn_free(search->first_way);
    hn_free(search->ways);
    hn_free(search->delta);
    hn_free(search->touched);
    *search = (hn_search){0};
}

/* Excess with the amounts of `used` and `delta`; `slack` gets what is left, if given. */
static double walk_rows(const hn_search *search, double *slack)
{
    const hn_model *model = search->model;
    double carried[HN_CHOICE_ROWS_MAX], excess = 0;

    for (size_t n = 0; n < model->rows; n++) {
        const uint32_t r = model->order[n];
        double left = model->limit[r] - search->used[r] - search->delta[r];

        if (model->carry_from[r] >= 0)
            left += carried[model->carry_from[r]];
        if (beyond(search, r, left))
            excess += -left / model->size[r];
        carried[r] = 0;
        if (model->carry_to[r] >= 0)
            carried[r] = fmin(model->carry_limit[r], fmax(0.0, left));
        if (slack)
            slack[r] = left - carried[r];
    }
    return excess;
}

double hn_search_excess(const hn_search *search)
{
    return walk_rows(search, NULL);
}

/* Only rows in trial are looked at; a chain is walked from its first touched row. */
int hn_search_fits(const hn_search *search)
{
    const hn_model *model = search->model;

    if (model->has_carry)
        return walk_rows(search, NULL) <= 0;
    for (size_t k = 0; k < search->touched_count; k++) {
        const uint32_t r = search->touched[k];

        if (beyond(search, r, model->limit[r] - search->used[r] - search->delta[r]))
            return 0;
    }
    return 1;
}

double hn_search_priced_slack(const hn_search *search)
{
    const hn_model *model = search->model;
    double slack[HN_CHOICE_ROWS_MAX], sum = 0;

    walk_rows(search, slack);
    for (size_t r = 0; r < model->rows; r++)
        sum += search->prices->row[r] * slack[r];
    return sum;
}

void hn_search_recount(hn_search *search)
{
    const hn_model *model = search->model;
    hn_choice_use uses[HN_CHOICE_ROWS_MAX];

    memset(search->used, 0, model->rows * sizeof *search->used);
    search->value = 0;
    for (size_t i = 0; i < model->items; i++) {
        if (search->choice[i] < 0)
            continue;
        search->value += hn_model_value(model, i, (size_t)search->choice[i]);
        for (size_t u = 0, n = hn_model_uses(model, i, (size_t)search->choice[i], uses); u < n; u++)
            search->used[uses[u].row] += uses[u].amount;
    }
    search->excess = hn_search_excess(search);
}

static void add_uses(hn_search *search, size_t item, int32_t alternative, double sign)
{
    hn_choice_use uses[HN_CHOICE_ROWS_MAX];

    if (alternative < 0)
        return;
    for (size_t u = 0, n = hn_model_uses(search->model, item, (size_t)alternative, uses); u < n;
         u++) {
        size_t k = 0;

        while (k < search->touched_count && search->touched[k] != uses[u].row)
            k++;
        if (k == search->touched_count)
            search->touched[search->touched_count++] = uses[u].row;
        search->delta[uses[u].row] += sign * uses[u].amount;
    }
}

void hn_search_try(hn_search *search, size_t item, int32_t from, int32_t to)
{
    add_uses(search, item, from, -1.0);
    add_uses(search, item, to, 1.0);
}

void hn_search_drop(hn_search *search)
{
    for (size_t k = 0; k < search->touched_count; k++)
        search->delta[search->touched[k]] = 0;
    search->touched_count = 0;
}

void hn_search_take(hn_search *search, size_t item, int32_t to)
{
    const int32_t from = search->choice[item];

    hn_search_drop(search);
    hn_search_try(search, item, from, to);
    for (size_t k = 0; k < search->touched_count; k++)
        search->used[search->touched[k]] += search->delta[search->touched[k]];
    hn_search_drop(search);
    search->value += to < 0 ? 0.0 : hn_model_value(search->model, item, (size_t)to);
    search->value -= from < 0 ? 0.0 : hn_model_value(search->model, item, (size_t)from);
    search->choice[item] = to;
    search->excess = hn_search_excess(search);
}

double hn_way_regret(const hn_search *search, size_t k, int32_t alternative)
{
    for (size_t w = search->first_way[k]; w < search->first_way[k + 1]; w++)
        if (search->ways[w].alternative == alternative)
            return search->ways[w].regret;
    return INFINITY;
}
