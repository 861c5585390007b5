#include "engineering/chain_fit.h"

#include "base/alloc.h"
#include "engineering/chain_objective.h"

#include <math.h>
#include <nlopt.h>
#include <stdio.h>
#include <string.h>

/* Half of the 95 % point of chi-square with 1 degree of freedom. Source: any
 * table, for example M. Abramowitz, I. A. Stegun (1964), table 26.8: 3.84146. */
static const double HALF_CHI_SQUARE_95 = 3.841458820694124 / 2.0;
/* Widest interval looked for: a factor of e^6 = 400; where the estimate lies at a
 * bound, up to the other bound. Local rule. */
static const double WIDEST = 6.0, WIDEST_OF_BOUND = 16.0;
enum { MOST_ROOT_STEPS = 40 };

const char *hn_nlopt_version(void)
{
    static char text[32];
    int major, minor, bug_fix;

    nlopt_version(&major, &minor, &bug_fix);
    snprintf(text, sizeof text, "%d.%d.%d", major, minor, bug_fix);
    return text;
}

double hn_chain_rate_of_share(double beyond, double pipes, double age_years)
{
    if (!(beyond >= 0.0 && beyond < pipes && age_years > 0.0))
        return (double)NAN;
    return -log1p(-beyond / pipes) / age_years;
}

double hn_chain_rate_of_share_se(double beyond, double pipes, double age_years)
{
    if (!(beyond >= 0.0 && beyond < pipes && age_years > 0.0))
        return (double)NAN;
    return sqrt(beyond / (pipes * (pipes - beyond))) / age_years;
}

/* ---- standard errors ---- */

static void no_errors(hn_chain_fit *out)
{
    for (int k = 0; k < HN_CHAIN_RATES; k++)
        out->se_log_rate[k] = (double)NAN;
    out->growth_se = (double)NAN;
}

static int at_bound(const hn_chain_objective *o, int parameter)
{
    const double margin = parameter < HN_CHAIN_RATES ? 0.1 : 1e-6;

    return o->at[parameter] < hn_chain_bound_low(parameter) + margin ||
           o->at[parameter] > hn_chain_bound_high(parameter) - margin;
}

static void take_errors(hn_chain_objective *o, hn_chain_fit *out)
{
    double h[HN_CHAIN_PARAMETERS * HN_CHAIN_PARAMETERS], variance[HN_CHAIN_PARAMETERS];
    const size_t n = (size_t)o->count;

    int flat[HN_CHAIN_PARAMETERS];

    no_errors(out);
    hn_chain_information(o, h, flat);
    if (!hn_chain_variances(h, n, variance))
        return;
    for (size_t i = 0; i < n; i++) {
        double se = flat[i] || at_bound(o, o->free[i]) ? (double)NAN : sqrt(variance[i]);

        if (o->free[i] < HN_CHAIN_RATES)
            out->se_log_rate[o->free[i]] = se;
        else
            out->growth_se = se;
    }
}

/* ---- profile ---- */

typedef struct profile {
    hn_chain_objective *o; /* with one parameter held */
    int held;
    double level;                     /* loss at the ends of the interval */
    double best[HN_CHAIN_PARAMETERS]; /* where the fit stands */
    int is_short;
} profile;

/* How far the profile at `value` lies above the level. Starts from where the
 * last call ended, which is near. */
static double above(profile *p, double value)
{
    double least;

    p->o->at[p->held] = value;
    hn_chain_minimise(p->o, &least, &p->is_short);
    return least - p->level;
}

/* Where the profile crosses the level on one side; the open end when it does not.
 * Regula falsi with the halving of the Illinois rule: the profile is nearly a
 * parabola. */
static double cross(profile *p, double direction, double se)
{
    double inside = p->best[p->held], outside = inside, low = -HALF_CHI_SQUARE_95, high = low;
    double step = isnan(se) ? 1.0 : fmin(2.0 * se, 2.0);
    const double widest = isnan(se) ? WIDEST_OF_BOUND : WIDEST;

    memcpy(p->o->at, p->best, sizeof p->best);
    while (high < 0.0) {
        inside = outside;
        low = high;
        outside += direction * step;
        if (fabs(outside - p->best[p->held]) > widest || outside < hn_chain_bound_low(p->held) ||
            outside > hn_chain_bound_high(p->held))
            return direction > 0.0 ? (double)INFINITY : (double)-INFINITY;
        high = above(p, outside);
    }
    for (int i = 0; i < MOST_ROOT_STEPS && fabs(outside - inside) > 1e-6; i++) {
        double middle = inside + (outside - inside) * low / (low - high);
        double there = above(p, middle);

        if (fabs(there) < 1e-5)
            return middle;
        if (there < 0.0) {
            inside = middle;
            low = there;
            high *= 0.5;
        } else {
            outside = middle;
            high = there;
            low *= 0.5;
        }
    }
    return 0.5 * (inside + outside);
}

static void hold_one(hn_chain_objective *o, int held, int count)
{
    o->count = o->has_factor = 0;
    for (int p = 0; p < count; p++)
        if (p != held)
            o->free[o->count++] = p;
}

static int take_intervals(hn_chain_objective *o, double least, hn_chain_fit *out)
{
    profile p = {.o = o, .level = least + HALF_CHI_SQUARE_95};

    memcpy(p.best, o->at, sizeof p.best);
    o->reuse = 1;
    for (int k = 0; k < HN_CHAIN_RATES; k++) {
        hold_one(o, k, out->parameters);
        p.held = k;
        out->low[k] = exp(cross(&p, -1.0, out->se_log_rate[k]));
        out->high[k] = exp(cross(&p, 1.0, out->se_log_rate[k]));
        memcpy(o->at, p.best, sizeof p.best);
    }
    return !p.is_short;
}

/* ---- the fit ---- */

static hn_status begin(const hn_chain_fit_spec *spec, hn_chain_objective *o, hn_error *err)
{
    o->spec = spec;
    hold_one(o, -1, HN_CHAIN_RATES + (spec->with_growth ? 1 : 0));
    for (int k = 0; k < HN_CHAIN_RATES; k++)
        o->at[k] = log(fmin(fmax(spec->start[k], 2.0 * HN_CHAIN_RATE_LEAST), 1.0));
    o->move = hn_alloc(spec->data->spans, sizeof *o->move);
    if (!o->move)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for the fit");
    if (hn_chain_loss_at(o, o->at) < 1e300)
        return HN_OK;
    hn_fail(err, HN_ERR_INPUT, "readings that no rates explain, as a grade that gets better");
    hn_hint(err, "leave them out, or give a misreading matrix");
    return HN_ERR_INPUT;
}

static void take_estimates(hn_chain_objective *o, hn_chain_fit *out)
{
    for (int k = 0; k < HN_CHAIN_RATES; k++) {
        out->rate_per_year[k] = exp(o->at[k]);
        out->at_bound[k] = at_bound(o, k);
        out->low[k] = 0.0;
        out->high[k] = (double)INFINITY;
    }
    out->growth_per_year = o->at[HN_CHAIN_RATES];
    out->parameters = o->count;
    out->log_likelihood = hn_chain_log_likelihood_at(o, o->at);
    out->aic = 2.0 * out->parameters - 2.0 * out->log_likelihood;
}

hn_status hn_chain_fit_rates(const hn_chain_fit_spec *spec, hn_chain_fit *out, hn_error *err)
{
    /* growth needs the dearest tables and is for comparison only */
    hn_chain_objective o = {.spec = spec, .reuse = spec->data->by_age};
    double least;
    int is_short = 0;
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out);
    no_errors(out);
    HN_TRY(begin(spec, &o, err));
    out->has_converged = hn_chain_minimise(&o, &least, &is_short);
    take_estimates(&o, out);
    take_errors(&o, out);
    if (!is_short && spec->with_intervals)
        is_short = !take_intervals(&o, least, out);
    out->evaluations = o.evaluations;
    if (is_short)
        rc = hn_fail(err, HN_ERR_MEMORY, "out of memory for the fit");
out:
    hn_free(o.move);
    return rc;
}
