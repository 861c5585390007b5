/* plan/vary_plan.c - the changed plan of one variation. */
#include "plan/plan_keys.h"
#include "plan/vary.h"

#include <stdlib.h>
#include <string.h>

/* A copy of an array of the plan, to be changed. */
static void *copied(hn_plan *out, const void *from, size_t count, size_t size)
{
    void *to = hn_arena_alloc(&out->arena, count + 1, size);

    if (to)
        memcpy(to, from, count * size);
    return to;
}

/* As a person would write it into the table: a number stays a number. */
static const char *scaled_money(hn_arena *arena, const char *money, double factor)
{
    char *end;
    const double value = strtod(money, &end);

    while (*end == ' ')
        end++;
    if (end != money && *end == '\0')
        return hn_arena_printf(arena, "%.17g", factor * value);
    return hn_arena_printf(arena, "%.17g * (%s)", factor, money);
}

static int scale_consequence(hn_plan *out, const hn_vary *v, double factor)
{
    hn_config *c = &out->config;

    c->factors = copied(out, c->factors, c->factor_class_count, sizeof *c->factors);
    for (size_t i = 0; c->factors && i < c->factor_class_count; i++) {
        hn_factor_class *k = &c->factors[i];
        const int is_meant =
            v->what == HN_VARY_CONSEQUENCE ? k->factor_index == v->index : (int)i == v->index;

        if (is_meant)
            k->money = scaled_money(&out->arena, k->money, factor);
        if (!k->money)
            return 0;
    }
    return c->factors != NULL;
}

static int scale_deterioration(hn_plan *out, double factor)
{
    hn_config *c = &out->config;

    c->cohorts = copied(out, c->cohorts, c->cohort_count, sizeof *c->cohorts);
    for (size_t i = 0; c->cohorts && i < c->cohort_count; i++)
        for (int d = 0; d < HN_DRIVERS; d++)
            for (int g = 0; g < 4; g++)
                c->cohorts[i].rate_per_year[d][g] *= factor;
    return c->cohorts != NULL;
}

static int scale_prices(hn_plan *out, int kind, double factor)
{
    hn_config *c = &out->config;

    c->rates = copied(out, c->rates, c->rate_count, sizeof *c->rates);
    for (size_t i = 0; c->rates && i < c->rate_count; i++)
        if ((int)c->methods[c->rates[i].method].kind == kind)
            c->rates[i].rate *= factor;
    return c->rates != NULL;
}

static int scale_items(hn_plan *out, double factor)
{
    hn_config *c = &out->config;

    c->items = copied(out, c->items, c->item_count, sizeof *c->items);
    for (size_t i = 0; c->items && i < c->item_count; i++)
        c->items[i].rate *= factor;
    return c->items != NULL;
}

static int scale_life(hn_plan *out, int kind, double factor)
{
    hn_config *c = &out->config;

    c->methods = copied(out, c->methods, c->method_count, sizeof *c->methods);
    for (size_t i = 0; c->methods && i < c->method_count; i++)
        if ((int)c->methods[i].kind == kind)
            c->methods[i].life_years *= factor;
    return c->methods != NULL;
}

static int scale_markups(hn_plan *out, double factor)
{
    hn_config *c = &out->config;

    c->markups = copied(out, c->markups, c->markup_count, sizeof *c->markups);
    for (size_t i = 0; c->markups && i < c->markup_count; i++)
        c->markups[i].percent *= factor;
    return c->markups != NULL;
}

static int scale_budgets(hn_plan *out, double factor)
{
    out->budgets = copied(out, out->budgets, (size_t)out->years, sizeof *out->budgets);
    for (int i = 0; out->budgets && i < out->years; i++)
        out->budgets[i].amount *= factor;
    return out->budgets != NULL;
}

static void set_design(hn_plan *out, int key, double value)
{
    size_t count;

    memcpy((char *)out + hn_plan_keys(&count)[key].offset, &value, sizeof value);
}

/* 0 when out of memory. */
static int change(hn_plan *out, const hn_vary *v, double number)
{
    switch (v->what) {
    case HN_VARY_CONSEQUENCE:
    case HN_VARY_NOT_KNOWN:
        return scale_consequence(out, v, number);
    case HN_VARY_FAILURE:
        for (int g = 0; g < 5; g++)
            out->config.failure.per_year[v->index][g] *= number;
        return 1;
    case HN_VARY_DETERIORATION:
        return scale_deterioration(out, number);
    case HN_VARY_DISCOUNT:
        out->discount_pct = number;
        return 1;
    case HN_VARY_HORIZON:
        out->horizon_years = (int)number;
        return 1;
    case HN_VARY_PRICES:
        return scale_prices(out, v->index, number);
    case HN_VARY_ITEMS:
        return scale_items(out, number);
    case HN_VARY_LIFE:
        return scale_life(out, v->index, number);
    case HN_VARY_MARKUPS:
        return scale_markups(out, number);
    case HN_VARY_BUDGET:
        return scale_budgets(out, number);
    case HN_VARY_DEFAULT:
        return 1;
    case HN_VARY_DESIGN:
        set_design(out, v->index, number);
        return 1;
    case HN_VARY_PRIORITY:
        out->priority = (hn_priority_rule)number;
        return 1;
    }
    return 1;
}

hn_status hn_vary_plan(const hn_plan *plan, const hn_vary *vary, int side, hn_plan *out,
                       hn_error *err)
{
    *out = *plan;
    out->arena = (hn_arena){NULL};
    if (!change(out, vary, vary->side[side].number))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    return HN_OK;
}
