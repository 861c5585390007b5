/* optimise/repair.c - single and double switches: first until every limit is kept, then for
 * more value. Switches are tried in order of what they cost at the prices.
 *
 * Source: common practice for Lagrangian heuristics, no source; the counts are local rules.
 */
#include <math.h>
#include <string.h>

#include "base/alloc.h"
#include "base/radix.h"
#include "optimise/search.h"

enum { REPAIR_ROUNDS = 60, FILL_ROUNDS = 8 };

typedef struct move {
    uint32_t k;   /* place in the pool */
    uint32_t way; /* index into ways */
} move;

typedef struct move_list {
    hn_keyed *keys;
    move *moves;
    size_t count, capacity_keys, capacity_moves;
} move_list;

static void clear_moves(move_list *list)
{
    hn_free(list->keys);
    hn_free(list->moves);
    *list = (move_list){0};
}

static int add_move(move_list *list, double key, size_t k, size_t way)
{
    void *keys = list->keys, *moves = list->moves;
    int room = hn_grow(&keys, list->count, &list->capacity_keys, sizeof *list->keys);

    list->keys = keys;
    room = room && hn_grow(&moves, list->count, &list->capacity_moves, sizeof *list->moves);
    list->moves = moves;
    if (!room)
        return 0;
    list->keys[list->count] = hn_keyed_of(hn_key_of_double(key), (uint32_t)list->count);
    list->moves[list->count++] = (move){(uint32_t)k, (uint32_t)way};
    return 1;
}

/* Excess that the trial takes away, or -1 when it adds some. */
static double relief(hn_search *search, size_t item, int32_t from, int32_t to)
{
    double after;

    hn_search_try(search, item, from, to);
    after = hn_search_excess(search);
    hn_search_drop(search);
    return search->excess - after;
}

static hn_status list_repairs(hn_search *search, move_list *list, hn_error *err)
{
    for (size_t k = 0; k < search->pool_count; k++) {
        const size_t item = search->pool[k];
        const double now = hn_way_regret(search, k, search->choice[item]);

        for (size_t w = search->first_way[k]; w < search->first_way[k + 1]; w++) {
            const hn_way *way = &search->ways[w];
            double gain;

            if (way->alternative == search->choice[item])
                continue;
            gain = relief(search, item, search->choice[item], way->alternative);
            if (gain > 1e-12 &&
                !add_move(list, fmax(way->regret - (isfinite(now) ? now : 0), 0) / gain, k, w))
                return hn_fail(err, HN_ERR_MEMORY, "out of memory");
        }
    }
    if (!hn_radix_sort(list->keys, list->count))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    return HN_OK;
}

hn_status hn_search_repair(hn_search *search, hn_error *err)
{
    hn_status rc = HN_OK;

    for (int round = 0; round < REPAIR_ROUNDS && search->excess > 0; round++) {
        move_list list = {0};
        size_t taken = 0;

        rc = list_repairs(search, &list, err);
        for (size_t n = 0; rc == HN_OK && n < list.count && search->excess > 0; n++) {
            const move *m = &list.moves[list.keys[n].value];
            const size_t item = search->pool[m->k];
            const int32_t to = search->ways[m->way].alternative;

            if (relief(search, item, search->choice[item], to) > 1e-12) {
                hn_search_take(search, item, to);
                taken++;
            }
        }
        clear_moves(&list);
        if (rc != HN_OK || taken == 0)
            break;
    }
    return rc;
}

static int better_fit(hn_search *search, size_t item, const hn_way *way)
{
    const int32_t from = search->choice[item];
    int fits;

    hn_search_try(search, item, from, way->alternative);
    fits = hn_search_fits(search);
    hn_search_drop(search);
    return fits;
}

static double value_now(const hn_search *search, size_t item)
{
    const int32_t a = search->choice[item];

    return a < 0 ? 0.0 : hn_model_value(search->model, item, (size_t)a);
}

static hn_status list_gains(hn_search *search, move_list *list, hn_error *err)
{
    for (size_t k = 0; k < search->pool_count; k++) {
        const size_t item = search->pool[k];
        const double now = value_now(search, item);

        for (size_t w = search->first_way[k]; w < search->first_way[k + 1]; w++)
            if (search->ways[w].value > now && better_fit(search, item, &search->ways[w]) &&
                !add_move(list, search->ways[w].regret, k, w))
                return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    }
    if (!hn_radix_sort(list->keys, list->count))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    return HN_OK;
}

hn_status hn_search_fill(hn_search *search, hn_error *err)
{
    hn_status rc = HN_OK;

    for (int round = 0; round < FILL_ROUNDS && search->excess <= 0; round++) {
        move_list list = {0};
        size_t taken = 0;

        rc = list_gains(search, &list, err);
        for (size_t n = 0; rc == HN_OK && n < list.count; n++) {
            const move *m = &list.moves[list.keys[n].value];
            const size_t item = search->pool[m->k];

            if (search->ways[m->way].value > value_now(search, item) &&
                better_fit(search, item, &search->ways[m->way])) {
                hn_search_take(search, item, search->ways[m->way].alternative);
                taken++;
            }
        }
        clear_moves(&list);
        if (rc != HN_OK || taken == 0)
            break;
    }
    return rc;
}

static hn_status list_near(hn_search *search, move_list *list, hn_error *err)
{
    for (size_t k = 0; k < search->pool_count; k++) {
        const size_t item = search->pool[k];
        const double now = hn_way_regret(search, k, search->choice[item]);

        for (size_t w = search->first_way[k]; w < search->first_way[k + 1]; w++)
            if (search->ways[w].alternative != search->choice[item] &&
                !add_move(list, search->ways[w].regret - now, k, w))
                return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    }
    if (!hn_radix_sort(list->keys, list->count))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    return HN_OK;
}

/* The best partner of one switch, if together they fit and gain. */
static int best_partner(hn_search *search, const move_list *list, size_t n, size_t width)
{
    const move *m = &list->moves[list->keys[n].value];
    const size_t item = search->pool[m->k];
    const int32_t from = search->choice[item], to = search->ways[m->way].alternative;
    const double own = search->ways[m->way].value - value_now(search, item);
    double best = 1e-9 * search->model->value_scale;
    size_t partner = list->count;

    for (size_t p = n + 1; p < list->count && p < width; p++) {
        const move *q = &list->moves[list->keys[p].value];
        const size_t other = search->pool[q->k];
        const double gain = own + search->ways[q->way].value - value_now(search, other);

        if (q->k == m->k || !(gain > best))
            continue;
        hn_search_try(search, item, from, to);
        hn_search_try(search, other, search->choice[other], search->ways[q->way].alternative);
        if (hn_search_fits(search)) {
            best = gain;
            partner = p;
        }
        hn_search_drop(search);
    }
    if (partner == list->count)
        return 0;
    m = &list->moves[list->keys[partner].value];
    hn_search_take(search, item, to);
    hn_search_take(search, search->pool[m->k], search->ways[m->way].alternative);
    return 1;
}

hn_status hn_search_exchange(hn_search *search, size_t width, hn_error *err)
{
    hn_status rc = HN_OK;

    for (int round = 0; round < FILL_ROUNDS && search->excess <= 0; round++) {
        move_list list = {0};
        size_t taken = 0;

        rc = list_near(search, &list, err);
        for (size_t n = 0; rc == HN_OK && n < list.count && n < width; n++)
            taken += (size_t)best_partner(search, &list, n, width);
        clear_moves(&list);
        if (rc == HN_OK && taken > 0)
            rc = hn_search_fill(search, err);
        if (rc != HN_OK || taken == 0)
            break;
    }
    return rc;
}
