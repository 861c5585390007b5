/* The fit of the general chain: its entries as one vector for the search. */
#include "base/alloc.h"
#include "engineering/chain_fit.h"
#include "engineering/general_chain.h"

#include <math.h>
#include <nlopt.h>
#include <string.h>

enum { ENTRIES_MOST = 2 * HN_STATES_MOST * (HN_STATES_MOST - 1), MOST_SEARCHED = 2000 };

/* As in the fit of the progressive chain. */
static const double FIRST_STEP = 1e-5;
/* Misreading of one in a million to e^5 wrong readings for a right one. Local rule. */
static const double LOGIT_LEAST = -14.0, LOGIT_MOST = 5.0;

typedef struct entry {
    int is_reading, from, to;
} entry;

typedef struct fitting {
    const hn_general_data *data;
    hn_general_model *model;
    hn_state_matrix *move;
    entry entry[ENTRIES_MOST];
    int count;
} fitting;

static void list_entries(fitting *f)
{
    const hn_general_model *m = f->model;

    for (int is_reading = 0; is_reading <= (m->has_read ? 1 : 0); is_reading++)
        for (int i = 0; i < m->states; i++)
            for (int j = 0; j < m->states; j++)
                if (i != j && (is_reading ? m->read[i][j] : m->rate[i][j]) > 0.0)
                    f->entry[f->count++] = (entry){is_reading, i, j};
}

static double value_of(const hn_general_model *m, const entry *e)
{
    return e->is_reading ? log(m->read[e->from][e->to] / m->read[e->from][e->from])
                         : log(m->rate[e->from][e->to]);
}

/* read[s][r] = w_r / sum of w, w = 1 on the diagonal and exp(x) on free entries. */
static void put_values(const fitting *f, const double *x)
{
    hn_general_model *m = f->model;
    double sum[HN_STATES_MOST];

    for (int s = 0; s < m->states; s++)
        sum[s] = 1.0;
    for (int i = 0; i < f->count; i++) {
        const entry *e = &f->entry[i];

        if (e->is_reading)
            sum[e->from] += exp(x[i]);
        else
            m->rate[e->from][e->to] = exp(x[i]);
    }
    for (int i = 0; i < f->count; i++)
        if (f->entry[i].is_reading)
            m->read[f->entry[i].from][f->entry[i].to] = exp(x[i]) / sum[f->entry[i].from];
    for (int s = 0; m->has_read && s < m->states; s++)
        m->read[s][s] = 1.0 / sum[s];
}

static double loss_at(fitting *f, const double *x)
{
    double loss;

    put_values(f, x);
    loss = -hn_general_log_likelihood(f->data, f->model, f->move);
    return loss < 1e300 ? loss : 1e300; /* a NaN becomes a wall too */
}

static double loss_and_slope(unsigned count, const double *x, double *slope, void *context)
{
    double at[ENTRIES_MOST];

    memcpy(at, x, sizeof(double) * count);
    for (unsigned i = 0; slope && i < count; i++) {
        double up, down;

        at[i] = x[i] + FIRST_STEP;
        up = loss_at(context, at);
        at[i] = x[i] - FIRST_STEP;
        down = loss_at(context, at);
        at[i] = x[i];
        slope[i] = (up - down) / (2.0 * FIRST_STEP);
    }
    return loss_at(context, x);
}

static void bounds(const fitting *f, double *low, double *high)
{
    for (int i = 0; i < f->count; i++) {
        low[i] = f->entry[i].is_reading ? LOGIT_LEAST : log(HN_CHAIN_RATE_LEAST);
        high[i] = f->entry[i].is_reading ? LOGIT_MOST : log(HN_CHAIN_RATE_MOST);
    }
}

static nlopt_result search(fitting *f, double *x)
{
    nlopt_opt opt = nlopt_create(NLOPT_LD_SLSQP, (unsigned)f->count);
    double low[ENTRIES_MOST], high[ENTRIES_MOST], least;
    nlopt_result result = NLOPT_OUT_OF_MEMORY;

    if (!opt)
        return result;
    bounds(f, low, high);
    for (int i = 0; i < f->count; i++)
        x[i] = fmin(fmax(x[i], low[i]), high[i]);
    if (nlopt_set_lower_bounds(opt, low) == NLOPT_SUCCESS &&
        nlopt_set_upper_bounds(opt, high) == NLOPT_SUCCESS &&
        nlopt_set_min_objective(opt, loss_and_slope, f) == NLOPT_SUCCESS &&
        nlopt_set_ftol_abs(opt, 1e-9) == NLOPT_SUCCESS &&
        nlopt_set_maxeval(opt, MOST_SEARCHED) == NLOPT_SUCCESS)
        result = nlopt_optimize(opt, x, &least);
    nlopt_destroy(opt);
    return result;
}

static hn_status check_start(fitting *f, const double *x, hn_error *err)
{
    if (loss_at(f, x) < 1e300)
        return HN_OK;
    hn_fail(err, HN_ERR_INPUT, "looks that no values of the free entries explain");
    hn_hint(err, "allow the step or the misreading that is missing, or leave the looks out");
    return HN_ERR_INPUT;
}

hn_status hn_general_fit(const hn_general_data *data, hn_general_model *model,
                         double *log_likelihood, int *has_converged, hn_error *err)
{
    fitting f = {.data = data, .model = model};
    double x[ENTRIES_MOST] = {0};
    nlopt_result result = NLOPT_SUCCESS;
    hn_status rc = HN_OK;

    if (model->states < 2 || model->states > HN_STATES_MOST)
        HN_TRY(hn_fail(err, HN_ERR_INPUT, "a chain of %d states", model->states));
    list_entries(&f);
    f.move = hn_alloc(data->spans ? data->spans : 1, sizeof *f.move);
    HN_TRY_ALLOC(f.move);
    for (int i = 0; i < f.count; i++)
        x[i] = value_of(model, &f.entry[i]);
    HN_TRY(check_start(&f, x, err));
    if (f.count > 0)
        result = search(&f, x);
    if (result == NLOPT_OUT_OF_MEMORY)
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory for the fit"));
    /* "rounding": as near as differences can tell */
    *has_converged =
        (result > 0 && result != NLOPT_MAXEVAL_REACHED) || result == NLOPT_ROUNDOFF_LIMITED;
    *log_likelihood = -loss_at(&f, x);
out:
    hn_free(f.move);
    return rc;
}
