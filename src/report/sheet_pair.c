/* Why one segment stands before another: both side by side, what makes the
 * difference of their losses, and what would have to change to swap them. */
#include "report/coded_columns.h"
#include "report/sheet_parts.h"
#include "report/sheet_units.h"

#include <string.h>

#define COUNT_OF(list) (sizeof(list) / sizeof(list)[0])

static const hn_view_column side_columns[] = {
    {"what", "", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"first", "First", "", "", HN_VIEW_REAL, 4, NULL, 0},
    {"second", "Second", "", "", HN_VIEW_REAL, 4, NULL, 0},
    {"difference", "First - second", "", "", HN_VIEW_REAL, 4, NULL, 0},
    {"unit", "Unit", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};
static const hn_view_column word_columns[] = {
    {"what", "", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"first", "First", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"second", "Second", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};
static const hn_view_column part_columns[] = {
    {"factor", "Factor", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"first_class", "First", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"first_money", "First", "", "money", HN_VIEW_REAL, 2, NULL, 0},
    {"second_class", "Second", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"second_money", "Second", "", "money", HN_VIEW_REAL, 2, NULL, 0},
};
static const hn_view_column term_columns[] = {
    {"term", "Part of the difference", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"loss", "A year", "", "money/year", HN_VIEW_REAL, 2, NULL, 0},
};
static const hn_view_column swap_columns[] = {
    {"change", "If the second one had", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"now", "now", "", "", HN_VIEW_REAL, 5, NULL, 0},
    {"needed", "needed", "", "", HN_VIEW_REAL, 5, NULL, 0},
    {"percent", "Change", "", "%", HN_VIEW_REAL, 1, NULL, 0},
};

static const char *const drivers[HN_DRIVERS] = {"structural", "service", "tightness"};
static const hn_column_id chances[HN_DRIVERS] = {HN_COL_CHANCE_STRUCTURAL, HN_COL_CHANCE_SERVICE,
                                                 HN_COL_CHANCE_TIGHTNESS};
static const hn_column_id costs[HN_DRIVERS] = {HN_COL_CONSEQUENCE_MONEY, HN_COL_CONSEQUENCE_SERVICE,
                                               HN_COL_CONSEQUENCE_TIGHTNESS};

typedef struct pair {
    const hn_table *table;
    const hn_plan *plan;
    const hn_consequence_parts *parts;
    size_t first, second; /* rows; the first one has the better priority */
} pair;

static double value(const pair *p, hn_column_id id, size_t row)
{
    return hn_table_number(p->table, id, row);
}

/* ---- side by side ---- */

static void add_side(const pair *p, hn_sheet *s, hn_sheet_item *t, hn_column_id id)
{
    const hn_column_def *d = hn_column_definition(id);
    /* each line has a unit of its own, so the table cannot convert by column */
    const hn_sheet_unit to = hn_sheet_unit_of(s->is_us, d->unit);
    double a = value(p, id, p->first) * to.factor, b = value(p, id, p->second) * to.factor;

    hn_sheet_cell_word(s, t, d->title);
    hn_sheet_cell_number(s, t, a);
    hn_sheet_cell_number(s, t, b);
    hn_sheet_cell_number(s, t, a - b);
    hn_sheet_cell_word(s, t,
                       strcmp(d->unit, "money") == 0        ? s->currency
                       : strcmp(d->unit, "money/year") == 0 ? hn_sheet_text(s, "%s/year", s->currency)
                                                            : to.unit);
}

static void add_numbers(const pair *p, hn_sheet *s)
{
    static const hn_column_id ids[] = {
        HN_COL_PRIORITY,     HN_COL_RANK_RISK,     HN_COL_RANK_LOW,    HN_COL_RANK_HIGH,
        HN_COL_RANK_VALUE,   HN_COL_LOSS_NOW,      HN_COL_LOSS_AVOIDED, HN_COL_COST,
        HN_COL_LOSS_AVOIDED_PER_COST, HN_COL_YEAR, HN_COL_GRADE_NOW,   HN_COL_SERVICE_NOW,
        HN_COL_TIGHT_NOW,    HN_COL_AGE,           HN_COL_LENGTH_M,    HN_COL_CONSEQUENCE_POINTS};
    hn_sheet_item *t =
        hn_sheet_table(s, "numbers", "Side by side", side_columns, COUNT_OF(side_columns));

    for (size_t i = 0; i < COUNT_OF(ids); i++)
        add_side(p, s, t, ids[i]);
    for (int d = 0; d < HN_DRIVERS; d++) {
        add_side(p, s, t, chances[d]);
        add_side(p, s, t, costs[d]);
    }
}

static const char *method_title(const pair *p, size_t row)
{
    uint8_t method = hn_code(p->table, HN_COL_METHOD, row);

    return method == HN_CODE_MISSING ? "none" : p->plan->config.methods[method].title;
}

static const char *act_now(const pair *p, size_t row)
{
    uint8_t rule = hn_code(p->table, HN_COL_ACT_NOW, row);

    return rule == HN_CODE_MISSING ? "no" : p->plan->config.act_now[rule].id;
}

static void add_words(const pair *p, hn_sheet *s)
{
    hn_sheet_item *t =
        hn_sheet_table(s, "words", "What they are", word_columns, COUNT_OF(word_columns));
    const struct {
        const char *what, *first, *second;
    } rows[] = {
        {"segment", hn_table_text(p->table, HN_COL_SEGMENT_ID, p->first),
         hn_table_text(p->table, HN_COL_SEGMENT_ID, p->second)},
        {"street", hn_table_text(p->table, HN_COL_STREET, p->first),
         hn_table_text(p->table, HN_COL_STREET, p->second)},
        {"chosen method", method_title(p, p->first), method_title(p, p->second)},
        {"act now", act_now(p, p->first), act_now(p, p->second)},
        {"programme", hn_coded_text(p->plan, HN_COL_PROGRAMME, hn_code(p->table, HN_COL_PROGRAMME, p->first)),
         hn_coded_text(p->plan, HN_COL_PROGRAMME, hn_code(p->table, HN_COL_PROGRAMME, p->second))},
        {"condition", hn_coded_text(p->plan, HN_COL_CONDITION_BASIS, hn_code(p->table, HN_COL_CONDITION_BASIS, p->first)),
         hn_coded_text(p->plan, HN_COL_CONDITION_BASIS, hn_code(p->table, HN_COL_CONDITION_BASIS, p->second))},
    };

    for (size_t i = 0; i < COUNT_OF(rows); i++) {
        hn_sheet_cell_word(s, t, rows[i].what);
        hn_sheet_cell_word(s, t, rows[i].first);
        hn_sheet_cell_word(s, t, rows[i].second);
    }
}

static void add_part(const pair *p, hn_sheet *s, hn_sheet_item *t, size_t factor, size_t row)
{
    uint8_t c = p->parts->class_of[factor][row];

    hn_sheet_cell_word(s, t, c == 255 ? "none" : p->plan->config.factors[c].name);
    hn_sheet_cell_number(s, t, hn_part_money(p->parts, factor, row));
}

static void add_parts(const pair *p, hn_sheet *s)
{
    hn_sheet_item *t = hn_sheet_table(s, "parts", "Consequence, factor by factor", part_columns,
                                      COUNT_OF(part_columns));

    for (size_t i = 0; i < p->parts->factors; i++) {
        hn_sheet_cell_word(s, t, p->plan->config.factor_names[i]);
        add_part(p, s, t, i, p->first);
        add_part(p, s, t, i, p->second);
    }
}

/* ---- what makes the difference ---- */

/* p C - q D = (p - q)(C + D)/2 + (C - D)(p + q)/2: nothing is left over. */
static void split(const pair *p, int d, double *by_chance, double *by_cost)
{
    double pa = value(p, chances[d], p->first), pb = value(p, chances[d], p->second);
    double ca = value(p, costs[d], p->first), cb = value(p, costs[d], p->second);

    *by_chance = (pa - pb) * (ca + cb) / 2.0;
    *by_cost = (ca - cb) * (pa + pb) / 2.0;
}

static void add_terms(const pair *p, hn_sheet *s)
{
    hn_sheet_item *t = hn_sheet_table(
        s, "terms", "Expected loss of the first less that of the second, part by part",
        term_columns, COUNT_OF(term_columns));
    double sum = value(p, HN_COL_LOSS_NOW, p->first) - value(p, HN_COL_LOSS_NOW, p->second);
    const char *most = "";
    double greatest = 0.0;

    for (int d = 0; d < HN_DRIVERS; d++) {
        double part[2];

        split(p, d, &part[0], &part[1]);
        for (int k = 0; k < 2; k++) {
            const char *name = hn_sheet_text(s, "%s, %s", drivers[d],
                                             k ? "what a failure costs" : "chance of a failure");

            hn_sheet_cell_word(s, t, name);
            hn_sheet_cell_number(s, t, part[k]);
            if (part[k] * sum > 0.0 && fabs(part[k]) > greatest) {
                greatest = fabs(part[k]);
                most = name;
            }
        }
    }
    hn_sheet_cell_word(s, t, "together");
    hn_sheet_cell_number(s, t, sum);
    if (most[0])
        hn_sheet_say(s, "decides", "What decides most: %s.", most)->is_emphasised = 1;
    else
        hn_sheet_say(s, "decides", "The losses are equal or not known; the order of the ids decides.");
}

/* ---- what would swap them ---- */

typedef struct smallest {
    const char *what;
    double percent;
} smallest;

static void add_change(hn_sheet *s, hn_sheet_item *t, const char *what, double now, double needed,
                       smallest *least)
{
    const double percent = 100.0 * (needed / now - 1.0);

    hn_sheet_cell_word(s, t, what);
    hn_sheet_cell_number(s, t, now);
    hn_sheet_cell_number(s, t, needed);
    hn_sheet_cell_number(s, t, percent);
    if (!least->what || percent < least->percent)
        *least = (smallest){what, percent};
}

/* Each thing by itself until the losses are equal; a chance ends at 1. */
static void add_swaps(const pair *p, hn_sheet *s)
{
    double gap = value(p, HN_COL_LOSS_NOW, p->first) - value(p, HN_COL_LOSS_NOW, p->second);
    smallest least = {NULL, 0.0};
    hn_sheet_item *t;

    if (!(gap > 0.0)) {
        hn_sheet_say(s, "no_swap",
                     "The second one has no smaller loss: the order comes from another rule.");
        return;
    }
    t = hn_sheet_table(s, "swaps", "Each change by itself would give the second one the same loss",
                       swap_columns, COUNT_OF(swap_columns));
    for (int d = 0; d < HN_DRIVERS; d++) {
        double chance = value(p, chances[d], p->second), cost = value(p, costs[d], p->second);
        double needed = chance + gap / cost;

        if (cost > 0.0 && needed <= 1.0 && chance > 0.0)
            add_change(s, t, hn_sheet_text(s, "a %s chance", drivers[d]), chance, needed,
                       &least);
        if (chance > 0.0 && cost > 0.0)
            add_change(s, t, hn_sheet_text(s, "a %s failure cost", drivers[d]), cost,
                       cost + gap / chance, &least);
    }
    if (least.what)
        hn_sheet_say(s, "smallest", "The smallest change that swaps them is %s %% more of this: %s.",
                     hn_sheet_digits(s, least.percent), least.what + 2);
}

/* ---- the order ---- */

static void say_programme(const pair *p, hn_sheet *s)
{
    int first = hn_code(p->table, HN_COL_ACT_NOW, p->first) != HN_CODE_MISSING;
    int second = hn_code(p->table, HN_COL_ACT_NOW, p->second) != HN_CODE_MISSING;

    hn_sheet_say(s, "programme",
                 "The programme takes commitments first, then act-now segments by their date, then "
                 "the others by loss avoided per cost. %s",
                 first == second ? first ? "Both are on the act-now list."
                                         : "Neither is on the act-now list: loss avoided per cost "
                                           "decides."
                 : first ? "Only the first is on the act-now list."
                         : "Only the second is on the act-now list, so it gets money before the first.");
}

hn_status hn_sheet_pair(const hn_sheet_facts *f, size_t other, hn_sheet *s, hn_error *err)
{
    int is_first = HN_I32(f->table, PRIORITY)[f->row] <= HN_I32(f->table, PRIORITY)[other];
    const pair p = {f->table, f->plan, f->parts, is_first ? f->row : other,
                    is_first ? other : f->row};

    hn_sheet_begin(s, "order", "Which comes first, and why");
    hn_sheet_say(s, "verdict",
                 "%s stands before %s: priority %d against %d. The priority follows the rank by %s; "
                 "equal numbers keep the order of the ids.",
                 hn_table_text(f->table, HN_COL_SEGMENT_ID, p.first),
                 hn_table_text(f->table, HN_COL_SEGMENT_ID, p.second),
                 HN_I32(f->table, PRIORITY)[p.first], HN_I32(f->table, PRIORITY)[p.second],
                 f->plan->priority == HN_PRIORITY_RISK    ? "expected loss now"
                 : f->plan->priority == HN_PRIORITY_VALUE ? "loss avoided per cost"
                                                          : "score of the points scheme")
        ->is_emphasised = 1;
    add_terms(&p, s);
    add_swaps(&p, s);
    say_programme(&p, s);
    hn_sheet_end(s);
    hn_sheet_begin(s, "side_by_side", "Side by side");
    add_words(&p, s);
    add_numbers(&p, s);
    add_parts(&p, s);
    hn_sheet_end(s);
    hn_sheet_say(s, "caution",
                 "Screening and planning level. Local codes and a licensed engineer decide.")
        ->is_emphasised = 1;
    return hn_sheet_check(s, err);
}
