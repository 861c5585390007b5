/* The cost of one method: rate, items, index, mark-ups, rounding, range. */
#include "report/sheet_parts.h"

#include "engineering/economics.h"

enum { MARKUPS_MAX = 32 };

static const hn_view_column rate_columns[] = {
    {"width_mm", "Width", "", "mm", HN_VIEW_REAL, 0, NULL, 0},
    {"depth_m", "Depth", "", "m", HN_VIEW_REAL, 1, NULL, 0},
    {"surface", "Surface", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"rate_per_m", "Rate per m", "", "money", HN_VIEW_REAL, 2, NULL, 0},
    {"price_date", "Price of", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"scope", "Scope", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"source", "Source", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static const hn_view_column item_columns[] = {
    {"item", "Item", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"kind", "Kind", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"quantity", "Quantity", "", "", HN_VIEW_REAL, 2, NULL, 0},
    {"quantity_of", "of", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"rate", "Rate", "", "money", HN_VIEW_REAL, 2, NULL, 0},
    {"size_factor", "Size factor", "", "", HN_VIEW_REAL, 4, NULL, 0},
    {"money", "Money", "", "money", HN_VIEW_REAL, 2, NULL, 0},
    {"source", "Source", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static const hn_view_column markup_columns[] = {
    {"step", "Step", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"percent", "Per cent", "", "%", HN_VIEW_REAL, 2, NULL, 0},
    {"on", "on", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"adds", "Adds", "", "money", HN_VIEW_REAL, 2, NULL, 0},
    {"total", "Total", "", "money", HN_VIEW_REAL, 2, NULL, 0},
    {"source", "Source", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

#define COUNT_OF(list) (sizeof(list) / sizeof(list)[0])

/* ---- the price table around this size ---- */

static int is_of(const hn_sheet_facts *f, const hn_rate *rate, int method)
{
    return rate->method == method &&
           (!rate->surface ||
            strcmp(rate->surface, hn_table_text(f->table, HN_COL_SURFACE, f->row)) == 0);
}

/* Nearest widths of the table below and above; NaN: none. */
static void widths_around(const hn_sheet_facts *f, const hn_option *o, double *below, double *above)
{
    const hn_config *config = &f->plan->config;

    *below = *above = (double)NAN;
    for (size_t i = 0; i < config->rate_count; i++) {
        double w = config->rates[i].width_mm;

        if (!is_of(f, &config->rates[i], o->method))
            continue;
        if (w <= o->price_width_mm + 1e-6 && !(w <= *below))
            *below = w;
        if (w >= o->price_width_mm - 1e-6 && !(w >= *above))
            *above = w;
    }
}

static void add_rates(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const hn_config *config = &f->plan->config;
    double below, above;
    hn_sheet_item *t;

    widths_around(f, o, &below, &above);
    if (isnan(below) && isnan(above))
        return;
    t = hn_sheet_table(
        s, "price_rows",
        "Rows of the price table around this size; between them the price follows the "
        "logarithms of size and price, between depths a straight line",
        rate_columns, COUNT_OF(rate_columns));
    for (size_t i = 0; i < config->rate_count; i++) {
        const hn_rate *rate = &config->rates[i];

        if (!is_of(f, rate, o->method) || !(rate->width_mm == below || rate->width_mm == above))
            continue;
        hn_sheet_cell_number(s, t, rate->width_mm);
        hn_sheet_cell_number(s, t, rate->depth_m);
        hn_sheet_cell_word(s, t, rate->surface ? rate->surface : "any");
        hn_sheet_cell_number(s, t, rate->rate);
        hn_sheet_cell_word(s, t, rate->price_date);
        hn_sheet_cell_word(s, t, rate->scope);
        hn_sheet_cell_word(s, t, rate->source);
    }
}

static void add_main(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    double length_m = hn_f64(f->table, HN_COL_LENGTH_M, f->row);

    if (o->rate_per_m == 0.0) {
        hn_sheet_say(s, "no_rate", "No rate per metre: this method is priced by its items alone.");
        return;
    }
    hn_sheet_number(
        s, "price_width_mm", "Size in the price table", NULL, o->price_width_mm, 0, "mm",
        hn_sheet_method_of(f, o)->kind == HN_METHOD_REPLACEMENT ? "inside width of the new pipe"
        : hn_sheet_method_of(f, o)->size_by_perimeter ? "circle of the same perimeter as the host"
                                                      : "circle of the same area as the host");
    add_rates(f, o, s);
    hn_sheet_number(
        s, "rate_per_m", "Rate per metre, price index included", "r", o->rate_per_m, 2, "money",
        hn_sheet_text(s, "price table x index %s", hn_sheet_digits(s, f->plan->price_index)));
    hn_sheet_formula(s, "main_cost", "Main work", "M = r L",
                     hn_sheet_text(s, "%s x %s", hn_sheet_grouped(s, o->rate_per_m, 4),
                                   hn_sheet_digits(s, length_m)),
                     o->main_cost, 2, "money", "L in m");
}

/* ---- items ---- */

static const char *const taken[] = {
#define TAKEN(id, name, title, meaning, unit, decimals) title,
    HN_TAKEOFF_LIST(TAKEN)
#undef TAKEN
};

static const char *what_is_counted(hn_sheet *s, const hn_cost_item *item, double quantity)
{
    const char *title = item->take >= 0 ? taken[item->take] : "";

    if (item->take < 0 && item->quantity < 0)
        return "segment";
    if (item->take < 0)
        title = hn_column_definition((hn_column_id)item->quantity)->title;
    return hn_sheet_text(s, "%s (%s)", title,
                         isnan(quantity) ? "unknown, not priced" : item->unit ? item->unit : "");
}

static void add_item(const hn_sheet_facts *f, const hn_option *o, size_t index, hn_sheet *s,
                     hn_sheet_item *t)
{
    const hn_cost_item *item = &f->plan->config.items[index];
    double quantity = hn_option_item_quantity(f->options, f->row, index, o);
    double money = hn_option_item_cost(f->options, f->row, index, o);

    hn_sheet_cell_word(s, t, item->title);
    hn_sheet_cell_word(s, t, item->is_works ? "works first" : "beside it");
    hn_sheet_cell_number(s, t, quantity);
    hn_sheet_cell_word(s, t, what_is_counted(s, item, quantity));
    hn_sheet_cell_number(s, t, item->rate);
    hn_sheet_cell_number(
        s, t, quantity > 0.0 && item->rate > 0.0 ? money / (quantity * item->rate) : (double)NAN);
    hn_sheet_cell_number(s, t, money * f->plan->price_index);
    hn_sheet_cell_word(s, t, item->source);
}

static void add_items(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    hn_sheet_item *t;

    if (o->items == 0) {
        hn_sheet_say(s, "no_items", "No works first and no items beside the main work.");
    } else {
        t = hn_sheet_table(s, "items",
                           "Works first and items beside the main work, price index included",
                           item_columns, COUNT_OF(item_columns));
        for (size_t i = 0; i < f->plan->config.item_count; i++)
            if (o->items >> i & 1)
                add_item(f, o, i, s, t);
    }
    hn_sheet_number(s, "works_cost", "Works first", "W", o->works_cost, 2, "money",
                    "sum of the works");
    hn_sheet_number(s, "items_cost", "Items beside it", "I", o->items_cost, 2, "money",
                    "sum of the other items");
    hn_sheet_formula(s, "base_cost", "Cost before mark-ups", "B = M + W + I",
                     hn_sheet_text(s, "%s + %s + %s", hn_sheet_grouped(s, o->main_cost, 2),
                                   hn_sheet_grouped(s, o->works_cost, 2),
                                   hn_sheet_grouped(s, o->items_cost, 2)),
                     o->base_cost, 2, "money", "");
}

/* ---- mark-ups ---- */

static const char *rounding_text(const hn_plan *plan, hn_sheet *s)
{
    switch (plan->rounding) {
    case HN_ROUND_END:
        return hn_sheet_text(s, "rounded at the end to %s",
                             hn_sheet_digits(s, plan->rounding_step));
    case HN_ROUND_EACH_STEP:
        return hn_sheet_text(s, "rounded at each step to %s",
                             hn_sheet_digits(s, plan->rounding_step));
    default:
        return "rounded to the cent";
    }
}

static void add_markup_row(hn_sheet *s, hn_sheet_item *t, const char *step, double percent,
                           const char *on, double adds, double total, const char *source)
{
    hn_sheet_cell_word(s, t, step);
    hn_sheet_cell_number(s, t, percent);
    hn_sheet_cell_word(s, t, on);
    hn_sheet_cell_number(s, t, adds);
    hn_sheet_cell_number(s, t, total);
    hn_sheet_cell_word(s, t, source);
}

static void add_markups(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const hn_config *config = &f->plan->config;
    double each = f->plan->rounding == HN_ROUND_EACH_STEP ? f->plan->rounding_step : 0.0;
    size_t count = config->markup_count < MARKUPS_MAX ? config->markup_count : MARKUPS_MAX;
    hn_percent_step steps[MARKUPS_MAX];
    double amounts[MARKUPS_MAX], total = hn_round_money(o->base_cost, each);
    hn_sheet_item *t = hn_sheet_table(s, "markups", "Mark-ups, step by step", markup_columns,
                                      COUNT_OF(markup_columns));

    for (size_t i = 0; i < count; i++)
        steps[i] = (hn_percent_step){config->markups[i].percent, config->markups[i].compound};
    hn_add_markups(total, steps, count, each, amounts);
    add_markup_row(s, t, "before mark-ups", (double)NAN, "", (double)NAN, total, "");
    for (size_t i = 0; i < count; i++) {
        total += amounts[i];
        add_markup_row(s, t, config->markups[i].name, config->markups[i].percent,
                       config->markups[i].compound ? "running total" : "cost before mark-ups",
                       amounts[i], total, config->markups[i].source);
    }
    add_markup_row(s, t, "rounding", (double)NAN, rounding_text(f->plan, s), o->cost - total,
                   o->cost, "");
}

void hn_sheet_cost(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const char *range =
        hn_sheet_text(s, "estimate class %s: %+.4g %% to %+.4g %%", f->plan->estimate_class,
                      f->plan->estimate_low_pct, f->plan->estimate_high_pct);
    hn_sheet_item *item;

    hn_sheet_begin(s, "cost", "Cost");
    add_main(f, o, s);
    add_items(f, o, s);
    add_markups(f, o, s);
    item = hn_sheet_number(s, "cost", "Cost", NULL, o->cost, 2, "money", "with mark-ups");
    item->is_emphasised = 1;
    hn_sheet_agrees(f, o, s, item, HN_COL_COST);
    item = hn_sheet_number(s, "cost_low", "Cost, low", NULL, o->cost_low, 2, "money", range);
    hn_sheet_agrees(f, o, s, item, HN_COL_COST_LOW);
    item = hn_sheet_number(s, "cost_high", "Cost, high", NULL, o->cost_high, 2, "money", range);
    hn_sheet_agrees(f, o, s, item, HN_COL_COST_HIGH);
    if (hn_sheet_is_chosen(f, o) && hn_sheet_cost_is_set(f))
        hn_sheet_say(s, "cost_set",
                     "A person set the cost to %s: that one stands in layer segments and is spent "
                     "by the programme.",
                     hn_sheet_money(s, hn_f64(f->table, HN_COL_COST, f->row), 2))
            ->is_emphasised = 1;
    hn_sheet_end(s);
}
