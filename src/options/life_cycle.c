/* Cost of a method to the horizon: the chain of works that begins with it.
 *
 * A chain is linear in its two prices, so its factors are worked out once a
 * plan and a segment costs two multiplications. */
#include "engineering/economics_chain.h"
#include "options/options_state.h"

/* repeat_max in the words of the chain: 0 no limit, -1 never. */
static hn_chain_plan chain_of(const hn_options *o, const hn_method *first, int repeat_max)
{
    return (hn_chain_plan){.first = {1.0, first->life_years, 0.0},
                           .repeat_max = repeat_max,
                           .then = {0.0, first->life_years, 0.0},
                           .rate = o->plan->discount_pct / 100.0,
                           .horizon_years = o->plan->horizon_years,
                           .keep_residual = o->plan->residual_value};
}

static double value_of(hn_chain_plan plan, double first_cost, double then_cost, double then_life)
{
    plan.first.cost = first_cost;
    plan.then = (hn_chain_work){then_cost, then_life, 0.0};
    return hn_replacement_chain(&plan).present_value;
}

void hn_options_prepare_chains(hn_options *o)
{
    const hn_config *config = &o->plan->config;

    for (size_t m = 0; m < config->method_count; m++) {
        const hn_method *method = &config->methods[m];
        hn_chain_plan plan;

        if (method->kind == HN_METHOD_WATCH)
            continue; /* no work, no chain: all factors stay 0 */
        plan = chain_of(o, method, 0);
        o->own[m] = hn_replacement_chain(&plan).present_value;
        if (method->repeat_max == HN_REPEAT_NO_LIMIT)
            continue;
        plan = chain_of(o, method, method->repeat_max ? method->repeat_max : -1);
        o->own_limited[m] = value_of(plan, 1.0, 0.0, method->life_years);
        for (size_t r = 0; r < config->method_count; r++)
            if (config->methods[r].kind == HN_METHOD_REPLACEMENT)
                o->then[m][r] = value_of(plan, 0.0, 1.0, config->methods[r].life_years);
    }
}

/* The replacement that costs least over its own chain, among those possible. */
static void settle_follower(const hn_options *o, size_t row, hn_host *host)
{
    const hn_config *config = &o->plan->config;
    double least = (double)INFINITY;

    host->is_followed = 1;
    host->follower = -1;
    for (int m = 0; m < (int)config->method_count; m++) {
        hn_option option;

        if (config->methods[m].kind != HN_METHOD_REPLACEMENT)
            continue;
        hn_option_evaluate_host(o, row, m, host, &option);
        if (option.verdict >= HN_VERDICT_CANNOT_TELL || !(option.horizon_cost < least))
            continue;
        least = option.horizon_cost;
        host->follower = m;
        host->follower_cost = option.cost;
    }
}

static int is_limited(const hn_options *o, const hn_method *method)
{
    /* a chain that ends before the repeats do is the same either way */
    return method->repeat_max != HN_REPEAT_NO_LIMIT &&
           (method->repeat_max + 1) * method->life_years < o->plan->horizon_years;
}

static hn_chain_parts parts_of(const hn_options *o, size_t row, const hn_option *option,
                               hn_host *host)
{
    const int m = option->method;
    const hn_method *method = &o->plan->config.methods[m];
    hn_chain_parts parts = {o->own[m], -1, 0.0, 0.0};

    if (method->kind == HN_METHOD_REPLACEMENT || !is_limited(o, method))
        return parts;
    if (!host->is_followed)
        settle_follower(o, row, host);
    if (host->follower >= 0)
        parts = (hn_chain_parts){o->own_limited[m], host->follower, host->follower_cost,
                                 o->then[m][host->follower]};
    return parts;
}

double hn_option_chain_cost(const hn_options *o, size_t row, const hn_option *option,
                            hn_host *host)
{
    const hn_chain_parts parts = parts_of(o, row, option, host);

    return parts.follower < 0 ? option->cost * parts.own
                              : option->cost * parts.own + parts.follower_cost * parts.then;
}

hn_chain_parts hn_option_chain(const hn_options *o, size_t row, const hn_option *option)
{
    hn_host host;

    hn_option_look_at_host(o, row, &host);
    return parts_of(o, row, option, &host);
}

int hn_option_follower(const hn_options *o, size_t row, double *cost)
{
    hn_host host;

    hn_option_look_at_host(o, row, &host);
    settle_follower(o, row, &host);
    *cost = host.follower < 0 ? (double)NAN : host.follower_cost;
    return host.follower;
}
