/* Ranks and what they rest on; the year, or why there is none. */
#include "report/sheet_parts.h"

#include <string.h>

static const hn_view_column default_columns[] = {
    {"column", "Column", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"value", "Value used", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"source", "Source", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static void add_defaults(const hn_sheet_facts *f, hn_sheet *s)
{
    hn_sheet_item *t = NULL;

    for (size_t i = 0; f->default_taken && i < f->plan->default_count; i++) {
        const hn_default *d = &f->plan->defaults[i];

        if (!f->default_taken[i])
            continue;
        if (!t)
            t = hn_sheet_table(s, "defaults", "Defaults of the plan that this segment took",
                               default_columns, sizeof default_columns / sizeof default_columns[0]);
        hn_sheet_cell_word(s, t, hn_column_definition((hn_column_id)d->column)->name);
        hn_sheet_cell_word(s, t, d->text ? d->text : hn_sheet_digits(s, d->number));
        hn_sheet_cell_word(s, t, d->source);
    }
    if (!t)
        hn_sheet_say(s, "no_defaults", "This segment took no default of the plan.");
}

/* Who moved the segment to its place, and why. */
static const char *by_placer(const hn_sheet_facts *f, hn_sheet *s)
{
    const hn_config *config = &f->plan->config;

    for (size_t i = 0; i < config->override_count; i++) {
        const hn_override *o = &config->overrides[i];

        if (strcmp(o->what, "priority") == 0 &&
            strcmp(o->segment_id, hn_table_text(f->table, HN_COL_SEGMENT_ID, f->row)) == 0)
            return hn_sheet_text(s, "by the rule; %s placed it, %s: %s", o->who, o->date,
                                 o->reason);
    }
    return "by the rule; a person placed it";
}

void hn_sheet_ranks(const hn_sheet_facts *f, hn_sheet *s)
{
    const char *of = hn_sheet_text(s, "of %zu", f->table->rows);

    hn_sheet_begin(s, "ranks", "Ranks");
    hn_sheet_column(f, s, HN_COL_PRIORITY, NULL,
                    hn_sheet_text(s, "%s; follows the rank by %s", of,
                                  f->plan->priority == HN_PRIORITY_RISK    ? "risk"
                                  : f->plan->priority == HN_PRIORITY_VALUE ? "value"
                                                                           : "score"));
    if (hn_i32(f->table, HN_COL_PRIORITY_COMPUTED, f->row) != HN_I32_MISSING)
        hn_sheet_column(f, s, HN_COL_PRIORITY_COMPUTED, NULL, by_placer(f, s));
    hn_sheet_column(f, s, HN_COL_RANK_RISK, NULL, "by expected loss in the next year");
    hn_sheet_column(f, s, HN_COL_RANK_LOW, NULL, "every missing value taken as the best one");
    hn_sheet_column(f, s, HN_COL_RANK_HIGH, NULL, "every missing value taken as the worst one");
    hn_sheet_column(f, s, HN_COL_RANK_VALUE, NULL, "by loss avoided per cost");
    hn_sheet_column(f, s, HN_COL_LOSS_AVOIDED_PER_COST, NULL, "loss avoided / cost");
    if (f->plan->risk_scheme != HN_SCHEME_MONEY)
        hn_sheet_column(f, s, HN_COL_RANK_SCORE, NULL, "by the score of the points scheme");
    hn_sheet_column(f, s, HN_COL_CONDITION_BASIS, NULL, "what the rank by risk rests on");
    add_defaults(f, s);
    hn_sheet_end(s);
}

/* Least loss avoided per cost among the segments that money was found for in
 * the order of value; NaN: none. */
static double least_funded_value(const hn_sheet_facts *f)
{
    double least = (double)NAN;

    for (size_t row = 0; row < f->table->rows; row++) {
        double value = hn_table_derived(f->table, HN_COL_LOSS_AVOIDED_PER_COST, row);

        if (hn_code(f->table, HN_COL_PROGRAMME, row) == HN_PROGRAMME_FUNDED &&
            hn_code(f->table, HN_COL_ACT_NOW, row) == HN_CODE_MISSING && !(value >= least))
            least = value;
    }
    return least;
}

static void say_state(const hn_sheet_facts *f, hn_sheet *s)
{
    switch (hn_code(f->table, HN_COL_PROGRAMME, f->row)) {
    case HN_PROGRAMME_NO_WORK:
        hn_sheet_say(s, "why", "No work: the chosen method is to watch.");
        break;
    case HN_PROGRAMME_COMMITTED:
        hn_sheet_say(
            s, "why",
            "Committed: the works list or a person set the year; the programme takes it first.");
        break;
    case HN_PROGRAMME_FUNDED:
        hn_sheet_say(s, "why",
                     "Funded: commitments come first, then act-now segments, then the others by "
                     "loss avoided per cost; each year takes what its money allows.");
        break;
    case HN_PROGRAMME_UNFUNDED:
        hn_sheet_say(s, "why",
                     "Not funded: the money of %d years went to commitments, to act-now segments "
                     "and to work that avoids more loss per cost, or what was left in a year was "
                     "less than the cost.",
                     f->plan->years);
        hn_sheet_number(s, "least_funded_value", "Least loss avoided per cost that still got money",
                        NULL, least_funded_value(f), 4, "-",
                        "over all funded segments, act-now apart");
        break;
    case HN_PROGRAMME_NO_METHOD:
        hn_sheet_say(s, "why",
                     "No method: nothing fits or can be told, and waiting is not offered. Look at "
                     "the rules above.");
        break;
    default:
        break;
    }
}

static void add_act_now(const hn_sheet_facts *f, hn_sheet *s)
{
    uint8_t rule = hn_code(f->table, HN_COL_ACT_NOW, f->row);

    hn_sheet_column(f, s, HN_COL_ACT_NOW, NULL,
                    rule == HN_CODE_MISSING ? "no act-now rule holds" : "");
    if (rule == HN_CODE_MISSING)
        return;
    hn_sheet_number(s, "act_within_days", "To be looked at within", NULL,
                    f->plan->config.act_now[rule].within_days, 0, "days",
                    f->plan->config.act_now[rule].source);
    hn_sheet_say(s, "act_now_caution", "%s", f->plan->config.act_now[rule].caution)->is_emphasised =
        1;
}

void hn_sheet_programme(const hn_sheet_facts *f, hn_sheet *s)
{
    hn_sheet_begin(s, "programme", "Programme");
    hn_sheet_column(f, s, HN_COL_PROGRAMME, NULL, "");
    hn_sheet_column(f, s, HN_COL_YEAR, NULL, "");
    hn_sheet_column(f, s, HN_COL_PROJECT, NULL, "funded segments of one year and method that meet");
    if (!isnan(f->contract_sum))
        hn_sheet_number(s, "contract_sum", "Contract sum", NULL, f->contract_sum, 2, "money",
                        "works list; the programme spends this and not the estimate");
    say_state(f, s);
    add_act_now(f, s);
    hn_sheet_column(f, s, HN_COL_PAVING_YEAR, NULL, "year in which the street is to be paved");
    hn_sheet_column(f, s, HN_COL_OVERRIDDEN, NULL,
                    "a person changed a value, see the overrides table");
    hn_sheet_end(s);
}
