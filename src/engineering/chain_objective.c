#include "engineering/chain_objective.h"

#include <math.h>
#include <nlopt.h>
#include <string.h>

enum { MOST_SEARCHED = 500, MOST_NEWTON = 20 };

/* Near the cube root of the rounding of ln L, and its fourth root for the second
 * derivatives (common practice for central differences). */
static const double FIRST_STEP = 1e-5, SECOND_STEP = 2e-3;

double hn_chain_bound_low(int parameter)
{
    return parameter < HN_CHAIN_RATES ? log(HN_CHAIN_RATE_LEAST) : -HN_CHAIN_GROWTH_MOST;
}

double hn_chain_bound_high(int parameter)
{
    return parameter < HN_CHAIN_RATES ? log(HN_CHAIN_RATE_MOST) : HN_CHAIN_GROWTH_MOST;
}

/* Values of all parameters with x in place, pulled inside the bounds; returns
 * the square of how far outside they were. */
static double take_values(const hn_chain_objective *o, const double *x,
                          double value[HN_CHAIN_PARAMETERS])
{
    double outside = 0.0;

    memcpy(value, o->at, sizeof o->at);
    for (int i = 0; i < o->count; i++) {
        int p = o->free[i];
        double inside = fmin(fmax(x[i], hn_chain_bound_low(p)), hn_chain_bound_high(p));

        outside += (x[i] - inside) * (x[i] - inside);
        value[p] = inside;
    }
    return outside;
}

static double log_likelihood_of(hn_chain_objective *o, const double value[HN_CHAIN_PARAMETERS])
{
    hn_chain_model model = {.growth_per_year = value[HN_CHAIN_RATES], .read = o->spec->read};

    for (int k = 0; k < HN_CHAIN_RATES; k++)
        model.rate_per_year[k] = exp(value[k]);
    o->evaluations++;
    return hn_chain_log_likelihood(o->spec->data, &model, o->move);
}

double hn_chain_log_likelihood_at(hn_chain_objective *o, const double *x)
{
    double value[HN_CHAIN_PARAMETERS];

    take_values(o, x, value);
    return log_likelihood_of(o, value);
}

double hn_chain_loss_at(hn_chain_objective *o, const double *x)
{
    double value[HN_CHAIN_PARAMETERS], outside = take_values(o, x, value);
    double loss = -log_likelihood_of(o, value);

    for (int k = 0; k < HN_CHAIN_RATES && o->spec->prior_weight > 0.0; k++) {
        double away = value[k] - log(o->spec->prior[k]);

        loss += 0.5 * o->spec->prior_weight * away * away;
    }
    loss += 1e3 * outside;
    return loss < 1e300 ? loss : 1e300; /* a NaN becomes a wall too */
}

/* ---- search ---- */

static void slope_at(hn_chain_objective *o, const double *x, double *slope)
{
    double at[HN_CHAIN_PARAMETERS];

    memcpy(at, x, sizeof(double) * (size_t)o->count);
    for (int i = 0; i < o->count; i++) {
        double up, down;

        at[i] = x[i] + FIRST_STEP;
        up = hn_chain_loss_at(o, at);
        at[i] = x[i] - FIRST_STEP;
        down = hn_chain_loss_at(o, at);
        at[i] = x[i];
        slope[i] = (up - down) / (2.0 * FIRST_STEP);
    }
}

static double loss_and_slope(unsigned count, const double *x, double *slope, void *context)
{
    (void)count;
    if (slope)
        slope_at(context, x, slope);
    return hn_chain_loss_at(context, x);
}

/* Sequential quadratic programming within the bounds from `at`; the best point is
 * left there. Near the end of its digits it may stop with "rounding", which Newton's
 * method takes over from. 0 when memory is short. */
static int search(hn_chain_objective *o)
{
    nlopt_opt search = nlopt_create(NLOPT_LD_SLSQP, (unsigned)o->count);
    double x[HN_CHAIN_PARAMETERS], low[HN_CHAIN_PARAMETERS], high[HN_CHAIN_PARAMETERS], least;
    nlopt_result result = NLOPT_OUT_OF_MEMORY;

    if (!search)
        return 0;
    for (int i = 0; i < o->count; i++) {
        low[i] = hn_chain_bound_low(o->free[i]);
        high[i] = hn_chain_bound_high(o->free[i]);
        x[i] = fmin(fmax(o->at[o->free[i]], low[i]), high[i]);
    }
    if (nlopt_set_lower_bounds(search, low) == NLOPT_SUCCESS &&
        nlopt_set_upper_bounds(search, high) == NLOPT_SUCCESS &&
        nlopt_set_min_objective(search, loss_and_slope, o) == NLOPT_SUCCESS &&
        nlopt_set_xtol_abs1(search, 1e-5) == NLOPT_SUCCESS &&
        nlopt_set_maxeval(search, MOST_SEARCHED) == NLOPT_SUCCESS)
        result = nlopt_optimize(search, x, &least);
    for (int i = 0; i < o->count && isfinite(x[i]); i++)
        o->at[o->free[i]] = fmin(fmax(x[i], low[i]), high[i]);
    nlopt_destroy(search);
    return result != NLOPT_OUT_OF_MEMORY;
}

/* ---- second derivatives ---- */

static double shifted(hn_chain_objective *o, const double *x, int i, double by_i, int j,
                      double by_j)
{
    double at[HN_CHAIN_PARAMETERS];

    memcpy(at, x, sizeof(double) * (size_t)o->count);
    at[i] += by_i;
    at[j] += by_j;
    return hn_chain_loss_at(o, at);
}

static void take_free(const hn_chain_objective *o, double *x)
{
    for (int i = 0; i < o->count; i++)
        x[i] = o->at[o->free[i]];
}

/* A growth is of the size of a hundredth, the logarithm of a rate of one. */
static double second_step(const hn_chain_objective *o, int i)
{
    return o->free[i] == HN_CHAIN_RATES ? SECOND_STEP / 100.0 : SECOND_STEP;
}

/* A parameter on which nothing depends gets the row of the unit matrix: it then
 * stays where it is and does not spoil the others. What is not more than ten
 * times the rounding of the differences counts as nothing. */
static void cut_flat(const hn_chain_objective *o, double loss, double *h,
                     int flat[HN_CHAIN_PARAMETERS])
{
    const size_t n = (size_t)o->count;

    for (size_t i = 0; i < n; i++) {
        const double step = second_step(o, (int)i);
        const double noise = 10.0 * 4.5e-16 * fmax(fabs(loss), 1.0) / (step * step);

        flat[i] = fabs(h[i * n + i]) <= noise;
        for (size_t j = 0; flat[i] && j < n; j++)
            h[i * n + j] = h[j * n + i] = (double)(i == j);
    }
}

void hn_chain_information(hn_chain_objective *o, double *out, int flat[HN_CHAIN_PARAMETERS])
{
    double x[HN_CHAIN_PARAMETERS], here;
    const size_t n = (size_t)o->count;

    take_free(o, x);
    here = hn_chain_loss_at(o, x);
    for (int i = 0; i < o->count; i++) {
        const double h = second_step(o, i);

        out[(size_t)i * n + (size_t)i] =
            (shifted(o, x, i, h, i, 0) - 2.0 * here + shifted(o, x, i, -h, i, 0)) / (h * h);
        for (int j = 0; j < i; j++) {
            const double k = second_step(o, j);

            out[(size_t)i * n + (size_t)j] = out[(size_t)j * n + (size_t)i] =
                (shifted(o, x, i, h, j, k) - shifted(o, x, i, h, j, -k) -
                 shifted(o, x, i, -h, j, k) + shifted(o, x, i, -h, j, -k)) /
                (4.0 * h * k);
        }
    }
    cut_flat(o, here, out, flat);
}

/* h = L L', L in the lower triangle of h. 0 unless h is positive definite. */
static int decompose(double *h, size_t n)
{
    for (size_t j = 0; j < n; j++)
        for (size_t i = j; i < n; i++) {
            double sum = h[i * n + j];

            for (size_t k = 0; k < j; k++)
                sum -= h[i * n + k] * h[j * n + k];
            if (i == j && !(sum > 0.0))
                return 0;
            h[i * n + j] = i == j ? sqrt(sum) : sum / h[j * n + j];
        }
    return 1;
}

static void solve(const double *l, size_t n, const double *right, double *x)
{
    for (size_t i = 0; i < n; i++) {
        x[i] = right[i];
        for (size_t k = 0; k < i; k++)
            x[i] -= l[i * n + k] * x[k];
        x[i] /= l[i * n + i];
    }
    for (size_t i = n; i-- > 0;) {
        for (size_t k = i + 1; k < n; k++)
            x[i] -= l[k * n + i] * x[k];
        x[i] /= l[i * n + i];
    }
}

int hn_chain_variances(double *information, size_t n, double *variance)
{
    if (!decompose(information, n))
        return 0;
    for (size_t i = 0; i < n; i++) {
        double unit[HN_CHAIN_PARAMETERS] = {0}, column[HN_CHAIN_PARAMETERS];

        unit[i] = 1.0;
        solve(information, n, unit, column);
        variance[i] = column[i];
    }
    return 1;
}

static int take_factor(hn_chain_objective *o)
{
    hn_chain_information(o, o->factor, o->flat);
    return o->has_factor = decompose(o->factor, (size_t)o->count);
}

/* One step of Newton's method, by the factor that is there; 0 when it does not lead
 * down. */
static int newton_step(hn_chain_objective *o, double *loss, double *moved)
{
    double g[HN_CHAIN_PARAMETERS], x[HN_CHAIN_PARAMETERS], step[HN_CHAIN_PARAMETERS];
    const size_t n = (size_t)o->count;

    take_free(o, x);
    slope_at(o, x, g);
    for (size_t i = 0; i < n; i++)
        g[i] = o->flat[i] ? 0.0 : g[i];
    solve(o->factor, n, g, step);
    for (double part = 1.0; part > 0.01; part *= 0.5) {
        double trial[HN_CHAIN_PARAMETERS], there;

        *moved = 0.0;
        for (size_t i = 0; i < n; i++) {
            trial[i] = fmin(fmax(x[i] - part * step[i], hn_chain_bound_low(o->free[i])),
                            hn_chain_bound_high(o->free[i]));
            *moved = fmax(*moved, fabs(trial[i] - x[i]));
        }
        there = hn_chain_loss_at(o, trial);
        if (there <= *loss + 1e-12 * fabs(*loss)) {
            for (size_t i = 0; i < n; i++)
                o->at[o->free[i]] = trial[i];
            *loss = there;
            return 1;
        }
    }
    return 0;
}

/* A step by fresh derivatives leaves an error of its square, so 1e-5 is enough. One by
 * old ones leaves a share of itself; they are dropped unless it is a small share. */
static int go_down(hn_chain_objective *o, double *loss, double *moved, int *is_done)
{
    const int is_fresh = !(o->reuse && o->has_factor);
    const double before = *moved;

    if (is_fresh && !take_factor(o))
        return 0;
    if (!newton_step(o, loss, moved)) {
        o->has_factor = 0;
        *moved = before;
        return !is_fresh;
    }
    *is_done = *moved <= (is_fresh ? 1e-5 : 1e-7);
    if (!is_fresh && !(*moved < 0.2 * before))
        o->has_factor = 0;
    return 1;
}

/* Newton's method from near by; a search first where it does not lead down. */
int hn_chain_minimise(hn_chain_objective *o, double *least, int *is_short)
{
    double x[HN_CHAIN_PARAMETERS], moved = 1.0;
    int has_searched = 0, is_done = 0;

    take_free(o, x);
    *least = hn_chain_loss_at(o, x);
    for (int i = 0; i < MOST_NEWTON && !is_done; i++) {
        if (go_down(o, least, &moved, &is_done))
            continue;
        if (has_searched)
            return 0;
        has_searched = 1;
        if (!search(o)) {
            *is_short = 1;
            return 0;
        }
        take_free(o, x);
        *least = hn_chain_loss_at(o, x);
    }
    return is_done;
}
