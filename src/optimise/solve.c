/* optimise/solve.c - the steps in order: what clashes, prices and bound, a choice rounded from
 * the prices, repaired, filled, exchanged, polished, and for what is small searched to the end.
 */
#include <math.h>
#include <string.h>

#include "base/alloc.h"
#include "optimise/clash.h"
#include "optimise/search.h"

enum { LARGE = 20000, PAIRS = 600, KICK_ITEMS = 2000 };

typedef struct solver {
    hn_model model;
    hn_dual dual;
    hn_search search;
    hn_choice_options options;
    hn_choice_result *out;
} solver;

/* Bounds are rounded down to a multiple of the common step of all values. */
static double rounded(const hn_model *model, double bound)
{
    if (model->step > 0 && fabs(bound / model->step) < 1e12)
        return floor(bound / model->step + 1e-6) * model->step;
    return bound;
}

static int ask(solver *s)
{
    const double value = s->search.excess > 0 ? NAN : s->search.value;

    if (s->options.progress && s->options.progress(s->options.context, value, s->out->bound))
        s->out->interrupted = 1;
    return s->out->interrupted;
}

static double goal_of(const solver *s)
{
    return s->options.gap_goal > 0 ? s->options.gap_goal : s->model.items > KICK_ITEMS ? 1e-5 : 0;
}

static int near_enough(const solver *s)
{
    return s->search.excess <= 0 && s->out->bound - s->search.value <=
                                        goal_of(s) * fabs(s->out->bound) + 1e-9 * s->model.step;
}

static hn_status prices(solver *s, hn_error *err)
{
    hn_status rc = hn_dual_new(&s->dual, &s->model, s->options.threads, err);

    if (rc != HN_OK)
        return rc;
    s->dual.progress = s->options.progress;
    s->dual.context = s->options.context;
    hn_dual_solve(&s->dual);
    s->out->bound = rounded(&s->model, s->dual.best);
    s->out->interrupted = s->dual.stop;
    hn_row_prices_set(&s->model, &s->dual.prices, s->dual.best_row);
    return HN_OK;
}

/* Moves a few items near a tie at random, mends and betters; keeps what is worth more. */
static hn_status one_kick(solver *s, uint64_t *seed, hn_error *err)
{
    hn_search *search = &s->search;
    const size_t near_tie = search->pool_count < 60 ? search->pool_count : 60;
    hn_status rc;

    for (int move = 0; move < 4 && near_tie > 0; move++) {
        size_t k, w;

        *seed = *seed * 6364136223846793005u + 1442695040888963407u;
        k = (size_t)(*seed >> 33) % near_tie;
        *seed = *seed * 6364136223846793005u + 1442695040888963407u;
        if (search->first_way[k + 1] == search->first_way[k])
            continue;
        w = search->first_way[k] +
            (size_t)(*seed >> 33) % (search->first_way[k + 1] - search->first_way[k]);
        hn_search_take(search, search->pool[k], search->ways[w].alternative);
    }
    HN_TRY(hn_search_repair(search, err));
    HN_TRY(hn_search_fill(search, err));
    HN_TRY(hn_search_exchange(search, PAIRS, err));
out:
    return rc;
}

/* Counted, and drawn from a fixed seed: the same for everybody. */
static hn_status kicks(solver *s, hn_error *err)
{
    const double effort = s->options.effort > 0 ? s->options.effort : 1;
    const int most = (int)((s->model.items <= 300 ? 150 : 20) * effort);
    int32_t *best = hn_alloc(s->model.items, sizeof *best);
    double value = s->search.value;
    uint64_t seed = 1;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(best);
    memcpy(best, s->search.choice, s->model.items * sizeof *best);
    for (int kick = 0; kick < most && !near_enough(s) && !ask(s); kick++) {
        HN_TRY(one_kick(s, &seed, err));
        if (s->search.excess <= 0 && s->search.value > value) {
            value = s->search.value;
            memcpy(best, s->search.choice, s->model.items * sizeof *best);
        } else {
            memcpy(s->search.choice, best, s->model.items * sizeof *best);
            hn_search_recount(&s->search);
        }
    }
    memcpy(s->search.choice, best, s->model.items * sizeof *best);
    hn_search_recount(&s->search);
out:
    hn_free(best);
    return rc;
}

static hn_status improve(solver *s, hn_error *err)
{
    const int large = s->model.items >= LARGE;
    const double effort = s->options.effort > 0 ? s->options.effort : 1;
    hn_status rc;

    HN_TRY(hn_search_fill(&s->search, err));
    if (near_enough(s) || ask(s))
        return rc;
    if (!large)
        HN_TRY(hn_search_exchange(&s->search, PAIRS, err));
    if (near_enough(s) || ask(s))
        return rc;
    HN_TRY(hn_search_polish(&s->search,
                            (size_t)((s->model.items <= KICK_ITEMS ? 60000 : 200000) * effort),
                            goal_of(s), err));
    if (s->model.items <= KICK_ITEMS)
        HN_TRY(kicks(s, err));
out:
    return rc;
}

static hn_status finish_small(solver *s, hn_error *err)
{
    const double effort = s->options.effort > 0 ? s->options.effort : 1;
    int complete = 0;
    hn_status rc;

    if (s->search.excess > 0 && s->model.items > KICK_ITEMS)
        return HN_OK;
    if (near_enough(s) || ask(s))
        return HN_OK;
    HN_TRY(hn_search_exact(&s->search, (size_t)(400000 * effort), &s->out->bound,
                           &s->out->open_items, &complete, &s->dual, err));
    s->out->bound = rounded(&s->model, s->out->bound);
    if (complete && s->search.excess > 0)
        s->out->state = HN_CHOICE_INFEASIBLE;
out:
    return rc;
}

static hn_status find_choice(solver *s, hn_error *err)
{
    const size_t years = s->model.table ? s->model.table->years : 20;
    const size_t most = s->model.items < LARGE ? s->model.items : (years > 15 ? 400 * years : 6000);
    hn_status rc;

    HN_TRY(hn_search_new(&s->search, &s->model, &s->dual.prices, most, err));
    s->search.bound = s->out->bound;
    HN_TRY(hn_search_repair(&s->search, err));
    if (s->search.excess > 0 && most < s->model.items) {
        hn_search_clear(&s->search);
        HN_TRY(hn_search_new(&s->search, &s->model, &s->dual.prices, 10 * most, err));
        s->search.bound = s->out->bound;
        HN_TRY(hn_search_repair(&s->search, err));
    }
    if (s->search.excess <= 0 && !ask(s))
        HN_TRY(improve(s, err));
    HN_TRY(finish_small(s, err));
out:
    return rc;
}

/* What is beyond each limit after carrying, in the row's unit. */
static void fill_rows(solver *s)
{
    const hn_model *model = &s->model;
    hn_choice_result *out = s->out;
    double carried[HN_CHOICE_ROWS_MAX];

    out->slope = 0;
    for (size_t n = 0; n < model->rows; n++) {
        const uint32_t r = model->order[n];
        const int32_t from = model->carry_from[r], to = model->carry_to[r];
        double left = model->limit[r] - s->search.used[r] + (from < 0 ? 0.0 : carried[from]);

        out->used[r] = model->sign[r] * s->search.used[r];
        out->excess[r] = left < -1e-9 * model->size[r] ? -left : 0.0;
        carried[r] = fmin(model->carry_limit[r], fmax(0.0, left));
        out->price[r] = s->dual.best_row[r];
        if (model->sign[r] > 0) {
            out->slope += s->dual.best_row[r] * model->limit[r];
            if (to >= 0)
                out->slope +=
                    model->carry_limit[r] * fmax(0.0, s->dual.best_row[to] - s->dual.best_row[r]);
        }
    }
}

static hn_status fill_result(solver *s, hn_error *err)
{
    hn_choice_result *out = s->out;
    hn_status rc = HN_OK;

    hn_search_recount(&s->search);
    fill_rows(s);
    out->passes = s->dual.passes;
    out->nodes = s->search.nodes;
    out->choice = s->search.choice;
    s->search.choice = NULL;
    out->value = s->search.value;
    out->priced_slack = hn_search_priced_slack(&s->search);
    out->regret = s->dual.best - out->value - out->priced_slack;
    out->gap = NAN;
    if (s->search.excess <= 0) {
        const double missing = fmax(out->bound, out->value) - out->value;

        out->bound = fmax(out->bound, out->value);
        out->gap = missing > 0 ? missing / fmax(fabs(out->bound), 1e-300) : 0.0;
        out->state = missing <= 1e-12 * fabs(out->bound) ? HN_CHOICE_OPTIMAL : HN_CHOICE_FEASIBLE;
        return rc;
    }
    if (out->state != HN_CHOICE_INFEASIBLE)
        out->state = out->clash_count > 0 ||
                             s->dual.best < hn_dual_floor(&s->model) - 1e-6 * s->model.value_scale
                         ? HN_CHOICE_INFEASIBLE
                         : HN_CHOICE_NOT_FOUND;
    if (out->clash_count == 0)
        rc = hn_clashes_together(&s->model, out->excess, &out->clashes, &out->clash_count, err);
    return rc;
}

hn_status hn_choice_solve(const hn_choice_problem *problem, const hn_choice_options *options,
                          hn_choice_result *out, hn_error *err)
{
    solver s = {.options = options ? *options : (hn_choice_options){0}, .out = out};
    hn_status rc;

    *out = (hn_choice_result){
        .state = HN_CHOICE_NOT_FOUND, .rows = problem->row_count, .bound = INFINITY};
    HN_TRY(hn_model_new(&s.model, problem, err));
    HN_TRY_ALLOC(out->used = hn_alloc(out->rows, sizeof *out->used));
    HN_TRY_ALLOC(out->excess = hn_alloc(out->rows, sizeof *out->excess));
    HN_TRY_ALLOC(out->price = hn_alloc(out->rows, sizeof *out->price));
    HN_TRY(hn_clashes_find(&s.model, &out->clashes, &out->clash_count, err));
    HN_TRY(prices(&s, err));
    HN_TRY(find_choice(&s, err));
    HN_TRY(fill_result(&s, err));
out:
    hn_search_clear(&s.search);
    hn_dual_clear(&s.dual);
    hn_model_clear(&s.model);
    if (rc != HN_OK)
        hn_choice_result_clear(out);
    return rc;
}

void hn_choice_result_clear(hn_choice_result *result)
{
    hn_free(result->choice);
    hn_free(result->used);
    hn_free(result->excess);
    hn_free(result->price);
    hn_free(result->clashes);
    *result = (hn_choice_result){0};
}
