#include "run/attention.h"

#include <limits.h>
#include <stdarg.h>
#include <stdlib.h>
#include <strings.h>

/* More than this part of the segments without a depth is a gap of the source,
 * not of single pipes. (local rule) */
static const double MOST = 0.5;

typedef struct attention_lines {
    char (*line)[HN_SUMMARY_BYTES];
    size_t count, most;
} attention_lines;

static void say(attention_lines *out, const char *format, ...) HN_PRINTF(2, 3);

static void say(attention_lines *out, const char *format, ...)
{
    va_list args;

    if (out->count == out->most)
        return;
    va_start(args, format);
    vsnprintf(out->line[out->count++], HN_SUMMARY_BYTES, format, args);
    va_end(args);
}

int hn_currency_differs(const hn_plan *plan)
{
    const hn_config *c = &plan->config;

    return c->rate_count > 0 && strcasecmp(c->rates[0].currency, plan->currency) != 0;
}

void hn_attention_issues(hn_state *s)
{
    const hn_plan *plan = s->plan;
    char message[HN_SUMMARY_BYTES];

    if (!hn_currency_differs(plan))
        return;
    snprintf(message, sizeof message, "the plan says %.20s, the price table is in %.40s",
             plan->currency, plan->config.rates[0].currency);
    hn_issue_add(&s->issues, HN_SEVERITY_WARNING, "currency_differs", "", "currency",
                 plan->config.rates[0].currency, message,
                 "no sum is converted: all money is called by the plan's currency; the other "
                 "tables with money (cost_items, consequence) do not say theirs",
                 (double)NAN, (double)NAN);
}

/* The file as a person can open it. */
static const char *rates_file(const hn_plan *plan, char room[PATH_MAX])
{
    const char *full = plan->rates_path ? realpath(plan->rates_path, room) : NULL;

    return full ? full : plan->rates_path ? plan->rates_path : "rates.csv";
}

static void say_money(const hn_plan *plan, attention_lines *out)
{
    char room[PATH_MAX];

    if (hn_currency_differs(plan))
        say(out, "prices are in %.40s but the plan's currency is %s: no sum is converted; see %s",
            plan->config.rates[0].currency, plan->currency, rates_file(plan, room));
    if (plan->config.prices_invented)
        say(out,
            "prices are invented samples, from %s; put your own into a copy and name its "
            "folder in the plan (config: folder)",
            rates_file(plan, room));
}

static void say_depth(const hn_table *t, attention_lines *out)
{
    size_t unknown = 0;

    for (size_t row = 0; row < t->rows; row++)
        unknown += isnan(hn_table_number(t, HN_COL_DEPTH_M, row)) != 0;
    if ((double)unknown > MOST * (double)t->rows)
        say(out,
            "depth is not known for %zu of %zu segments: open cut cannot be told there, and "
            "another method takes its place; map depths, or inverts and ground levels",
            unknown, t->rows);
}

static void say_replaced(const hn_state *s, attention_lines *out)
{
    if (s->other_plan[0] || s->other_title[0])
        say(out,
            "the result in the output folder was made by %s, \"%s\"; a run of this plan takes "
            "its place: give each plan an output folder of its own",
            s->other_plan[0] ? s->other_plan : "another plan", s->other_title);
}

size_t hn_attention(const hn_state *s, char line[][HN_SUMMARY_BYTES], size_t most)
{
    attention_lines out = {.line = line, .most = most};

    say_money(s->plan, &out);
    if (s->table)
        say_depth(s->table, &out);
    say_replaced(s, &out);
    return out.count;
}
