#include "engineering/general_chain.h"

#include "base/alloc.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { TAYLOR_TERMS = 14 };
static const double STEPS_MOST = 1e6;

static void multiply(int n, hn_state_matrix a, hn_state_matrix b, hn_state_matrix out)
{
    hn_state_matrix product = {{0}};

    for (int i = 0; i < n; i++)
        for (int k = 0; k < n; k++)
            for (int j = 0; a[i][k] > 0.0 && j < n; j++)
                product[i][j] += a[i][k] * b[k][j];
    memcpy(out, product, sizeof product);
}

/* Fastest exit; NaN when an entry is out of range. */
static double fastest(int n, hn_state_matrix rate)
{
    double most = 0.0;

    for (int i = 0; i < n; i++) {
        double exit = 0.0;

        for (int j = 0; j < n; j++) {
            if (i != j && !(rate[i][j] >= 0.0))
                return (double)NAN;
            exit += i == j ? 0.0 : rate[i][j];
        }
        most = fmax(most, exit);
    }
    return most;
}

/* exp(A) for entries >= 0 with row sums of at most 1/4. */
static void taylor(int n, hn_state_matrix a, hn_state_matrix out)
{
    hn_state_matrix sum = {{0}};

    for (int i = 0; i < n; i++)
        sum[i][i] = 1.0;
    for (int term = TAYLOR_TERMS; term >= 1; term--) {
        multiply(n, a, sum, sum);
        for (int i = 0; i < n; i++) {
            for (int j = 0; j < n; j++)
                sum[i][j] /= term;
            sum[i][i] += 1.0;
        }
    }
    memcpy(out, sum, sizeof sum);
}

static void shifted(int n, hn_state_matrix rate, double most, double step_years, hn_state_matrix a)
{
    for (int i = 0; i < n; i++) {
        double exit = 0.0;

        for (int j = 0; j < n; j++) {
            a[i][j] = i == j ? 0.0 : rate[i][j] * step_years;
            exit += i == j ? 0.0 : rate[i][j];
        }
        a[i][i] = (most - exit) * step_years;
    }
}

static void fill_nan(hn_state_matrix out)
{
    for (int i = 0; i < HN_STATES_MOST; i++)
        for (int j = 0; j < HN_STATES_MOST; j++)
            out[i][j] = (double)NAN;
}

void hn_general_matrix(int states, hn_state_matrix rate, double years, hn_state_matrix out)
{
    hn_state_matrix a = {{0}};
    const int is_sized = states >= 1 && states <= HN_STATES_MOST;
    const double most = is_sized ? fastest(states, rate) : (double)NAN;
    int squarings = 0;

    if (!(years >= 0.0 && most * years <= STEPS_MOST)) {
        fill_nan(out);
        return;
    }
    while (ldexp(most * years, -squarings) > 0.25)
        squarings++;
    shifted(states, rate, most, ldexp(years, -squarings), a);
    taylor(states, a, out);
    for (int i = 0; i < states; i++)
        for (int j = 0; j < states; j++)
            out[i][j] *= exp(-ldexp(most * years, -squarings));
    for (; squarings > 0; squarings--)
        multiply(states, out, out, out);
}

/* ---- looks ---- */

static int by_value(const void *a, const void *b)
{
    const double left = *(const double *)a, right = *(const double *)b;

    return (left > right) - (left < right);
}

static int is_first(const hn_general_data *d, size_t i)
{
    return i == 0 || d->look[i].thing != d->look[i - 1].thing;
}

static hn_status check_looks(const hn_general_data *d, hn_error *err)
{
    for (size_t i = 0; i < d->looks; i++) {
        const hn_look *l = &d->look[i];

        if (!l->seen || !isfinite(l->years) || (l->exact_entry && (l->seen & (l->seen - 1))))
            return hn_fail(err, HN_ERR_INPUT, "look %zu has no state or no time", i + 1);
        if (!is_first(d, i) && l->years < d->look[i - 1].years)
            return hn_fail(err, HN_ERR_INPUT, "look %zu is before the one that precedes it", i + 1);
    }
    return HN_OK;
}

hn_status hn_general_pack(hn_general_data *d, hn_error *err)
{
    hn_status rc = HN_OK;
    size_t kept = 0;

    HN_TRY(check_looks(d, err));
    d->span_years = hn_alloc(d->looks ? d->looks : 1, sizeof *d->span_years);
    HN_TRY_ALLOC(d->span_years);
    for (size_t i = 0; i < d->looks; i++)
        if (!is_first(d, i))
            d->span_years[d->spans++] = d->look[i].years - d->look[i - 1].years;
    qsort(d->span_years, d->spans, sizeof *d->span_years, by_value);
    for (size_t i = 0; i < d->spans; i++)
        if (kept == 0 || d->span_years[i] > d->span_years[kept - 1])
            d->span_years[kept++] = d->span_years[i];
    d->spans = kept;
    for (size_t i = 0; i < d->looks; i++) {
        const double years = is_first(d, i) ? 0.0 : d->look[i].years - d->look[i - 1].years;
        const double *at =
            is_first(d, i) ? NULL : bsearch(&years, d->span_years, kept, sizeof years, by_value);

        d->look[i].span = at ? (size_t)(at - d->span_years) : 0;
    }
out:
    return rc;
}

void hn_general_clear(hn_general_data *data)
{
    hn_free(data->span_years);
    data->span_years = NULL;
    data->spans = 0;
}

/* ---- likelihood ---- */

static double chance_of_look(const hn_general_model *m, const hn_look *l, int state)
{
    double sum = 0.0;

    for (int r = 0; r < m->states; r++)
        if (l->seen >> r & 1u)
            sum += m->has_read ? m->read[state][r] : (double)(r == state);
    return sum;
}

static void start(const hn_general_model *m, const hn_look *l, double alpha[HN_STATES_MOST])
{
    double sum = 0.0;

    for (int s = 0; s < m->states; s++)
        sum += alpha[s] = (double)(l->seen >> s & 1u);
    for (int s = 0; s < m->states; s++)
        alpha[s] /= sum;
}

/* ln of the chance of the look; alpha moves on. */
static double follow(const hn_general_model *m, const hn_look *l, hn_state_matrix move,
                     double alpha[HN_STATES_MOST])
{
    double moved[HN_STATES_MOST] = {0}, sum = 0.0;

    for (int s = 0; s < m->states; s++)
        for (int r = 0; r < m->states; r++)
            moved[r] += alpha[s] * move[s][r];
    for (int r = 0; r < m->states; r++) {
        alpha[r] = 0.0;
        for (int s = 0; l->exact_entry && (l->seen >> r & 1u) && s < m->states; s++)
            alpha[r] += s == r ? 0.0 : moved[s] * m->rate[s][r];
        if (!l->exact_entry)
            alpha[r] = moved[r] * chance_of_look(m, l, r);
        sum += alpha[r];
    }
    for (int r = 0; r < m->states; r++)
        alpha[r] /= sum;
    return sum > 0.0 ? log(sum) : (double)-INFINITY;
}

double hn_general_log_likelihood(const hn_general_data *d, const hn_general_model *model,
                                 hn_state_matrix *move)
{
    hn_general_model m = *model;
    double alpha[HN_STATES_MOST] = {0}, sum = 0.0;

    for (size_t i = 0; i < d->spans; i++)
        hn_general_matrix(m.states, m.rate, d->span_years[i], move[i]);
    for (size_t i = 0; i < d->looks; i++) {
        double part = 0.0;

        if (is_first(d, i))
            start(&m, &d->look[i], alpha);
        else
            part = follow(&m, &d->look[i], move[d->look[i].span], alpha);
        if (part == (double)-INFINITY)
            return part;
        sum += part;
    }
    return sum;
}
