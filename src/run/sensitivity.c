#include "run/sensitivity.h"

#include "base/alloc.h"
#include "base/parallel.h"
#include "base/radix.h"
#include "plan/vary.h"
#include "risk/rank_correlation.h"
#include "run/source_hash.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

/* What is compared. */
typedef struct outcome {
    double *risk, *priority; /* ranks, equal ones sharing their mean */
    double loss;
} outcome;

typedef struct varying {
    hn_state *state;
    hn_sensitivity *s;
    outcome base;
    pthread_mutex_t lock; /* of the ranks seen and of the first failure */
    size_t done, failed;  /* failed: the first case that did, or SIZE_MAX */
    hn_status rc;
    hn_error error;
} varying;

int hn_sensitivity_is_on(const hn_state *s)
{
    return s->wants_sensitivity && s->plan->vary_count > 0 && s->table->rows > 0 &&
           (s->plan->sensitivity == HN_SENSITIVITY_YES ||
            (s->plan->sensitivity == HN_SENSITIVITY_AUTO &&
             s->table->rows <= HN_SENSITIVITY_MOST_ROWS));
}

/* ---- ranks ---- */

/* By risk: the expected loss. By value: what has a value before what has none, and
 * the latter by risk, as in risk/rank.c. */
static void keys_of(const hn_state *v, int is_value, uint64_t *lead, uint64_t *then)
{
    for (size_t i = 0; i < v->table->rows; i++) {
        const double value =
            is_value ? hn_table_derived(v->table, HN_COL_LOSS_AVOIDED_PER_COST, i) : (double)NAN;

        lead[i] = hn_key_falling(value);
        then[i] = isnan(value) ? hn_key_falling(HN_F64(v->table, LOSS_NOW)[i]) : 0;
    }
}

static void outcome_clear(outcome *o)
{
    hn_free(o->risk);
    hn_free(o->priority);
    memset(o, 0, sizeof *o);
}

static hn_status outcome_of(const hn_state *v, outcome *o, hn_error *err)
{
    const size_t rows = v->table->rows;
    uint64_t *lead = hn_alloc(rows, sizeof *lead), *then = hn_alloc(rows, sizeof *then);
    hn_status rc = HN_OK;

    memset(o, 0, sizeof *o);
    o->risk = hn_alloc(rows, sizeof *o->risk);
    o->priority = hn_alloc(rows, sizeof *o->priority);
    HN_TRY_ALLOC(lead);
    HN_TRY_ALLOC(then);
    HN_TRY_ALLOC(o->risk);
    HN_TRY_ALLOC(o->priority);
    keys_of(v, 0, lead, then);
    HN_TRY(hn_mean_ranks(lead, then, rows, o->risk, err));
    keys_of(v, v->plan->priority == HN_PRIORITY_VALUE, lead, then);
    HN_TRY(hn_mean_ranks(lead, then, rows, o->priority, err));
    for (size_t i = 0; i < rows; i++) {
        const double loss = HN_F64(v->table, LOSS_NOW)[i];

        o->loss += isnan(loss) ? 0.0 : loss;
    }
out:
    hn_free(lead);
    hn_free(then);
    return rc;
}

/* ---- the first years ---- */

static int is_early(const hn_state *base, const hn_state *v, size_t row)
{
    const int year = v->scenario[1].allocation.year_of[row];

    return year >= 0 && year < base->plan->sensitivity_years;
}

static void compare_rows(const hn_state *base, const hn_state *v, hn_vary_effect *e)
{
    for (size_t row = 0; row < base->table->rows; row++) {
        const int before = is_early(base, base, row), after = is_early(base, v, row);
        const double known = hn_f64(base->table, HN_COL_LENGTH_M, row);
        const double length = isnan(known) ? 0.0 : known;

        if (after && !before) {
            e->entering++;
            e->entering_m += length;
        } else if (before && !after) {
            e->leaving++;
            e->leaving_m += length;
        }
        e->methods_changed +=
            hn_code(base->table, HN_COL_METHOD, row) != hn_code(v->table, HN_COL_METHOD, row);
    }
}

static double money_change(double after, double before)
{
    return round((after - before) * 100.0) / 100.0 + 0.0;
}

static void compare(const varying *w, const hn_state *v, const outcome *o, hn_vary_effect *e)
{
    const hn_state *base = w->state;
    const hn_allocation *before = &base->scenario[1].allocation,
                        *after = &v->scenario[1].allocation;

    e->correlation_risk = hn_rank_correlation(w->base.risk, o->risk, base->table->rows);
    e->correlation_priority = hn_rank_correlation(w->base.priority, o->priority, base->table->rows);
    compare_rows(base, v, e);
    e->loss_change = money_change(o->loss, w->base.loss);
    e->cost_change = money_change(after->total_cost, before->total_cost);
    e->avoided_change = money_change(after->total_avoided, before->total_avoided);
}

/* Least and greatest over all cases; of equal ones the first case is named, whichever
 * thread came first. */
static void note_ranks(varying *w, const hn_state *v, size_t at)
{
    hn_sensitivity *s = w->s;

    for (size_t row = 0; row < v->table->rows; row++) {
        const int32_t rank = HN_I32(v->table, PRIORITY)[row];

        if (rank < s->best[row] ||
            (rank == s->best[row] && at < s->best_case[row] && s->best_case[row] != UINT16_MAX)) {
            s->best[row] = rank;
            s->best_case[row] = (uint16_t)at;
        }
        if (rank > s->worst[row] || (rank == s->worst[row] && at < s->worst_case[row] &&
                                     s->worst_case[row] != UINT16_MAX)) {
            s->worst[row] = rank;
            s->worst_case[row] = (uint16_t)at;
        }
        s->in_first_years[row] = (uint16_t)(s->in_first_years[row] + is_early(w->state, v, row));
    }
}

/* ---- the cases ---- */

static hn_status run_case(varying *w, size_t at, hn_error *err)
{
    hn_vary_case *c = &w->s->cases[at];
    const int matters = hn_variation_matters(w->state, c->vary);
    hn_state *v = NULL;
    outcome o = {0};
    hn_status rc = HN_OK;

    if (matters) {
        HN_TRY(hn_variation_new(w->state, c->vary, c->side, &v, err));
        HN_TRY(outcome_of(v, &o, err));
    }
    compare(w, matters ? v : w->state, matters ? &o : &w->base, &c->effect);
    pthread_mutex_lock(&w->lock);
    note_ranks(w, matters ? v : w->state, at);
    pthread_mutex_unlock(&w->lock);
out:
    outcome_clear(&o);
    hn_variation_free(w->state, v);
    return rc;
}

static void note_end(varying *w, size_t at, hn_status rc, const hn_error *error, int worker)
{
    double share;

    pthread_mutex_lock(&w->lock);
    share = (double)++w->done / (double)w->s->count;
    if (rc != HN_OK && at < w->failed) {
        w->failed = at;
        w->rc = rc;
        w->error = *error;
    }
    pthread_mutex_unlock(&w->lock);
    if (worker == 0) /* the thread that may be interrupted */
        hn_state_progress(w->state, share);
}

/* Cases before the first failure still run, so that the same one is always told. */
static int is_in_vain(varying *w, size_t at)
{
    int is_late;

    pthread_mutex_lock(&w->lock);
    is_late = at > w->failed;
    pthread_mutex_unlock(&w->lock);
    return is_late;
}

static void run_some(void *context, size_t begin, size_t end, int worker)
{
    varying *w = context;

    for (size_t at = begin; at < end; at++) {
        hn_error error = {0};

        if (!is_in_vain(w, at))
            note_end(w, at, run_case(w, at, &error), &error, worker);
    }
}

static hn_status list_cases(const hn_plan *plan, hn_sensitivity *s, hn_error *err)
{
    hn_status rc = HN_OK;

    s->parameters = plan->vary_count;
    s->cases = hn_alloc(2 * plan->vary_count, sizeof *s->cases);
    HN_TRY_ALLOC(s->cases);
    for (size_t i = 0; i < plan->vary_count; i++)
        for (int side = 0; side < 2; side++)
            if (plan->vary[i].side[side].is_there)
                s->cases[s->count++] = (hn_vary_case){.vary = i, .side = side};
out:
    return rc;
}

static hn_status prepare_ranks(const hn_state *state, hn_sensitivity *s, hn_error *err)
{
    const size_t rows = state->table->rows;
    hn_status rc = HN_OK;

    s->best = hn_alloc(rows, sizeof *s->best);
    s->worst = hn_alloc(rows, sizeof *s->worst);
    s->best_case = hn_alloc(rows, sizeof *s->best_case);
    s->worst_case = hn_alloc(rows, sizeof *s->worst_case);
    s->in_first_years = hn_alloc(rows, sizeof *s->in_first_years);
    HN_TRY_ALLOC(s->best);
    HN_TRY_ALLOC(s->worst);
    HN_TRY_ALLOC(s->best_case);
    HN_TRY_ALLOC(s->worst_case);
    HN_TRY_ALLOC(s->in_first_years);
    for (size_t row = 0; row < rows; row++) {
        const double length = hn_f64(state->table, HN_COL_LENGTH_M, row);

        s->best[row] = s->worst[row] = HN_I32(state->table, PRIORITY)[row];
        s->best_case[row] = s->worst_case[row] = UINT16_MAX;
        s->first_years_m += is_early(state, state, row) && !isnan(length) ? length : 0.0;
    }
out:
    return rc;
}

/* ---- order ---- */

const hn_vary_case *hn_sensitivity_case(const hn_sensitivity *s, size_t vary, int side)
{
    for (size_t i = 0; i < s->count; i++)
        if (s->cases[i].vary == vary && s->cases[i].side == side)
            return &s->cases[i];
    return NULL;
}

double hn_sensitivity_moved_m(const hn_sensitivity *s, size_t vary)
{
    double most = 0.0;

    for (int side = 0; side < 2; side++) {
        const hn_vary_case *c = hn_sensitivity_case(s, vary, side);

        if (c)
            most = fmax(most, c->effect.entering_m + c->effect.leaving_m);
    }
    return most;
}

/* Length moved, then money of the loss avoided, then the order of the table. */
static int is_greater(const hn_sensitivity *s, size_t a, size_t b)
{
    const double ma = hn_sensitivity_moved_m(s, a), mb = hn_sensitivity_moved_m(s, b);
    double money[2] = {0.0, 0.0};

    if (ma < mb || ma > mb)
        return ma > mb;
    for (int side = 0; side < 2; side++) {
        const hn_vary_case *ca = hn_sensitivity_case(s, a, side);
        const hn_vary_case *cb = hn_sensitivity_case(s, b, side);

        money[0] = ca ? fmax(money[0], fabs(ca->effect.avoided_change)) : money[0];
        money[1] = cb ? fmax(money[1], fabs(cb->effect.avoided_change)) : money[1];
    }
    return money[0] > money[1];
}

static hn_status order_parameters(hn_sensitivity *s, hn_error *err)
{
    s->by_effect = hn_alloc(s->parameters, sizeof *s->by_effect);
    if (!s->by_effect)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < s->parameters; i++) { /* stable: equal ones stay */
        size_t k = i;

        for (; k > 0 && is_greater(s, i, s->by_effect[k - 1]); k--)
            s->by_effect[k] = s->by_effect[k - 1];
        s->by_effect[k] = (uint16_t)i;
    }
    return HN_OK;
}

/* Texts that no segment has yet: the pool must not grow while variations read it. */
static hn_status add_texts(hn_state *state, hn_error *err)
{
    const hn_plan *plan = state->plan;

    for (size_t i = 0; i < plan->vary_count; i++)
        for (int side = 0; side < 2 && plan->vary[i].what == HN_VARY_DEFAULT; side++) {
            const char *text = plan->vary[i].side[side].text;

            if (text && hn_text_pool_add(state->table->texts, text, strlen(text)) == UINT32_MAX)
                return hn_fail(err, HN_ERR_MEMORY, "out of memory");
        }
    return HN_OK;
}

hn_status hn_sensitivity_run(hn_state *state, hn_error *err)
{
    varying w = {.state = state, .s = &state->sensitivity, .failed = SIZE_MAX};
    const hn_allocation *programme = &state->scenario[1].allocation;
    hn_status rc = HN_OK;

    pthread_mutex_init(&w.lock, NULL);
    hn_source_hash_settle(state); /* variations copy the state: nobody may write to it */
    HN_TRY(add_texts(state, err));
    HN_TRY(list_cases(state->plan, w.s, err));
    HN_TRY(prepare_ranks(state, w.s, err));
    HN_TRY(outcome_of(state, &w.base, err));
    w.s->loss = w.base.loss;
    w.s->cost = programme->total_cost;
    w.s->avoided = programme->total_avoided;
    hn_parallel_blocks(state->threads, w.s->count, 1, run_some, &w);
    rc = w.rc;
    if (rc != HN_OK && err)
        *err = w.error;
    HN_TRY(rc);
    HN_TRY(order_parameters(w.s, err));
out:
    outcome_clear(&w.base);
    pthread_mutex_destroy(&w.lock);
    return rc;
}

void hn_sensitivity_clear(hn_sensitivity *s)
{
    hn_free(s->cases);
    hn_free(s->by_effect);
    hn_free(s->best);
    hn_free(s->worst);
    hn_free(s->best_case);
    hn_free(s->worst_case);
    hn_free(s->in_first_years);
    memset(s, 0, sizeof *s);
}
