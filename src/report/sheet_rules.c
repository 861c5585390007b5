/* What the rules and the engine say about one method. */
#include "report/sheet_parts.h"

#include "table/codes.h"
#include "table/sentence.h"

enum { REASON_MAX = 4096, SENTENCE_MAX = 512 };

static const hn_view_column columns[] = {
    {"rule", "Rule", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"says", "Says", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"reason", "Reason", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"limit", "Limit", "", "", HN_VIEW_REAL, 3, NULL, 0},
    {"limit_unit", "of", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"source", "Source", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static const struct {
    unsigned finding;
    const char *says, *reason;
} findings[] = {
    {HN_FIND_WALL_TOO_THICK, "ruled out", "the wall is thicker than any that is made"},
    {HN_FIND_WALL_UNKNOWN, "cannot tell", "the wall needs the depth, the size and the shape"},
    {HN_FIND_OVAL, "ruled out", "ovality beyond what the wall can be designed for"},
    {HN_FIND_BORE_GONE, "ruled out", "the lining would fill the section"},
    {HN_FIND_NO_SCREENING_RULE, "cannot tell", "no screening rule for the wall in this shape"},
    {HN_FIND_SPECIAL_DESIGN, "note", "not circular: a screening thickness, needs special design"},
    {HN_FIND_CAPACITY_SHORT, "ruled out", "carries less than the required flow"},
    {HN_FIND_CAPACITY_LOSS, "note", "loses more capacity than the plan's limit"},
    {HN_FIND_PRICE_UNKNOWN, "cannot tell", "the price needs the size, the depth and the length"},
    {HN_FIND_PRICE_BEYOND, "note", "outside the price table: its last step was drawn on"},
    {HN_FIND_QUANTITY_UNKNOWN, "note", "a quantity is not known and not priced"},
    {HN_FIND_NO_PIPE, "ruled out", "no standard pipe is large enough for this section and flow"},
    {HN_FIND_SIZE_UNKNOWN, "cannot tell", "the new pipe needs the size of the old one"},
    {HN_FIND_WEAK_IN_GROUT, "note", "cannot stand wet grout by itself: brace it or fill it, not priced"},
    {HN_FIND_OVALITY_ASSUMED, "assumed", "ovality is not recorded: the plan's default is used"},
    {HN_FIND_WATER_ASSUMED, "assumed",
     "groundwater is not recorded: the plan's share of the depth"},
};

static const char *says_of(const hn_method_rule *rule, int holds)
{
    if (!holds)
        return "cannot tell";
    return rule->verdict == HN_VERDICT_FITS          ? "note"
           : rule->verdict == HN_VERDICT_AFTER_WORKS ? "works first"
                                                     : "ruled out";
}

static void add_rule(const hn_sheet_facts *f, size_t index, hn_sheet *s, hn_sheet_item *t)
{
    const hn_method_rule *rule = &f->plan->config.rules[index];
    char sentence[SENTENCE_MAX];

    hn_sentence(f->table, f->row, rule->reason, rule->limit, sentence, sizeof sentence);
    hn_sheet_cell_word(s, t, rule->id);
    hn_sheet_cell_word(s, t, says_of(rule, hn_option_rule_holds(f->options, f->row, index)));
    hn_sheet_cell_word(s, t, sentence);
    hn_sheet_cell_number(s, t, rule->limit);
    hn_sheet_cell_word(s, t, rule->unit);
    hn_sheet_cell_word(s, t, rule->source);
}

void hn_sheet_rules(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const hn_config *config = &f->plan->config;
    char reason[REASON_MAX];
    hn_sheet_item *t;
    size_t checked = 0;

    hn_sheet_begin(s, "rules", "Rules");
    hn_sheet_word(s, "verdict", "Verdict", hn_verdict_names[o->verdict], "");
    hn_sheet_word(s, "reason", "In one sentence",
                  hn_option_reason(f->options, o, f->row, reason, sizeof reason), "");
    t = hn_sheet_table(s, "holding",
                       "Rules that hold or cannot be told, and findings of the engine", columns,
                       sizeof columns / sizeof columns[0]);
    for (size_t r = 0; r < config->rule_count; r++) {
        if (config->rules[r].method != o->method)
            continue;
        checked++;
        if (hn_option_rule_holds(f->options, f->row, r) ||
            hn_option_rule_unknown(f->options, f->row, r))
            add_rule(f, r, s, t);
    }
    for (size_t i = 0; i < sizeof findings / sizeof findings[0]; i++) {
        if (!(o->findings & findings[i].finding))
            continue;
        hn_sheet_cell_word(s, t, "engine");
        hn_sheet_cell_word(s, t, findings[i].says);
        hn_sheet_cell_word(s, t, findings[i].reason);
        hn_sheet_cell_number(s, t, (double)NAN);
        hn_sheet_cell_word(s, t, "");
        hn_sheet_cell_word(s, t, "");
    }
    hn_sheet_say(s, "checked",
                 "%zu rules of method_rules were asked; those not listed do not hold here.",
                 checked);
    hn_sheet_end(s);
}

/* ---- every rule of every method ---- */

static const hn_view_column every_columns[] = {
    {"method", "Method", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"rule", "Rule", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"here", "Here", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"would_say", "If it holds", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"limit", "Limit", "", "", HN_VIEW_REAL, 3, NULL, 0},
    {"limit_unit", "of", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

void hn_sheet_every_rule(const hn_sheet_facts *f, hn_sheet *s)
{
    const hn_config *config = &f->plan->config;
    hn_sheet_item *t;

    hn_sheet_begin(s, "every_rule", "Every rule that was asked");
    t = hn_sheet_table(s, "rules", "Rules of method_rules; haunch methods prints their sentences and sources",
                       every_columns, sizeof every_columns / sizeof every_columns[0]);
    for (size_t r = 0; r < config->rule_count; r++) {
        const hn_method_rule *rule = &config->rules[r];

        hn_sheet_cell_word(s, t, config->methods[rule->method].id);
        hn_sheet_cell_word(s, t, rule->id);
        hn_sheet_cell_word(s, t,
                           hn_option_rule_holds(f->options, f->row, r)     ? "holds"
                           : hn_option_rule_unknown(f->options, f->row, r) ? "cannot tell"
                                                                           : "does not hold");
        hn_sheet_cell_word(s, t, says_of(rule, 1));
        hn_sheet_cell_number(s, t, rule->limit);
        hn_sheet_cell_word(s, t, rule->unit);
    }
    hn_sheet_end(s);
}
