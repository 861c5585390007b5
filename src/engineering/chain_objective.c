#include "engineering/chain_objective.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multimin.h>
#include <math.h>
#include <string.h>

enum { MOST_STEPS = 200, MOST_NEWTON = 20 };

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

static double loss_of(const gsl_vector *x, void *context)
{
    return hn_chain_loss_at(context, x->data);
}

static void slope_of(const gsl_vector *x, void *context, gsl_vector *slope)
{
    hn_chain_objective *o = context;
    double at[HN_CHAIN_PARAMETERS];

    for (int i = 0; i < o->count; i++)
        at[i] = gsl_vector_get(x, (size_t)i);
    for (int i = 0; i < o->count; i++) {
        double here = at[i], up, down;

        at[i] = here + FIRST_STEP;
        up = hn_chain_loss_at(o, at);
        at[i] = here - FIRST_STEP;
        down = hn_chain_loss_at(o, at);
        at[i] = here;
        gsl_vector_set(slope, (size_t)i, (up - down) / (2.0 * FIRST_STEP));
    }
}

static void loss_and_slope(const gsl_vector *x, void *context, double *loss, gsl_vector *slope)
{
    *loss = loss_of(x, context);
    slope_of(x, context, slope);
}

/* BFGS from `at`; leaves the best point there. 0 when memory is short. */
static int bfgs(hn_chain_objective *o)
{
    gsl_multimin_function_fdf function = {loss_of, slope_of, loss_and_slope, (size_t)o->count, o};
    gsl_vector *x = gsl_vector_alloc((size_t)o->count);
    gsl_multimin_fdfminimizer *search = gsl_multimin_fdfminimizer_alloc(
        gsl_multimin_fdfminimizer_vector_bfgs2, (size_t)o->count);
    int ok = x && search;

    for (int i = 0; ok && i < o->count; i++)
        gsl_vector_set(x, (size_t)i, o->at[o->free[i]]);
    if (ok && gsl_multimin_fdfminimizer_set(search, &function, x, 0.1, 0.1) == GSL_SUCCESS) {
        for (int step = 0; step < MOST_STEPS; step++)
            if (gsl_multimin_fdfminimizer_iterate(search) != GSL_SUCCESS ||
                gsl_multimin_test_gradient(search->gradient, 1e-4) != GSL_CONTINUE)
                break;
        for (int i = 0; i < o->count; i++)
            o->at[o->free[i]] =
                fmin(fmax(gsl_vector_get(search->x, (size_t)i), hn_chain_bound_low(o->free[i])),
                     hn_chain_bound_high(o->free[i]));
    }
    if (search)
        gsl_multimin_fdfminimizer_free(search);
    if (x)
        gsl_vector_free(x);
    return ok;
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

/* One step of Newton's method; 0 when it does not lead down. */
static int newton_step(hn_chain_objective *o, double *loss, double *moved)
{
    double h[HN_CHAIN_PARAMETERS * HN_CHAIN_PARAMETERS], g[HN_CHAIN_PARAMETERS];
    double x[HN_CHAIN_PARAMETERS], step[HN_CHAIN_PARAMETERS];
    const size_t n = (size_t)o->count;
    gsl_matrix_view matrix = gsl_matrix_view_array(h, n, n);
    gsl_vector_view slope = gsl_vector_view_array(g, n), by = gsl_vector_view_array(step, n);
    gsl_vector_view at = gsl_vector_view_array(x, n);
    int flat[HN_CHAIN_PARAMETERS];

    take_free(o, x);
    hn_chain_information(o, h, flat);
    slope_of(&at.vector, o, &slope.vector);
    for (size_t i = 0; i < n; i++)
        g[i] = flat[i] ? 0.0 : g[i];
    if (gsl_linalg_cholesky_decomp1(&matrix.matrix) != GSL_SUCCESS ||
        gsl_linalg_cholesky_solve(&matrix.matrix, &slope.vector, &by.vector) != GSL_SUCCESS)
        return 0;
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

/* Newton's method from near by; a search first where it does not lead down. A step
 * of 1e-5 leaves an error of its square. */
int hn_chain_minimise(hn_chain_objective *o, double *least, int *is_short)
{
    double x[HN_CHAIN_PARAMETERS], moved = 1.0;
    int has_searched = 0;

    take_free(o, x);
    *least = hn_chain_loss_at(o, x);
    for (int i = 0; i < MOST_NEWTON && moved > 1e-5; i++) {
        if (newton_step(o, least, &moved))
            continue;
        if (has_searched)
            return 0;
        has_searched = 1;
        if (!bfgs(o)) {
            *is_short = 1;
            return 0;
        }
        take_free(o, x);
        *least = hn_chain_loss_at(o, x);
    }
    return moved <= 1e-5;
}
