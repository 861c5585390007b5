/* All methods in one table, and why the chosen one was chosen. */
#include "report/sheet_parts.h"

#include "table/codes.h"

enum { REASON_MAX = 4096 };

static const hn_view_column columns[] = {
    {"method", "Method", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"verdict", "Verdict", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"cost", "Cost", "", "money", HN_VIEW_REAL, 0, NULL, 0},
    {"horizon_cost", "Cost to horizon", "", "money", HN_VIEW_REAL, 0, NULL, 0},
    {"loss_avoided", "Loss avoided", "", "money", HN_VIEW_REAL, 0, NULL, 0},
    {"net_benefit", "Net benefit", "", "money", HN_VIEW_REAL, 0, NULL, 0},
};

static const hn_view_column reason_columns[] = {
    {"method", "Method", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"reason", "All reasons", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static const hn_view_column term_columns[] = {
    {"term", "Term", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"chosen", "Chosen", "", "money", HN_VIEW_REAL, 2, NULL, 0},
    {"other", "Runner-up", "", "money", HN_VIEW_REAL, 2, NULL, 0},
    {"difference", "Difference", "", "money", HN_VIEW_REAL, 2, NULL, 0},
};

#define COUNT_OF(list) (sizeof(list) / sizeof(list)[0])

void hn_sheet_all_methods(const hn_sheet_facts *f, hn_sheet *s)
{
    const hn_config *config = &f->plan->config;
    char reason[REASON_MAX];
    hn_sheet_item *t;

    hn_sheet_begin(s, "all_methods", "All methods");
    t = hn_sheet_table(
        s, "verdicts",
        "In the order of the catalogue; money of methods that are ruled out is for comparison only",
        columns, COUNT_OF(columns));
    for (size_t m = 0; m < config->method_count; m++) {
        const hn_option *o = &f->judged[m];

        hn_sheet_cell_word(s, t, config->methods[m].id);
        hn_sheet_cell_word(s, t, hn_verdict_names[o->verdict]);
        hn_sheet_cell_number(s, t, o->cost);
        hn_sheet_cell_number(s, t, o->horizon_cost);
        hn_sheet_cell_number(s, t, o->loss_avoided);
        hn_sheet_cell_number(s, t, o->net_benefit);
    }
    t = hn_sheet_table(s, "reasons", "Reasons", reason_columns, COUNT_OF(reason_columns));
    for (size_t m = 0; m < config->method_count; m++) {
        hn_sheet_cell_word(s, t, config->methods[m].id);
        hn_sheet_cell_word(
            s, t, hn_option_reason(f->options, &f->judged[m], f->row, reason, sizeof reason));
    }
    hn_sheet_end(s);
}

static const hn_override *person(const hn_sheet_facts *f)
{
    const hn_config *config = &f->plan->config;

    for (size_t i = 0; f->override_state && i < config->override_count; i++)
        if (f->override_state[i] == 1 && strcmp(config->overrides[i].what, "method") == 0 &&
            strcmp(config->overrides[i].segment_id,
                   hn_table_text(f->table, HN_COL_SEGMENT_ID, f->row)) == 0)
            return &config->overrides[i];
    return NULL;
}

static void add_term(hn_sheet *s, hn_sheet_item *t, const char *term, double a, double b)
{
    hn_sheet_cell_word(s, t, term);
    hn_sheet_cell_number(s, t, a);
    hn_sheet_cell_number(s, t, b);
    hn_sheet_cell_number(s, t, a - b);
}

static void compare(const hn_sheet_facts *f, const hn_option *a, const hn_option *b, hn_sheet *s)
{
    double lead = a->net_benefit - b->net_benefit;
    hn_sheet_item *t;

    hn_sheet_number(s, "lead_over_runner_up",
                    "Net benefit of the chosen less that of the runner-up", NULL, lead, 2, "money",
                    "")
        ->is_emphasised = 1;
    t = hn_sheet_table(s, "terms",
                       hn_sheet_text(s, "%s against %s", hn_sheet_method_of(f, a)->title,
                                     hn_sheet_method_of(f, b)->title),
                       term_columns, COUNT_OF(term_columns));
    add_term(s, t, "main work", a->main_cost, b->main_cost);
    add_term(s, t, "works first", a->works_cost, b->works_cost);
    add_term(s, t, "items beside it", a->items_cost, b->items_cost);
    add_term(s, t, "cost with mark-ups", a->cost, b->cost);
    add_term(s, t, "cost to the horizon", a->horizon_cost, b->horizon_cost);
    add_term(s, t, "loss avoided", a->loss_avoided, b->loss_avoided);
    add_term(s, t, "net benefit", a->net_benefit, b->net_benefit);
    hn_sheet_say(
        s, "in_words",
        "Of the difference, %s comes from the cost to the horizon and %s from the loss avoided.",
        hn_sheet_money(s, b->horizon_cost - a->horizon_cost, 2),
        hn_sheet_money(s, a->loss_avoided - b->loss_avoided, 2));
}

static int by_commitment(const hn_sheet_facts *f, int chosen)
{
    int second = hn_sheet_method_in(f, HN_COL_RUNNER_UP);

    return hn_code(f->table, HN_COL_PROGRAMME, f->row) == HN_PROGRAMME_COMMITTED && second >= 0 &&
           f->judged[chosen].net_benefit < f->judged[second].net_benefit;
}

static void say_rule(const hn_sheet_facts *f, int chosen, hn_sheet *s)
{
    const hn_override *by = person(f);

    if (by)
        hn_sheet_say(s, "by_person",
                     "A person put this method in place: %s, %s: %s. The engine's own choice "
                     "stands as the runner-up.",
                     by->who ? by->who : "unnamed", by->date ? by->date : "undated",
                     by->reason ? by->reason : "no reason given")
            ->is_emphasised = 1;
    else if (by_commitment(f, chosen))
        hn_sheet_say(s, "by_commitment",
                     "A committed work put this method in place where the engine would only watch; "
                     "its own choice stands as the runner-up.")
            ->is_emphasised = 1;
    else if (f->plan->config.methods[chosen].kind == HN_METHOD_WATCH)
        hn_sheet_say(s, "rule",
                     "Watching is chosen: no rule forbids it, and no method that fits avoids more "
                     "loss than it costs to the horizon.");
    else
        hn_sheet_say(s, "rule",
                     "Of the methods that fit, or fit after works, the one with the greatest net "
                     "benefit is chosen: loss avoided less the cost of its years to the horizon.");
}

void hn_sheet_choice(const hn_sheet_facts *f, hn_sheet *s)
{
    int chosen = hn_sheet_method_in(f, HN_COL_METHOD);
    int second = hn_sheet_method_in(f, HN_COL_RUNNER_UP);

    hn_sheet_begin(s, "choice", "Why this method");
    hn_sheet_column(f, s, HN_COL_METHOD, NULL, "");
    hn_sheet_column(f, s, HN_COL_RUNNER_UP, NULL, "second by net benefit");
    hn_sheet_column(f, s, HN_COL_BEST_LINING, NULL, "");
    hn_sheet_column(f, s, HN_COL_LINING_COST, NULL, "cost of the best lining");
    hn_sheet_column(f, s, HN_COL_BEST_REPLACEMENT, NULL, "");
    hn_sheet_column(f, s, HN_COL_REPLACEMENT_COST, NULL, "cost of the best replacement");
    hn_sheet_column(f, s, HN_COL_SAVING, NULL,
                    "cost to the horizon of the best of the other kind, less that of the chosen");
    if (chosen < 0) {
        hn_sheet_say(s, "none",
                     "Nothing was chosen: every method is ruled out or cannot be told, and "
                     "watching is not allowed by the rules.");
    } else {
        say_rule(f, chosen, s);
        if (second < 0)
            hn_sheet_say(s, "alone", "There is no runner-up: no other method fits.");
        else
            compare(f, &f->judged[chosen], &f->judged[second], s);
    }
    hn_sheet_end(s);
}
