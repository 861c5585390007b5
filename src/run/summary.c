#include "run/summary.h"

#include "run/attention.h"

#include <stdarg.h>
#include <stdio.h>

enum { ATTENTIONS = 6 };

static void say(hn_summary *s, const char *format, ...) HN_PRINTF(2, 3);

static void say(hn_summary *s, const char *format, ...)
{
    va_list args;

    if (!s || s->count == HN_SUMMARY_LINES)
        return;
    va_start(args, format);
    vsnprintf(s->line[s->count++], HN_SUMMARY_BYTES, format, args);
    va_end(args);
}

typedef struct tally {
    size_t observed, act_now, lined, replaced, other, funded, unfunded, errors, warnings;
    double length_m, observed_m, lined_cost, replaced_cost, unfunded_cost, loss;
} tally;

static double known(double v)
{
    return isnan(v) ? 0.0 : v;
}

static void count_method(const hn_state *s, size_t row, tally *c)
{
    const hn_table *t = s->table;
    uint8_t method = hn_code(t, HN_COL_METHOD, row);

    if (method == HN_CODE_MISSING || !hn_is_candidate(t, s->plan, row))
        return;
    switch (s->plan->config.methods[method].kind) {
    case HN_METHOD_LINING:
        c->lined++;
        c->lined_cost += known(hn_f64(t, HN_COL_COST, row));
        break;
    case HN_METHOD_REPLACEMENT:
        c->replaced++;
        c->replaced_cost += known(hn_f64(t, HN_COL_COST, row));
        break;
    default:
        c->other++;
    }
}

static tally count_rows(const hn_state *s)
{
    tally c = {0};
    const hn_table *t = s->table;

    for (size_t row = 0; row < t->rows; row++) {
        double length = known(hn_f64(t, HN_COL_LENGTH_M, row));
        uint8_t state = hn_code(t, HN_COL_PROGRAMME, row);

        c.length_m += length;
        if (hn_code(t, HN_COL_CONDITION_BASIS, row) == HN_BASIS_OBSERVED) {
            c.observed++;
            c.observed_m += length;
        }
        c.act_now += hn_code(t, HN_COL_ACT_NOW, row) != HN_CODE_MISSING;
        c.funded += state == HN_PROGRAMME_FUNDED || state == HN_PROGRAMME_COMMITTED;
        if (state == HN_PROGRAMME_UNFUNDED) {
            c.unfunded++;
            c.unfunded_cost += known(hn_f64(t, HN_COL_COST, row));
        }
        c.loss += known(hn_f64(t, HN_COL_LOSS_NOW, row));
        count_method(s, row, &c);
    }
    for (size_t i = 0; i < s->issues.count; i++) {
        c.errors += s->issues.items[i].severity == HN_SEVERITY_ERROR;
        c.warnings += s->issues.items[i].severity == HN_SEVERITY_WARNING;
    }
    return c;
}

void hn_summary_fill(const hn_state *s, int reconciles, hn_summary *out)
{
    tally c = count_rows(s);
    const hn_allocation *plan = &s->scenario[1].allocation;
    const char *money = s->plan->currency;
    char line[ATTENTIONS][HN_SUMMARY_BYTES];

    if (!out)
        return;
    out->count = 0;
    out->segments = s->table->rows;
    out->peak_table_bytes = hn_table_bytes(s->table);
    say(out, "read       %zu rows, %zu segments, %.1f km; %zu inspection records",
        s->network.rows_read, s->table->rows, c.length_m / 1000.0, s->join.records);
    say(out, "seen       %zu segments, %.1f %% of the length; the rest is inferred or unknown",
        c.observed, c.length_m > 0.0 ? 100.0 * c.observed_m / c.length_m : 0.0);
    if (s->plan->observation_count)
        say(out, "observed   %zu observations, %zu with a grade; %zu recorded grades differ",
            s->observed.observations, s->observed.graded, s->observed.differ);
    say(out, "wrong      %zu errors and %zu warnings in the data (layer data_issues)", c.errors,
        c.warnings);
    say(out, "risk       %.0f %s expected loss a year if nothing is done", c.loss, money);
    say(out, "act now    %zu segments, whatever their rank (layer act_now)", c.act_now);
    say(out, "line       %zu segments for %.0f %s", c.lined, c.lined_cost, money);
    say(out, "replace    %zu segments for %.0f %s; other work on %zu", c.replaced, c.replaced_cost,
        money, c.other);
    say(out, "funded     %zu segments for %.0f %s in %zu years, %zu projects", plan->funded,
        plan->total_cost, money, plan->years, s->projects);
    say(out, "unfunded   %zu segments, %.0f %s", c.unfunded, c.unfunded_cost, money);
    if (plan->committed_over > 0.005)
        say(out, "attention  commitments exceed the budgets of their years by %.0f %s",
            plan->committed_over, money);
    for (size_t i = 0, n = hn_attention(s, line, ATTENTIONS); i < n; i++)
        say(out, "attention  %.*s", HN_SUMMARY_BYTES - 16, line[i]);
    if (!reconciles)
        say(out, "attention  a total does not agree: see table reconciliation, and report it");
    say(out, "results    %s (result.gpkg, tables/%s)", s->plan->output_folder,
        s->plan->write_xlsx ? ", tables.xlsx" : "");
    say(out,
        "caution    planning level only, no design; local codes and a licensed engineer decide");
}
