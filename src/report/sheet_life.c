/* Cost over the years, loss avoided, and what is left: the net benefit. */
#include "report/sheet_parts.h"

#include "engineering/economics.h"

static const char *const drivers[HN_OUTLOOK_DRIVERS] = {"structural", "service", "tightness"};

static const hn_view_column columns[] = {
    {"driver", "Driver", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"treated", "Treated", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"failure_cost", "One failure", "", "money", HN_VIEW_REAL, 2, NULL, 0},
    {"expected_failures", "Expected failures, discounted", "", "", HN_VIEW_REAL, 5, NULL, 0},
    {"loss_kept", "Loss if nothing is done", "", "money", HN_VIEW_REAL, 2, NULL, 0},
    {"loss_avoided", "Loss avoided", "", "money", HN_VIEW_REAL, 2, NULL, 0},
};

static double failure_cost(const hn_sheet_facts *f, int driver)
{
    static const hn_column_id ids[HN_OUTLOOK_DRIVERS] = {
        HN_COL_CONSEQUENCE_MONEY, HN_COL_CONSEQUENCE_SERVICE, HN_COL_CONSEQUENCE_TIGHTNESS};

    return hn_f64(f->table, ids[driver], f->row);
}

/* One driver's part: the same call with the cost of the others left out. */
static void add_driver(const hn_sheet_facts *f, const hn_option *o, int d, hn_sheet *s,
                       hn_sheet_item *t)
{
    double cost[HN_OUTLOOK_DRIVERS] = {0.0, 0.0, 0.0};
    double keep = hn_loss_keep(f->loss, f->outlook, f->row, d, 0);

    cost[d] = failure_cost(f, d);
    hn_sheet_cell_word(s, t, drivers[d]);
    hn_sheet_cell_word(s, t, hn_sheet_method_of(f, o)->treats[d] ? "yes" : "no");
    hn_sheet_cell_number(s, t, cost[d]);
    hn_sheet_cell_number(s, t, keep);
    hn_sheet_cell_number(s, t, keep * cost[d]);
    hn_sheet_cell_number(s, t,
                         hn_loss_avoided(f->loss, f->outlook, f->row, (size_t)o->method, 0, cost));
}

static void add_avoided(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const hn_method *m = hn_sheet_method_of(f, o);
    hn_sheet_item *t = hn_sheet_table(
        s, "loss_parts", "Loss to the horizon, present value, work done in the first year", columns,
        sizeof columns / sizeof columns[0]);
    hn_sheet_item *item;

    for (int d = 0; d < HN_OUTLOOK_DRIVERS; d++)
        add_driver(f, o, d, s, t);
    hn_sheet_word(
        s, "afterwards", "Condition afterwards",
        m->kind == HN_METHOD_WATCH
            ? "as before"
            : hn_sheet_text(s, "grade %d, then ages as cohort \"%s\"; done again after its life",
                            m->grade_after, m->cohort_after ? m->cohort_after : "its own"),
        "methods");
    item = hn_sheet_number(s, "loss_avoided", "Loss avoided", "A", o->loss_avoided, 2, "money",
                           "sum of the treated drivers, not below 0");
    hn_sheet_agrees(f, o, s, item, HN_COL_LOSS_AVOIDED);
}

/* The work, its repeats and what follows it. */
static void add_chain(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const hn_chain_parts parts = hn_option_chain(f->options, f->row, o);
    const char *symbols = "K = cost x F1", *numbers, *source;

    numbers = hn_sheet_text(s, "%s x %s", hn_sheet_grouped(s, o->cost, 2),
                            hn_sheet_digits(s, parts.own));
    source = hn_sheet_text(s,
                           "F1: works of price 1 at the end of each life for %d years at %s %%%s, "
                           "docs/engineering/economics.md",
                           f->plan->horizon_years, hn_sheet_digits(s, f->plan->discount_pct),
                           f->plan->residual_value ? ", less the value of unused life" : "");
    if (parts.follower >= 0) {
        symbols = "K = cost x F1 + cost2 x F2";
        numbers = hn_sheet_text(s, "%s + %s x %s", numbers,
                                hn_sheet_grouped(s, parts.follower_cost, 2),
                                hn_sheet_digits(s, parts.then));
        source = hn_sheet_text(s, "%s; F2 and cost2: %s, when the last repeat is used up", source,
                               f->plan->config.methods[parts.follower].title);
    }
    hn_sheet_formula(s, "horizon_cost", "Cost of the years to the horizon, present value", symbols,
                     numbers, o->horizon_cost, 2, "money", source);
}

static void add_years(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const hn_method *m = hn_sheet_method_of(f, o);
    double rate = f->plan->discount_pct / 100.0;
    hn_sheet_item *item;

    hn_sheet_number(s, "life_years", "Life", "n", m->life_years, 0, "years", "methods");
    if (m->life_years > 0.0) {
        item = hn_sheet_formula(
            s, "yearly_cost", "Equal yearly cost over the life", "E = cost x i / (1 - (1 + i)^-n)",
            hn_sheet_text(s, "%s x %s", hn_sheet_grouped(s, o->cost, 2),
                          hn_sheet_digits(s, hn_factor_ap(rate, m->life_years))),
            o->yearly_cost, 2, "money/year", "A/P factor, docs/engineering/economics.md");
        hn_sheet_agrees(f, o, s, item, HN_COL_YEARLY_COST);
    }
    add_chain(f, o, s);
}

void hn_sheet_life(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    hn_sheet_begin(s, "life", "Over the years");
    add_years(f, o, s);
    add_avoided(f, o, s);
    hn_sheet_formula(s, "net_benefit", "Net benefit; the greatest is chosen", "NB = A - K",
                     hn_sheet_text(s, "%s - %s", hn_sheet_grouped(s, o->loss_avoided, 2),
                                   hn_sheet_grouped(s, o->horizon_cost, 2)),
                     o->net_benefit, 2, "money", "");
    hn_sheet_end(s);
}
