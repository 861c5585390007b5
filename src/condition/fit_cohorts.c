/* Which rates each cohort gets: its own, with a prior, pooled, or as before. */
#include "condition/fit_parts.h"

#include "base/alloc.h"
#include "base/parallel.h"

#include <math.h>
#include <string.h>

const char *const hn_fit_method_names[HN_FIT_METHOD_COUNT] = {"own fit", "prior", "pooled", "kept"};

/* Readings of one cohort and driver on the way to a fit. */
typedef struct gathering {
    hn_chain_data plain, aged;
    double length, length_squared;
} gathering;

typedef struct fitting {
    const hn_fit_spec *spec;
    int part;
    hn_fit *out;
    gathering *g;  /* [cohorts + 1][HN_DRIVERS] */
    size_t base;   /* number of the first fit of the batch that runs */
    hn_status *rc; /* per fit */
    hn_error *errors;
} fitting;

static int is_single(uint8_t grades)
{
    return (grades & (grades - 1)) == 0;
}

static int number_of(uint8_t grades)
{
    int g = 0;

    while (grades >> g && !(grades >> g & 1u))
        g++;
    return g;
}

static void count_records(const hn_fit_sequence *s, hn_fit_records *r)
{
    const size_t given = s->age_known ? 0 : 1;

    r->improving += s->improving;
    r->no_age += s->count > 0 && given;
    if (s->count <= given)
        return;
    r->segments++;
    r->readings += s->count - given;
    r->cross_section += s->age_known ? 1 : 0;
    r->pairs += s->count - 1;
    r->partial += s->partial;
    for (size_t i = 0; i < s->count; i++) {
        const uint8_t set = s->reading[i].grades;

        if (!is_single(set))
            continue;
        r->by_grade[number_of(set)]++;
        r->pairs_same += i > 0 && s->reading[i - 1].grades == set;
    }
}

/* In the back-test only where the fit of all uses growth: it costs most of the time. */
static int tries_growth(const fitting *f, size_t at)
{
    return f->part == 0 || (f->spec->whole && f->spec->whole->of[at].growth_per_year != 0.0);
}

static hn_status add_sequence(int with_growth, gathering *g, const hn_fit_sequence *s,
                              hn_fit_records *records, hn_error *err)
{
    hn_status rc = HN_OK;

    count_records(s, records);
    if (s->count <= (s->age_known ? 0u : 1u) || !(s->weight > 0.0))
        return HN_OK;
    g->length += s->weight;
    g->length_squared += s->weight * s->weight;
    HN_TRY(hn_chain_data_add(&g->plain, s->reading, s->count, s->age_known, s->weight, err));
    if (with_growth && s->age_known)
        HN_TRY(hn_chain_data_add(&g->aged, s->reading, s->count, 1, s->weight, err));
out:
    return rc;
}

static hn_status gather(fitting *f, hn_error *err)
{
    hn_fit_walk walk = {.spec = f->spec};
    hn_fit_sequence s;
    hn_status rc = HN_OK;

    while (hn_fit_next(&walk)) {
        const size_t cohort = f->spec->cohort[walk.row];

        if (f->part && hn_fit_is_held_out(f->spec, (size_t)walk.row))
            continue;
        for (int d = 0; d < HN_DRIVERS; d++) {
            if (!hn_fit_take(&walk, d, &s))
                HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory for readings"));
            f->out->before_built += d == HN_STRUCTURAL ? s.before_built : 0;
            for (int all = 0; all < 2; all++) {
                const size_t at = (all ? f->out->cohorts : cohort) * HN_DRIVERS + (size_t)d;

                HN_TRY(
                    add_sequence(tries_growth(f, at), &f->g[at], &s, &f->out->of[at].records, err));
            }
        }
    }
out:
    hn_fit_walk_clear(&walk);
    return rc;
}

/* Weights by length that add up to the number of equally weighted segments which
 * would be as informative. Source: L. Kish, Survey Sampling (1965), section 11.7
 * (from memory): n = (sum w)^2 / sum w^2. */
static hn_status pack(gathering *g, hn_fit_records *records, hn_error *err)
{
    const double factor = g->length_squared > 0.0 ? g->length / g->length_squared : 0.0;
    hn_status rc = HN_OK;

    records->effective = g->length * factor;
    hn_chain_data_scale(&g->plain, factor);
    hn_chain_data_scale(&g->aged, factor);
    HN_TRY(hn_chain_data_pack(&g->plain, err));
    HN_TRY(hn_chain_data_pack(&g->aged, err));
out:
    return rc;
}

static void keep(const fitting *f, size_t cohort, int driver, hn_cohort_fit *c)
{
    const hn_cohort *cohorts = f->spec->plan->config.cohorts;
    size_t from = cohort;

    /* all together: the cohort that takes every segment */
    for (size_t i = 0; cohort == f->out->cohorts && i < f->out->cohorts; i++)
        if (cohorts[i].condition)
            from = i;
    c->method = HN_FIT_KEPT;
    memcpy(c->rate_per_year, cohorts[from].rate_per_year[driver], sizeof c->rate_per_year);
    c->growth_per_year = cohorts[from].growth_per_year[driver];
    /* mean of the first fifty years (local rule) */
    for (int k = 0; k < HN_CHAIN_RATES; k++)
        c->constant_per_year[k] =
            c->rate_per_year[k] * hn_chain_operational_years(c->growth_per_year, 0.0, 50.0) / 50.0;
}

static void starting_rates(const double *from, double out[HN_CHAIN_RATES])
{
    for (int k = 0; k < HN_CHAIN_RATES; k++)
        out[k] = fmin(fmax(from[k], 1e-4), HN_CHAIN_RATE_MOST);
}

static int any_open(const hn_chain_fit *fit, int not_seen[HN_CHAIN_RATES])
{
    int any = 0;

    for (int k = 0; k < HN_CHAIN_RATES; k++) {
        not_seen[k] = fit->at_bound[k] || !(fit->se_log_rate[k] < 2.0);
        any |= not_seen[k];
    }
    return any;
}

static hn_status fit_growth(const fitting *f, gathering *g, hn_cohort_fit *c, hn_error *err)
{
    hn_chain_fit_spec spec = {.data = &g->aged, .read = f->spec->read};
    hn_chain_fit constant;
    hn_status rc = HN_OK;

    memcpy(spec.start, c->rate_per_year, sizeof spec.start);
    HN_TRY(hn_chain_fit_rates(&spec, &constant, err));
    spec.with_growth = 1;
    HN_TRY(hn_chain_fit_rates(&spec, &c->growth, err));
    c->growth_aic_change = c->growth.aic - constant.aic;
out:
    return rc;
}

/* Falling rates are what records look like from which bad pipes are gone: they would be
 * carried into the future as a promise, and are shown only. */
static int growth_is_used(const hn_cohort_fit *c)
{
    return c->growth.parameters && c->growth.has_converged && c->growth.growth_per_year > 0.0 &&
           c->growth.growth_per_year < HN_CHAIN_GROWTH_MOST && c->growth.growth_se > 0.0 &&
           c->growth_aic_change < -HN_FIT_GROWTH_AIC;
}

/* The fit with growth takes the place of the constant one. Its intervals are from the
 * standard errors: a profile over both ages of every pair would take longer than all
 * else. 1.96: 97.5 % point of the normal distribution, any table. */
static void use_growth(hn_cohort_fit *c)
{
    c->fit = c->growth;
    c->growth_per_year = c->fit.growth_per_year;
    for (int k = 0; k < HN_CHAIN_RATES; k++) {
        const double factor = exp(1.959964 * c->fit.se_log_rate[k]);

        c->rate_per_year[k] = c->fit.rate_per_year[k];
        c->fit.low[k] = isnan(factor) ? 0.0 : c->fit.rate_per_year[k] / factor;
        c->fit.high[k] = isnan(factor) ? (double)INFINITY : c->fit.rate_per_year[k] * factor;
    }
}

/* Own fit, or with a prior where the records are few or leave a rate open. */
static hn_status fit_one(const fitting *f, gathering *g, const double *centre, int is_pooled,
                         hn_cohort_fit *c, hn_error *err)
{
    hn_chain_fit_spec spec = {.data = &g->plain, .read = f->spec->read};
    hn_status rc = HN_OK;

    starting_rates(centre, spec.start);
    starting_rates(centre, spec.prior);
    c->method = HN_FIT_OWN;
    HN_TRY(hn_chain_fit_rates(&spec, &c->fit, err));
    if (any_open(&c->fit, c->not_seen) ||
        (!is_pooled && c->records.readings < HN_FIT_OWN_RECORDS)) {
        c->method = HN_FIT_PRIOR;
        spec.prior_weight = HN_FIT_PRIOR_WEIGHT;
    }
    spec.with_intervals = f->part == 0;
    if (spec.with_intervals || c->method == HN_FIT_PRIOR)
        HN_TRY(hn_chain_fit_rates(&spec, &c->fit, err));
    memcpy(c->rate_per_year, c->fit.rate_per_year, sizeof c->rate_per_year);
    memcpy(c->constant_per_year, c->fit.rate_per_year, sizeof c->constant_per_year);
    c->growth_per_year = 0.0;
    if (c->method == HN_FIT_OWN && g->aged.cells > 0)
        HN_TRY(fit_growth(f, g, c, err));
    if (growth_is_used(c))
        use_growth(c);
out:
    return rc;
}

static hn_status fit_cohort(const fitting *f, size_t at, hn_error *err)
{
    const size_t cohort = at / HN_DRIVERS;
    const int driver = (int)(at % HN_DRIVERS);
    const size_t pooled_at = f->out->cohorts * HN_DRIVERS + (size_t)driver;
    hn_cohort_fit *c = &f->out->of[at];
    const hn_cohort_fit *pooled = &f->out->of[pooled_at];
    const int is_pooled = cohort == f->out->cohorts;
    hn_status rc = HN_OK;

    HN_TRY(pack(&f->g[at], &c->records, err));
    keep(f, cohort, driver, c);
    if (c->records.readings == 0 ||
        (is_pooled ? c->records.readings < HN_FIT_LEAST_RECORDS : pooled->method == HN_FIT_KEPT))
        goto out;
    if (!is_pooled && c->records.readings < HN_FIT_LEAST_RECORDS) {
        c->method = HN_FIT_POOLED;
        c->fit = pooled->fit;
        memcpy(c->rate_per_year, pooled->rate_per_year, sizeof c->rate_per_year);
        c->growth_per_year = pooled->growth_per_year;
        goto out;
    }
    HN_TRY(fit_one(f, &f->g[at], is_pooled ? c->constant_per_year : pooled->constant_per_year,
                   is_pooled, c, err));
out:
    return rc;
}

static void fit_some(void *context, size_t begin, size_t end, int worker)
{
    const fitting *f = context;

    for (size_t i = f->base + begin; i < f->base + end; i++) {
        f->rc[i] = fit_cohort(f, i, &f->errors[i]);
        if (worker == 0 && f->spec->tick)
            f->spec->tick(f->spec->tick_context);
    }
}

/* Fits from .. to - 1 side by side: none knows of another of its batch. */
static hn_status fit_batch(fitting *f, size_t from, size_t to, hn_error *err)
{
    f->base = from;
    hn_parallel_blocks(f->spec->threads, to - from, 1, fit_some, f);
    for (size_t i = from; i < to; i++)
        if (f->rc[i] != HN_OK) {
            if (err)
                *err = f->errors[i];
            return f->rc[i];
        }
    return HN_OK;
}

hn_status hn_fit_cohorts(const hn_fit_spec *spec, int part, hn_fit *out, hn_error *err)
{
    fitting f = {.spec = spec, .part = part, .out = out};
    size_t n;
    hn_status rc = HN_OK;

    out->cohorts = spec->plan->config.cohort_count;
    n = (out->cohorts + 1) * HN_DRIVERS;
    out->of = hn_alloc(n, sizeof *out->of);
    f.g = hn_alloc(n, sizeof *f.g);
    HN_TRY_ALLOC(out->of);
    f.rc = hn_alloc(n, sizeof *f.rc);
    f.errors = hn_alloc(n, sizeof *f.errors);
    HN_TRY_ALLOC(f.g);
    HN_TRY_ALLOC(f.rc);
    HN_TRY_ALLOC(f.errors);
    for (size_t i = 0; i < n; i++) {
        f.g[i].plain =
            (hn_chain_data){.grid_years = HN_FIT_GRID_YEARS, .whole = spec->read != NULL};
        f.g[i].aged = f.g[i].plain;
        f.g[i].aged.by_age = 1;
        f.g[i].aged.grid_years = HN_FIT_GROWTH_GRID_YEARS;
    }
    HN_TRY(gather(&f, err));
    HN_TRY(fit_batch(&f, n - HN_DRIVERS, n, err)); /* all together first */
    HN_TRY(fit_batch(&f, 0, n - HN_DRIVERS, err));
out:
    for (size_t i = 0; f.g && i < n; i++) {
        hn_chain_data_clear(&f.g[i].plain);
        hn_chain_data_clear(&f.g[i].aged);
    }
    hn_free(f.g);
    hn_free(f.rc);
    hn_free(f.errors);
    return rc;
}

hn_status hn_fit_run(const hn_fit_spec *spec, hn_fit *out, hn_error *err)
{
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out);
    HN_TRY(hn_fit_cohorts(spec, 0, out, err));
    HN_TRY(hn_fit_compare(spec, out, err));
    HN_TRY(hn_fit_warn_all(spec, out, err));
out:
    return rc;
}

void hn_fit_clear(hn_fit *fit)
{
    hn_free(fit->of);
    hn_free(fit->band);
    hn_free(fit->warning);
    memset(fit, 0, sizeof *fit);
}
