#include "plan/plan_mix.h"

#include "base/alloc.h"
#include "base/dates.h"
#include "plan/plan_parts.h"

#include <string.h>

const char *const hn_plan_part_names[HN_PART_COUNT] = {"day", "data", "rules", "prices", "budget"};

static const struct {
    const char *head; /* the key itself, or what stands before its first point or bracket */
    hn_plan_part part;
} key_parts[] = {
    {"money.capacity_loss_limit_pct", HN_PART_RULES}, /* a limit, no price */
    {"as_of", HN_PART_DAY},
    {"network", HN_PART_DATA},
    {"nodes", HN_PART_DATA},
    {"inspections", HN_PART_DATA},
    {"observations", HN_PART_DATA},
    {"works", HN_PART_DATA},
    {"context", HN_PART_DATA},
    {"network_rules", HN_PART_RULES},
    {"risk", HN_PART_RULES},
    {"grading", HN_PART_RULES},
    {"design", HN_PART_RULES},
    {"defaults", HN_PART_RULES},
    {"money", HN_PART_PRICES},
    {"programme", HN_PART_BUDGET},
};

hn_plan_part hn_plan_part_of_key(const char *path)
{
    for (size_t i = 0; i < sizeof key_parts / sizeof key_parts[0]; i++) {
        size_t n = strlen(key_parts[i].head);

        if (strncmp(path, key_parts[i].head, n) == 0 && strchr(".[", path[n]))
            return key_parts[i].part; /* strchr finds the end of the text too */
    }
    return HN_PART_NONE;
}

hn_plan_part hn_plan_part_of_table(const char *table)
{
    static const char *const prices[] = {"rates", "cost_items", "markups"};

    for (size_t i = 0; i < sizeof prices / sizeof prices[0]; i++)
        if (strcmp(table, prices[i]) == 0)
            return HN_PART_PRICES;
    if (strcmp(table, "sensitivity") == 0)
        return HN_PART_NONE; /* says what else is tried, changes nothing */
    return strcmp(table, "overrides") == 0 ? HN_PART_DATA : HN_PART_RULES;
}

static void take_data(hn_plan *to, const hn_plan *from)
{
    to->network = from->network;
    to->has_nodes = from->has_nodes;
    to->nodes = from->nodes;
    to->inspections = from->inspections;
    to->inspection_count = from->inspection_count;
    to->observations = from->observations;
    to->observation_count = from->observation_count;
    to->has_works = from->has_works;
    to->works = from->works;
    to->context = from->context;
    to->context_count = from->context_count;
}

static void take_rules(hn_plan *to, const hn_plan *from)
{
    to->snap_m = from->snap_m;
    to->merge_fragments = from->merge_fragments;
    to->fragment_m = from->fragment_m;
    to->length_tolerance_pct = from->length_tolerance_pct;
    to->length_tolerance_m = from->length_tolerance_m;
    to->length_rule = from->length_rule;
    to->grading_scheme = from->grading_scheme;
    to->replace_recorded = from->replace_recorded;
    to->observations_shown = from->observations_shown;
    to->observations_all_up_to = from->observations_all_up_to;
    to->design = from->design;
    to->defaults = from->defaults;
    to->default_count = from->default_count;
    to->capacity_loss_limit_pct = from->capacity_loss_limit_pct;
    to->risk_scheme = from->risk_scheme;
    memcpy(to->side, from->side, sizeof to->side);
}

static void take_prices(hn_plan *to, const hn_plan *from)
{
    to->discount_pct = from->discount_pct;
    to->horizon_years = from->horizon_years;
    to->estimate_low_pct = from->estimate_low_pct;
    to->estimate_high_pct = from->estimate_high_pct;
    to->estimate_class = from->estimate_class;
    to->rounding = from->rounding;
    to->rounding_step = from->rounding_step;
    to->residual_value = from->residual_value;
    to->price_index = from->price_index;
}

static void take_budget(hn_plan *to, const hn_plan *from)
{
    to->first_year = from->first_year;
    to->years = from->years;
    to->budgets = from->budgets;
    to->carry_over_share = from->carry_over_share;
    to->priority = from->priority;
}

/* A plan without observations has no tables to grade them, and one without a points
 * scheme none to score by: they come from the plan that brought these. */
static const char *path_of(const char *table, const char *first, const char *second, unsigned parts,
                           const hn_plan *mixed)
{
    int is_second = (int)(parts >> hn_plan_part_of_table(table) & 1U);
    const char *path = is_second ? second : first;

    if (!path && ((mixed->observation_count && hn_config_is_for_observations(table)) ||
                  (mixed->risk_scheme != HN_SCHEME_MONEY && hn_config_is_for_scheme(table))))
        path = is_second ? first : second;
    return path;
}

static hn_status check_priority(const hn_plan *plan, hn_error *err)
{
    if (plan->priority == HN_PRIORITY_SCORE && plan->risk_scheme == HN_SCHEME_MONEY)
        return hn_fail(err, HN_ERR_PLAN, "a priority by score has no points scheme");
    return HN_OK;
}

/* As plan_programme.c asks of a plan that is read. */
static hn_status check_years(const hn_plan *plan, hn_error *err)
{
    int year, month, day;

    hn_date_civil(plan->as_of, &year, &month, &day);
    if (plan->first_year < year)
        return hn_fail(err, HN_ERR_PLAN, "a programme from %d would begin before the day, in %d",
                       plan->first_year, year);
    if (plan->first_year - year + plan->years > plan->horizon_years)
        return hn_fail(err, HN_ERR_PLAN, "the programme would end beyond the horizon of %d years",
                       plan->horizon_years);
    return HN_OK;
}

static void take_parts(hn_plan *to, const hn_plan *first, const hn_plan *second, unsigned parts)
{
    if (parts >> HN_PART_DAY & 1U) {
        to->as_of = second->as_of;
        to->as_of_year = second->as_of_year;
    }
    if (parts >> HN_PART_DATA & 1U)
        take_data(to, second);
    if (parts >> HN_PART_RULES & 1U)
        take_rules(to, second);
    if (parts >> HN_PART_PRICES & 1U)
        take_prices(to, second);
    if (parts >> HN_PART_BUDGET & 1U)
        take_budget(to, second);
#define TAKE_PATH(table)     \
    to->config_paths.table = \
        path_of(#table, first->config_paths.table, second->config_paths.table, parts, to);
    HN_CONFIG_TABLE_LIST(TAKE_PATH)
#undef TAKE_PATH
    to->rates_path = to->config_paths.rates;
}

hn_status hn_plan_mix(const hn_plan *first, const hn_plan *second, unsigned parts, hn_plan **out,
                      hn_error *err)
{
    hn_plan *plan = hn_alloc(1, sizeof *plan);
    hn_plan_reader r = {.plan = plan, .file = first->path, .err = err};
    hn_status rc = HN_OK;

    *out = NULL;
    HN_TRY_ALLOC(plan);
    *plan = *first;
    memset(&plan->arena, 0, sizeof plan->arena);
    take_parts(plan, first, second, parts);
    HN_TRY(check_years(plan, err));
    HN_TRY(check_priority(plan, err));
    HN_TRY(hn_config_read(&plan->config_paths, &plan->arena, &plan->config, err));
    HN_TRY(hn_plan_check_materials(&r));
    *out = plan;
    plan = NULL;
out:
    hn_plan_free(plan);
    return rc;
}
