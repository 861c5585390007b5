/* plan/plan_programme.c - years, budgets and the range of the estimate. */
#include "base/dates.h"
#include "plan/plan_keys.h"
#include "plan/plan_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { YEARS_MAX = 100 };
#define BUDGET_MAX 1e15

static hn_status fail_budget(const hn_plan_reader *r, const hn_yaml_node *node, const char *name,
                             const char *why)
{
    char room[HN_PLAN_SHOWN_MAX];
    hn_status rc = hn_plan_fail(r, node, "%s is %s: %s", name, hn_plan_shown(node, room), why);

    hn_hint(r->err, "accepted: an amount from 0 up, without separators, such as 500000; 0 when "
                    "nothing is to be spent");
    return rc;
}

static hn_status read_amount(const hn_plan_reader *r, const hn_yaml_node *node, const char *name,
                             double *out)
{
    if (node->kind != HN_YAML_SCALAR || !hn_parse_number(node->text, out))
        return fail_budget(r, node, name, "not an amount");
    if (node->text[0] == '0' && node->text[1] >= '0' && node->text[1] <= '9')
        return fail_budget(r, node, name,
                           "an amount begins with no 0; this looks like one that a "
                           "comma cut in two");
    if (*out < 0)
        return fail_budget(r, node, name, "a budget cannot be negative");
    return *out > BUDGET_MAX ? fail_budget(r, node, name, "too large") : HN_OK;
}

static hn_status fail_years(const hn_plan_reader *r, const hn_yaml_node *node, size_t count)
{
    hn_status rc = hn_plan_fail(r, node, "programme.budgets has %zu years", count);

    hn_hint(r->err, "accepted: 1 to %d years", YEARS_MAX);
    return rc;
}

static hn_status new_budgets(hn_plan_reader *r, const hn_yaml_node *node, size_t count)
{
    if (count < 1 || count > YEARS_MAX)
        return fail_years(r, node, count);
    r->plan->budgets = hn_arena_alloc(&r->plan->arena, count, sizeof *r->plan->budgets);
    return r->plan->budgets ? HN_OK : hn_plan_no_memory(r);
}

static hn_status read_budget_list(hn_plan_reader *r, const hn_yaml_node *list)
{
    char name[64];
    hn_budget *budget;
    hn_status rc;
    int year = r->plan->first_year;

    HN_TRY(new_budgets(r, list, list->count));
    budget = r->plan->budgets;
    for (const hn_yaml_node *node = list->first; node; node = node->next, budget++) {
        snprintf(name, sizeof name, "programme.budgets, year %d", year);
        HN_TRY(read_amount(r, node, name, &budget->amount));
        budget->year = year++;
    }
out:
    return rc;
}

static hn_status read_budget_year(const hn_plan_reader *r, const hn_yaml_node *entry,
                                  hn_budget *out)
{
    char name[64], room[HN_PLAN_SHOWN_MAX];
    double year = 0;
    hn_status rc;

    if (!hn_parse_number(entry->key->text, &year) || year < 1900 || year > 2200 ||
        year > (int)year) {
        rc = hn_plan_fail(r, entry->key, "programme.budgets: %s is no year",
                          hn_plan_shown(entry->key, room));
        hn_hint(r->err, "accepted: years from 1900 to 2200, such as {2026: 500000, 2027: 600000}");
        return rc;
    }
    out->year = (int)year;
    snprintf(name, sizeof name, "programme.budgets, year %d", out->year);
    return read_amount(r, entry, name, &out->amount);
}

static int by_year(const void *a, const void *b)
{
    return ((const hn_budget *)a)->year - ((const hn_budget *)b)->year;
}

/* The years must follow each other without a gap. */
static hn_status check_no_gap(const hn_plan_reader *r, const hn_yaml_node *map)
{
    const hn_budget *budgets = r->plan->budgets;

    for (size_t i = 1; i < map->count; i++) {
        int expected = budgets[i - 1].year + 1;

        if (budgets[i].year == expected)
            continue;
        if (budgets[i].year < expected)
            hn_plan_fail(r, map, "programme.budgets has year %d twice", budgets[i].year);
        else
            hn_plan_fail(r, map, "programme.budgets has %d and %d but no %d", budgets[i - 1].year,
                         budgets[i].year, expected);
        hn_hint(r->err, "give every year once; write `%d: 0` when nothing is to be spent",
                expected);
        return HN_ERR_PLAN;
    }
    return HN_OK;
}

static hn_status read_budget_map(hn_plan_reader *r, const hn_yaml_node *map,
                                 const hn_yaml_node *first_year)
{
    hn_budget *budget;
    hn_status rc;

    HN_TRY(new_budgets(r, map, map->count));
    budget = r->plan->budgets;
    for (const hn_yaml_node *entry = map->first; entry; entry = entry->next)
        HN_TRY(read_budget_year(r, entry, budget++));
    budget = r->plan->budgets;
    qsort(budget, map->count, sizeof *budget, by_year);
    HN_TRY(check_no_gap(r, map));
    if (first_year && budget->year != r->plan->first_year) {
        rc = hn_plan_fail(r, first_year, "programme.first_year is %d but budgets begin with %d",
                          r->plan->first_year, budget->year);
        hn_hint(r->err, "remove `first_year:`, or give the missing years");
        goto out;
    }
    r->plan->first_year = budget->year;
out:
    return rc;
}

static hn_status read_level(hn_plan_reader *r, const hn_yaml_node *map, const hn_yaml_node *level)
{
    hn_plan *plan = r->plan;
    double amount = 0;
    hn_status rc;

    if (plan->years == 0) {
        rc = hn_plan_fail(r, level, "programme.level_budget is given without programme.years");
        hn_hint(r->err, "add `years:` with the number of years, 1 to %d", YEARS_MAX);
        return rc;
    }
    HN_TRY(new_budgets(r, map, (size_t)plan->years));
    HN_TRY(read_amount(r, level, "programme.level_budget", &amount));
    for (int i = 0; i < plan->years; i++) {
        plan->budgets[i].year = plan->first_year + i;
        plan->budgets[i].amount = amount;
    }
out:
    return rc;
}

static hn_status fail_count(const hn_plan_reader *r, const hn_yaml_node *budgets)
{
    hn_status rc =
        hn_plan_fail(r, budgets, "programme.budgets has %zu years but programme.years is %d",
                     budgets->count, r->plan->years);

    hn_hint(r->err, "give one budget a year (0 when nothing is to be spent), or remove `years:`");
    return rc;
}

static hn_status read_budgets(hn_plan_reader *r, const hn_yaml_node *map)
{
    const hn_yaml_node *budgets = hn_yaml_get(map, "budgets");
    const hn_yaml_node *level = hn_yaml_get(map, "level_budget");
    hn_status rc;

    if (!budgets == !level) {
        rc = hn_plan_fail(r, map, "programme has %s",
                          budgets ? "both budgets and level_budget"
                                  : "neither budgets nor level_budget");
        hn_hint(r->err, "give `budgets: [500000, 600000]`, one amount a year, or `level_budget: "
                        "500000` with `years: 10`");
        return rc;
    }
    if (level)
        return read_level(r, map, level);
    if (budgets->kind == HN_YAML_SCALAR)
        return fail_budget(r, budgets, "programme.budgets",
                           "a list or years with amounts is needed; level_budget takes one amount");
    rc = budgets->kind == HN_YAML_LIST
             ? read_budget_list(r, budgets)
             : read_budget_map(r, budgets, hn_yaml_get(map, "first_year"));
    if (rc == HN_OK && r->plan->years != 0 && (size_t)r->plan->years != budgets->count)
        return fail_count(r, budgets);
    r->plan->years = (int)budgets->count;
    return rc;
}

hn_status hn_plan_read_programme(hn_plan_reader *r, const hn_yaml_node *map)
{
    hn_plan *plan = r->plan;
    int year, month, day;
    hn_status rc;

    hn_date_civil(plan->as_of, &year, &month, &day);
    plan->first_year = year;
    HN_TRY(hn_plan_read_block(r, "programme", "programme", map, map, plan));
    HN_TRY(read_budgets(r, map));
    if (plan->first_year < year) {
        rc = hn_plan_fail(r, map, "the programme begins in %d, before the year of as_of, %d",
                          plan->first_year, year);
        hn_hint(r->err, "begin in %d or later, or give an earlier `as_of:`", year);
    } else if (plan->first_year - year + plan->years > plan->horizon_years) {
        rc = hn_plan_fail(r, map,
                          "the programme ends %d years after as_of, beyond money."
                          "horizon_years, %d",
                          plan->first_year - year + plan->years, plan->horizon_years);
        hn_hint(r->err, "plan fewer years, or set `money: {horizon_years: %d}` or more",
                plan->first_year - year + plan->years);
    }
out:
    return rc;
}

/* Source: AACE International, Recommended Practice 18R-97, outer bounds of
 * the accuracy range of each class (from memory). */
static const struct {
    char name[2];
    double low_pct, high_pct;
} estimate_classes[] = {
    {"5", -50, 100}, {"4", -30, 50}, {"3", -20, 30}, {"2", -15, 20}, {"1", -10, 15}};

static hn_status assume_end(hn_plan_reader *r, const char *what, double pct)
{
    char value[64], source[96];

    snprintf(value, sizeof value, "%+g %%", pct);
    snprintf(source, sizeof source,
             "AACE International 18R-97, class %s, outer bound (from memory)",
             r->plan->estimate_class);
    return hn_plan_assume(r, what, value, source);
}

hn_status hn_plan_set_estimate(hn_plan_reader *r, const hn_yaml_node *map)
{
    hn_plan *plan = r->plan;
    size_t i = 0;
    hn_status rc = HN_OK;

    while (strcmp(estimate_classes[i].name, plan->estimate_class) != 0)
        i++;
    if (!hn_yaml_get(map, "estimate_low_pct")) {
        plan->estimate_low_pct = estimate_classes[i].low_pct;
        HN_TRY(assume_end(r, "money.estimate_low_pct", plan->estimate_low_pct));
    }
    if (!hn_yaml_get(map, "estimate_high_pct")) {
        plan->estimate_high_pct = estimate_classes[i].high_pct;
        HN_TRY(assume_end(r, "money.estimate_high_pct", plan->estimate_high_pct));
    }
out:
    return rc;
}
