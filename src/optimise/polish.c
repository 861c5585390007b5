/* optimise/polish.c - the decisive step: some thirty items near a tie, those that can move
 * among one, two or three years, are searched through while all else stays.
 *
 * Source: local method. For any choice x and prices y,
 *     L(y) - value(x) = regret of all items + priced slack of all rows,
 * so a branch is left when its regret and the slack it cannot fill are no better than what
 * the block has now.
 */
#include <math.h>
#include <string.h>

#include "base/alloc.h"
#include "optimise/search.h"

enum { BLOCK_ITEMS = 30, BLOCK_WAYS = 10, BLOCK_USES = 64 };

typedef struct block_way {
    int32_t alternative;
    double regret, value;
    uint32_t first_use, uses;
} block_way;

typedef struct block {
    hn_search *search;
    size_t items, first[BLOCK_ITEMS + 1];
    uint32_t item[BLOCK_ITEMS];
    block_way *ways;
    hn_choice_use *uses; /* rows are places in row[] */
    uint32_t *row;       /* rows touched */
    int32_t *place;      /* [model rows] place in row[], -1 */
    size_t rows;
    double *least, *most; /* [items + 1][rows] of the items from here on */
    double least_regret[BLOCK_ITEMS + 1];
    double *room, *keep; /* [rows] for the block; what carrying may take of the slack */
    double *level;       /* [rows] used so far */
    int32_t now[BLOCK_ITEMS], best[BLOCK_ITEMS];
    double best_value, target; /* value of the block to beat, regret + slack to stay under */
    size_t nodes, cap;
} block;

static void clear_block(block *b)
{
    hn_free(b->ways);
    hn_free(b->uses);
    hn_free(b->row);
    hn_free(b->place);
    hn_free(b->least);
    hn_free(b->room);
}

static hn_status new_block(block *b, hn_search *search, hn_error *err)
{
    const size_t rows = search->model->rows;
    const size_t uses = search->model->use_width;
    hn_status rc = HN_OK;

    *b = (block){.search = search};
    HN_TRY_ALLOC(b->ways = hn_alloc(BLOCK_ITEMS * BLOCK_WAYS, sizeof *b->ways));
    HN_TRY_ALLOC(b->uses = hn_alloc(BLOCK_ITEMS * BLOCK_WAYS * (uses + 1), sizeof *b->uses));
    HN_TRY_ALLOC(b->row = hn_alloc(rows, sizeof *b->row));
    HN_TRY_ALLOC(b->place = hn_alloc(rows, sizeof *b->place));
    HN_TRY_ALLOC(b->least = hn_alloc(2 * (BLOCK_ITEMS + 1), rows * sizeof *b->least));
    HN_TRY_ALLOC(b->room = hn_alloc(3 * rows, sizeof *b->room));
    b->most = b->least + (BLOCK_ITEMS + 1) * rows;
    b->keep = b->room + rows;
    b->level = b->keep + rows;
out:
    if (rc != HN_OK)
        clear_block(b);
    return rc;
}

static int in_years(const hn_model *model, int32_t alternative, uint64_t years)
{
    if (alternative < 0 || !model->table)
        return 1;
    return (int)(years >> (size_t)alternative % model->table->years & 1);
}

/* Takes item k with its least-regret ways among these years, its present one in any case. */
static void add_item(block *b, size_t k, uint64_t years, double limit)
{
    const hn_search *search = b->search;
    const uint32_t item = search->pool[k];
    const size_t begin = b->items ? b->first[b->items] : 0;
    size_t at = begin;
    int own = 0;

    if (!in_years(search->model, search->choice[item], years))
        return;
    for (size_t w = search->first_way[k]; w < search->first_way[k + 1]; w++) {
        const hn_way *way = &search->ways[w];
        const int is_own = way->alternative == search->choice[item];

        if (!in_years(search->model, way->alternative, years))
            continue;
        if (!is_own && (way->regret >= limit || at - begin + !own >= BLOCK_WAYS))
            continue;
        own |= is_own;
        b->ways[at++] = (block_way){way->alternative, way->regret, way->value, 0, 0};
    }
    if (!own || at - begin < 2)
        return;
    b->item[b->items] = item;
    b->first[b->items++] = begin;
    b->first[b->items] = at;
}

static void list_uses(block *b)
{
    const hn_model *model = b->search->model;
    uint32_t total = 0;

    b->rows = 0;
    for (size_t r = 0; r < model->rows; r++)
        b->place[r] = -1;
    for (size_t i = 0; i < b->items; i++)
        for (size_t w = b->first[i]; w < b->first[i + 1]; w++) {
            block_way *way = &b->ways[w];

            way->first_use = total;
            way->uses = way->alternative < 0
                            ? 0
                            : (uint32_t)hn_model_uses(model, b->item[i], (size_t)way->alternative,
                                                      b->uses + total);
            for (uint32_t u = total; u < total + way->uses; u++) {
                const uint32_t r = b->uses[u].row;

                if (b->place[r] < 0) {
                    b->place[r] = (int32_t)b->rows;
                    b->row[b->rows++] = r;
                }
                b->uses[u].row = (uint32_t)b->place[r];
            }
            total += way->uses;
        }
}

/* Least and most use, and least regret, of the items from each depth on. */
static void sum_rest(block *b)
{
    const size_t rows = b->rows;

    b->least_regret[b->items] = 0;
    for (size_t r = 0; r < rows; r++)
        b->least[b->items * rows + r] = b->most[b->items * rows + r] = 0;
    for (size_t i = b->items; i-- > 0;) {
        double regret = INFINITY;

        for (size_t w = b->first[i]; w < b->first[i + 1]; w++)
            regret = fmin(regret, b->ways[w].regret);
        b->least_regret[i] = b->least_regret[i + 1] + regret;
        for (size_t r = 0; r < rows; r++) {
            double least = INFINITY, most = -INFINITY;

            for (size_t w = b->first[i]; w < b->first[i + 1]; w++) {
                double use = 0;

                for (uint32_t u = 0; u < b->ways[w].uses; u++)
                    if (b->uses[b->ways[w].first_use + u].row == r)
                        use = b->uses[b->ways[w].first_use + u].amount;
                least = fmin(least, use);
                most = fmax(most, use);
            }
            b->least[i * rows + r] = b->least[(i + 1) * rows + r] + least;
            b->most[i * rows + r] = b->most[(i + 1) * rows + r] + most;
        }
    }
}

/* What the block may use of each row, and the regret and priced slack it has now. */
static void set_rooms(block *b)
{
    hn_search *search = b->search;
    const hn_model *model = search->model;
    double most[HN_CHOICE_ROWS_MAX];

    hn_row_most(model, most);
    b->best_value = 0;
    b->target = hn_search_priced_slack(search);
    for (size_t p = 0; p < b->rows; p++) {
        const uint32_t r = b->row[p];
        const int32_t from = model->carry_from[r];

        b->level[p] = search->used[r];
        b->room[p] =
            model->limit[r] + (from < 0 ? 0.0 : model->carry_limit[from]) + 1e-9 * model->size[r];
        b->keep[p] = model->carry_limit[r];
    }
    for (size_t i = 0; i < b->items; i++)
        for (size_t w = b->first[i]; w < b->first[i + 1]; w++) {
            const block_way *way = &b->ways[w];

            if (way->alternative != search->choice[b->item[i]])
                continue;
            b->target += way->regret;
            b->best_value += way->value;
            for (uint32_t u = 0; u < way->uses; u++)
                b->level[b->uses[way->first_use + u].row] -= b->uses[way->first_use + u].amount;
        }
    if (model->has_carry) /* what earlier money waits for is not known: no slack is priced out */
        b->target = fmax(b->target, 0);
}

static void keep_leaf(block *b, double value)
{
    hn_search *search = b->search;
    int fits;

    if (!(value > b->best_value + 1e-12 * search->model->value_scale))
        return;
    for (size_t i = 0; i < b->items; i++)
        hn_search_try(search, b->item[i], search->choice[b->item[i]],
                      b->ways[b->now[i]].alternative);
    fits = hn_search_fits(search);
    if (fits) {
        b->target -= value - b->best_value;
        b->best_value = value;
        memcpy(b->best, b->now, sizeof b->best);
    }
    hn_search_drop(search);
}

static int hopeless(const block *b, size_t depth, double regret)
{
    const double *price = b->search->prices->row;
    double sum = regret + b->least_regret[depth];

    if (sum >= b->target)
        return 1;
    for (size_t p = 0; p < b->rows; p++) {
        const double *least = b->least + depth * b->rows, *most = b->most + depth * b->rows;
        const uint32_t r = b->row[p];
        double left;

        if (b->level[p] + least[p] > b->room[p])
            return 1;
        left = b->search->model->limit[r] - b->level[p] - most[p] - b->keep[p];
        if (left > 0)
            sum += price[r] * left;
    }
    return sum >= b->target;
}

static void descend(block *b, size_t depth, double regret, double value)
{
    if (b->nodes >= b->cap)
        return;
    b->nodes++;
    if (hopeless(b, depth, regret))
        return;
    if (depth == b->items) {
        keep_leaf(b, value);
        return;
    }
    for (size_t w = b->first[depth]; w < b->first[depth + 1]; w++) {
        const block_way *way = &b->ways[w];
        const hn_choice_use *uses = b->uses + way->first_use;

        for (uint32_t u = 0; u < way->uses; u++)
            b->level[uses[u].row] += uses[u].amount;
        b->now[depth] = (int32_t)w;
        descend(b, depth + 1, regret + way->regret, value + way->value);
        for (uint32_t u = 0; u < way->uses; u++)
            b->level[uses[u].row] -= uses[u].amount;
    }
}

static void search_block(block *b, uint64_t years, size_t most, size_t skip, size_t stride)
{
    hn_search *search = b->search;
    const double limit = fmax(search->bound - search->value, 0);

    b->items = 0;
    for (size_t k = skip; k < search->pool_count && b->items < most; k += stride)
        add_item(b, k, years, limit);
    if (b->items < 2)
        return;
    list_uses(b);
    sum_rest(b);
    set_rooms(b);
    b->nodes = 0;
    for (size_t i = 0; i < b->items; i++)
        b->best[i] = -1;
    descend(b, 0, 0, 0);
    search->nodes += b->nodes;
    for (size_t i = 0; i < b->items && b->best[0] >= 0; i++)
        if (b->ways[b->best[i]].alternative != search->choice[b->item[i]])
            hn_search_take(search, b->item[i], b->ways[b->best[i]].alternative);
}

static int near_enough(const hn_search *search, double goal)
{
    return search->bound - search->value <= goal * fabs(search->bound);
}

/* Every year, every pair, every three that follow each other; a list has one block. */
static void search_all(block *b, double goal)
{
    const hn_model *model = b->search->model;
    const size_t years = model->table ? model->table->years : 1;

    if (!model->table) {
        search_block(b, 1, BLOCK_ITEMS, 0, 1);
        for (size_t stride = 2; stride <= 4; stride++)
            for (size_t skip = 0; skip < stride; skip++)
                search_block(b, 1, BLOCK_ITEMS, skip, stride);
        return;
    }
    for (size_t t = 0; t < years && !near_enough(b->search, goal); t++)
        search_block(b, (uint64_t)1 << t, BLOCK_ITEMS, 0, 1);
    for (size_t d = 1; d < years; d++)
        for (size_t t = 0; t + d < years && !near_enough(b->search, goal); t++)
            search_block(b, (uint64_t)1 << t | (uint64_t)1 << (t + d), 26, 0, 1);
    for (size_t t = 0; t + 2 < years && !near_enough(b->search, goal); t++)
        search_block(b, (uint64_t)7 << t, 24, 0, 1);
}

hn_status hn_search_polish(hn_search *search, size_t node_cap, double goal, hn_error *err)
{
    block b;
    hn_status rc = new_block(&b, search, err);

    if (rc != HN_OK)
        return rc;
    b.cap = node_cap;
    for (int round = 0; round < 6 && !near_enough(search, goal); round++) {
        const double before = search->bound - search->value;

        search_all(&b, goal);
        if (before - (search->bound - search->value) <= 0.02 * before)
            break;
    }
    clear_block(&b);
    return rc;
}
