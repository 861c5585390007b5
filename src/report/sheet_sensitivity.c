/* What would change the choice: prices, horizon, limits that are near. */
#include "report/sheet_parts.h"

#include "engineering/economics_chain.h"

enum { FLIPS = 16, HORIZON_MOST = 120 };

/* A limit is near when the value is within this share of it. Local rule. */
static const double NEAR = 0.15;

static const hn_view_column near_columns[] = {
    {"rule", "Rule", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"holds", "Holds", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"column", "Value of", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"value", "Value", "", "", HN_VIEW_REAL, 3, NULL, 0},
    {"limit", "Limit", "", "", HN_VIEW_REAL, 3, NULL, 0},
    {"off_pct", "Off by", "", "%", HN_VIEW_REAL, 1, NULL, 0},
};

/* ---- prices ---- */

static void add_price(hn_sheet *s, const char *key, const char *label, double lead, double money,
                      int rises)
{
    double percent = lead / money * 100.0;

    if (!(money > 0.0))
        return;
    if (!rises && percent > 100.0)
        hn_sheet_word(s, key, label, "never by price alone", "even for nothing it would not win");
    else
        hn_sheet_number(s, key, label, NULL, percent, 1, "%",
                        "net benefit lead / what of the cost to the horizon moves with its price");
}

/* What of the cost to the horizon moves with the price of this method; a
 * replacement that follows later keeps its own. */
static double moving_part(const hn_sheet_facts *f, const hn_option *o)
{
    return o->cost * hn_option_chain(f->options, f->row, o).own;
}

static void add_prices(const hn_sheet_facts *f, const hn_option *a, const hn_option *b,
                       hn_sheet *s)
{
    double lead = a->net_benefit - b->net_benefit;

    if (lead < 0.0) {
        hn_sheet_say(s, "already",
                     "By net benefit the runner-up would win already: a person or a commitment "
                     "decided otherwise.");
        return;
    }
    add_price(s, "chosen_price_rise_pct", "The runner-up wins when the chosen one's cost rises by",
              lead, moving_part(f, a), 1);
    add_price(s, "runner_up_price_fall_pct", "or when the runner-up's cost falls by", lead,
              moving_part(f, b), 0);
}

/* ---- horizons ---- */

static hn_chain_plan chain_of(const hn_sheet_facts *f, const hn_option *o)
{
    const hn_method *m = hn_sheet_method_of(f, o);
    double follower_cost;
    int follower = hn_option_follower(f->options, f->row, &follower_cost);
    hn_chain_plan plan = {.first = {o->cost, m->life_years, 0.0},
                          .repeat_max = 0,
                          .then = {(double)NAN, (double)NAN, 0.0},
                          .rate = f->plan->discount_pct / 100.0,
                          .horizon_years = f->plan->horizon_years,
                          .keep_residual = f->plan->residual_value};

    if (follower < 0 || m->kind == HN_METHOD_REPLACEMENT || m->repeat_max == HN_REPEAT_NO_LIMIT)
        return plan;
    plan.repeat_max = m->repeat_max ? m->repeat_max : -1;
    plan.then =
        (hn_chain_work){follower_cost, f->plan->config.methods[follower].life_years, 0.0};
    return plan;
}

static void add_horizons(const hn_sheet_facts *f, const hn_option *a, const hn_option *b,
                         hn_sheet *s)
{
    hn_chain_plan one = chain_of(f, a), other = chain_of(f, b);
    double value_one, value_other;
    int years[FLIPS];
    size_t n;
    const char *list = "";

    if (!(one.first.life_years > 0.0) || !(other.first.life_years > 0.0))
        return;
    value_one = hn_replacement_chain(&one).present_value;
    value_other = hn_replacement_chain(&other).present_value;
    hn_sheet_number(s, "chain_chosen", "Works bought to the horizon, chosen one, present value",
                    NULL, value_one, 2, "money",
                    "each work again at the end of its life; after the last repeat the replacement "
                    "that costs least over its years");
    hn_sheet_number(s, "chain_runner_up", "The same, runner-up", NULL, value_other, 2, "money", "");
    n = hn_flip_horizons(&one, &other, 1, HORIZON_MOST, years, FLIPS);
    for (size_t i = 0; i < n && i < FLIPS; i++)
        list = hn_sheet_text(s, "%s%s%d", list, i ? ", " : "", years[i]);
    hn_sheet_word(s, "flip_horizons", "Horizons, in years, at which the cheaper of the two changes",
                  n ? list : "none up to 120 years",
                  "by cost alone, docs/engineering/economics.md");
}

/* ---- limits that are near ---- */

/* The first column that a reason names is the value that the limit is about. */
static hn_column_id column_of(const hn_method_rule *rule)
{
    const char *open = strchr(rule->reason, '{'), *close = open ? strchr(open, '}') : NULL;
    char name[64];

    if (!close || (size_t)(close - open) >= sizeof name)
        return HN_COL_COUNT;
    memcpy(name, open + 1, (size_t)(close - open) - 1);
    name[close - open - 1] = '\0';
    return hn_column_find(name);
}

static void add_near(const hn_sheet_facts *f, size_t index, hn_sheet *s, hn_sheet_item *t)
{
    const hn_method_rule *rule = &f->plan->config.rules[index];
    hn_column_id id = column_of(rule);
    double value = hn_table_number(f->table, id, f->row);

    hn_sheet_cell_word(s, t, rule->id);
    hn_sheet_cell_word(s, t,
                       hn_option_rule_holds(f->options, f->row, index)
                           ? rule->verdict == HN_VERDICT_AFTER_WORKS ? "yes: works" : "yes: out"
                           : "no");
    hn_sheet_cell_word(s, t, hn_column_definition(id)->name);
    hn_sheet_cell_number(s, t, value);
    hn_sheet_cell_number(s, t, rule->limit);
    hn_sheet_cell_number(s, t, (value - rule->limit) / rule->limit * 100.0);
}

static int is_near(const hn_sheet_facts *f, size_t index)
{
    const hn_method_rule *rule = &f->plan->config.rules[index];
    hn_column_id id = column_of(rule);
    double value;

    if (rule->verdict == HN_VERDICT_FITS || isnan(rule->limit) || rule->limit == 0.0 ||
        id == HN_COL_COUNT || !strstr(rule->condition, hn_column_definition(id)->name))
        return 0;
    value = hn_table_number(f->table, id, f->row);
    return fabs(value - rule->limit) <= NEAR * fabs(rule->limit);
}

static void add_limits(const hn_sheet_facts *f, hn_sheet *s)
{
    hn_sheet_item *t = NULL;
    size_t shown = 0;

    for (size_t r = 0; r < f->plan->config.rule_count; r++) {
        if (!is_near(f, r))
            continue;
        if (!t)
            t = hn_sheet_table(s, "near_limits",
                               "Rules whose value is within 15 % of the limit: a better "
                               "measurement may turn them (SI units)",
                               near_columns, sizeof near_columns / sizeof near_columns[0]);
        add_near(f, r, s, t);
        shown++;
    }
    if (!shown)
        hn_sheet_say(
            s, "no_near_limits",
            "No value is within 15 %% of a limit that rules out a method or asks for works.");
}

void hn_sheet_sensitivity(const hn_sheet_facts *f, hn_sheet *s)
{
    int chosen = hn_sheet_method_in(f, HN_COL_METHOD);
    int second = hn_sheet_method_in(f, HN_COL_RUNNER_UP);

    hn_sheet_begin(s, "sensitivity", "What would change the choice");
    if (chosen >= 0 && second >= 0) {
        add_prices(f, &f->judged[chosen], &f->judged[second], s);
        add_horizons(f, &f->judged[chosen], &f->judged[second], s);
    }
    add_limits(f, s);
    hn_sheet_end(s);
}
