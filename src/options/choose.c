#include "options/choose.h"

static int is_possible(const hn_option *option)
{
    return (option->verdict == HN_VERDICT_FITS || option->verdict == HN_VERDICT_AFTER_WORKS) &&
           !isnan(option->net_benefit);
}

static int is_better(const hn_option *options, int a, int b)
{
    if (b < 0)
        return 1;
    if (options[a].net_benefit != options[b].net_benefit)
        return options[a].net_benefit > options[b].net_benefit;
    return options[a].cost < options[b].cost;
}

static int best_of(const hn_options *o, const hn_option *options, int kind, int except)
{
    int best = -1;

    for (int m = 0; m < (int)o->plan->config.method_count; m++) {
        if (m == o->watch || m == except || !is_possible(&options[m]))
            continue;
        if (kind >= 0 && (int)o->plan->config.methods[m].kind != kind)
            continue;
        if (is_better(options, m, best))
            best = m;
    }
    return best;
}

hn_choice hn_choose(const hn_options *o, const hn_option *options)
{
    hn_choice c;
    int may_watch = o->watch >= 0 && options[o->watch].verdict == HN_VERDICT_FITS;

    c.best_lining = best_of(o, options, HN_METHOD_LINING, -1);
    c.best_replacement = best_of(o, options, HN_METHOD_REPLACEMENT, -1);
    c.chosen = best_of(o, options, -1, -1);
    if (may_watch && (c.chosen < 0 || options[c.chosen].net_benefit <= 0.0)) {
        c.runner_up = c.chosen;
        c.chosen = o->watch;
        return c;
    }
    c.runner_up = best_of(o, options, -1, c.chosen);
    if (c.runner_up < 0 && may_watch)
        c.runner_up = o->watch;
    return c;
}
