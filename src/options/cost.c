/* Quantities times prices, then the mark-up chain, then the years. */
#include "engineering/economics.h"
#include "options/options_state.h"

static const double PI = 3.14159265358979323846;

/* Width of the circle with the same perimeter (linings) or area. */
static double price_width_mm(const hn_method *method, const hn_section_measures *full)
{
    if (method->size_by_perimeter)
        return full->perimeter_m / PI * 1000.0;
    return sqrt(4.0 * full->area_m2 / PI) * 1000.0;
}

static double scale_of(const hn_options *o, size_t row, const hn_cost_item *it)
{
    if (it->rate_exponent == 0.0)
        return 1.0;
    return pow(hn_f64(o->table, HN_COL_WIDTH_MM, row) / it->rate_width_mm, it->rate_exponent);
}

double hn_option_item_quantity(const hn_options *o, size_t row, size_t item,
                               const hn_option *option)
{
    const hn_cost_item *it = &o->plan->config.items[item];

    if (it->take >= 0) {
        hn_takeoff takeoff;

        hn_option_takeoff(o, row, option, &takeoff);
        return takeoff.amount[it->take];
    }
    return it->quantity >= 0 ? hn_table_number(o->table, (hn_column_id)it->quantity, row) : 1.0;
}

double hn_option_item_cost(const hn_options *o, size_t row, size_t item, const hn_option *option)
{
    const hn_cost_item *it = &o->plan->config.items[item];

    return hn_option_item_quantity(o, row, item, option) * it->rate * scale_of(o, row, it);
}

static uint64_t items_that_apply(const hn_options *o, size_t row, const hn_option *out)
{
    return o->items_of[out->method] & o->item_holds[hn_option_place(o, row)] &
           (~o->works_items | out->works);
}

/* An amount of the work: all of a method's are counted at once. */
static double amount_cost(const hn_options *o, size_t row, const hn_cost_item *it,
                          const hn_option *option, hn_host *host)
{
    if (host->amounts_of != option->method) {
        hn_option_amounts(o, row, option, host->amount);
        host->amounts_of = option->method;
    }
    return host->amount[it->take] * it->rate * scale_of(o, row, it);
}

/* The money of the other items does not depend on the method. */
static double counted(const hn_options *o, size_t row, size_t item, const hn_option *option,
                      hn_host *host)
{
    if (o->plan->config.items[item].take >= 0)
        return amount_cost(o, row, &o->plan->config.items[item], option, host);
    if (!(host->is_counted >> item & 1)) {
        host->item_cost[item] = hn_option_item_cost(o, row, item, option);
        host->is_counted |= (uint64_t)1 << item;
    }
    return host->item_cost[item];
}

static void add_items(const hn_options *o, size_t row, hn_host *host, hn_option *out)
{
    out->items = items_that_apply(o, row, out);
    for (uint64_t left = out->items; left; left &= left - 1) {
        const size_t i = (size_t)hn_lowest_bit(left);
        const double money = counted(o, row, i, out, host);

        if (isnan(money))
            out->findings |= HN_FIND_QUANTITY_UNKNOWN;
        else if (o->plan->config.items[i].is_works)
            out->works_cost += money;
        else
            out->items_cost += money;
    }
}

static double step_size(const hn_plan *plan, hn_rounding rounding)
{
    return plan->rounding == rounding ? plan->rounding_step : 0.0;
}

/* Totals are kept to the cent, so that tables add up to what they print. */
static double last_step(const hn_plan *plan)
{
    double step = step_size(plan, HN_ROUND_END);

    return step > 0.01 ? step : 0.01;
}

static double with_markups(const hn_options *o, double base)
{
    const hn_config *config = &o->plan->config;
    double each = step_size(o->plan, HN_ROUND_EACH_STEP), total;

    if (o->markup > 0.0)
        return hn_round_money(base * o->markup, last_step(o->plan));
    base = total = hn_round_money(base, each);
    for (size_t i = 0; i < config->markup_count; i++) {
        const hn_markup *m = &config->markups[i];

        total += hn_round_money((m->compound ? total : base) * m->percent / 100.0, each);
        total = hn_round_money(total, each);
    }
    return hn_round_money(total, last_step(o->plan));
}

static void main_cost(const hn_options *o, size_t row, const hn_method *method, hn_option *out)
{
    double length_m = hn_f64(o->table, HN_COL_LENGTH_M, row);
    hn_price price;

    /* a new pipe is priced by its own size, a lining by that of its host */
    out->price_width_mm = method->kind == HN_METHOD_REPLACEMENT
                              ? out->new_inside_mm
                              : price_width_mm(method, &out->full_before);
    if (!hn_price_exists(o->prices, out->method)) {
        out->rate_per_m = 0.0;
        return; /* priced by its items alone */
    }
    price = hn_price_of(o->prices, out->method, hn_str(o->table, HN_COL_SURFACE, row),
                        out->price_width_mm, (double)hn_f32(o->table, HN_COL_DEPTH_M, row));
    out->rate_per_m = price.rate_per_m * o->plan->price_index;
    out->main_cost = out->rate_per_m * length_m;
    if (price.is_beyond)
        out->findings |= HN_FIND_PRICE_BEYOND;
    if (isnan(out->main_cost))
        out->findings |= HN_FIND_PRICE_UNKNOWN;
}

void hn_option_price(const hn_options *o, size_t row, const hn_method *method, hn_host *host,
                     hn_option *out)
{
    main_cost(o, row, method, out);
    add_items(o, row, host, out);
    out->works_cost *= o->plan->price_index;
    out->items_cost *= o->plan->price_index;
    out->base_cost = out->main_cost + out->works_cost + out->items_cost;
    out->cost = with_markups(o, out->base_cost);
    out->cost_low = out->cost * (1.0 + o->plan->estimate_low_pct / 100.0);
    out->cost_high = out->cost * (1.0 + o->plan->estimate_high_pct / 100.0);
    out->yearly_cost = out->cost * o->yearly[out->method];
    out->horizon_cost = hn_option_chain_cost(o, row, out, host);
}
