/* plan/plan_risk.c - the points scheme of a plan: how the factors of each side are
 * put together, and how the two sides make a score. */
#include "plan/plan_keys.h"
#include "plan/plan_parts.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { LIMITS_MAX = 9 };

static const char *const sides[HN_SIDES] = {"likelihood", "consequence"};

static hn_status fail_limits(const hn_plan_reader *r, const hn_yaml_node *node, const char *side)
{
    hn_status rc =
        hn_plan_fail(r, node, "risk.%s.class_from is not a rising list of numbers", side);

    hn_hint(r->err,
            "accepted: 1 to %d numbers, the least scores of classes 2, 3, ..., such as "
            "[2, 4, 6, 8]; a score on the limit is in the upper class",
            LIMITS_MAX);
    return rc;
}

static hn_status read_limits(hn_plan_reader *r, const hn_yaml_node *list, const char *name,
                             hn_score_side *side)
{
    double *from;

    if (list->kind != HN_YAML_LIST || list->count < 1 || list->count > LIMITS_MAX)
        return fail_limits(r, list, name);
    from = hn_arena_alloc(&r->plan->arena, list->count, sizeof *from);
    if (!from)
        return hn_plan_no_memory(r);
    side->class_from = from;
    for (const hn_yaml_node *node = list->first; node; node = node->next) {
        if (node->kind != HN_YAML_SCALAR || !hn_parse_number(node->text, &from[side->limits]) ||
            (side->limits && from[side->limits] <= from[side->limits - 1]))
            return fail_limits(r, node, name);
        side->limits++;
    }
    return HN_OK;
}

static hn_status read_side(hn_plan_reader *r, const hn_yaml_node *map, const hn_yaml_node *place,
                           const char *name, hn_score_side *side)
{
    const hn_yaml_node *limits = map ? hn_yaml_get(map, "class_from") : NULL;
    char prefix[32];
    hn_status rc;

    side->least = side->most = (double)NAN;
    snprintf(prefix, sizeof prefix, "risk.%s", name);
    HN_TRY(hn_plan_read_block(r, "side", prefix, map, place, side));
    if (side->least > side->most) {
        rc = hn_plan_fail(r, map, "%s: least is above most", prefix);
        hn_hint(r->err, "give the smaller number as `least:`");
        goto out;
    }
    if (limits)
        HN_TRY(read_limits(r, limits, name, side));
out:
    return rc;
}

static hn_status check_matrix(const hn_plan_reader *r, const hn_yaml_node *map)
{
    hn_status rc;

    for (int s = 0; s < HN_SIDES; s++) {
        if (r->plan->side[s].limits)
            continue;
        rc = hn_plan_fail(r, map, "risk.scheme is matrix, but risk.%s has no classes", sides[s]);
        hn_hint(r->err,
                "add `%s: {class_from: [2, 4, 6, 8]}` with the least scores of classes "
                "2, 3, ...",
                sides[s]);
        return rc;
    }
    return HN_OK;
}

hn_status hn_plan_read_risk(hn_plan_reader *r, const hn_yaml_node *root)
{
    const hn_yaml_node *map = hn_yaml_get(root, "risk");
    hn_plan *plan = r->plan;
    hn_status rc;

    HN_TRY(hn_plan_read_block(r, "risk", "risk", map, root, plan));
    for (int s = 0; s < HN_SIDES; s++)
        HN_TRY(
            read_side(r, map ? hn_yaml_get(map, sides[s]) : NULL, root, sides[s], &plan->side[s]));
    if (plan->risk_scheme == HN_SCHEME_MATRIX)
        HN_TRY(check_matrix(r, map));
    if (plan->priority == HN_PRIORITY_SCORE && plan->risk_scheme == HN_SCHEME_MONEY) {
        rc = hn_plan_fail(r, hn_yaml_get(hn_yaml_get(root, "programme"), "priority"),
                          "programme.priority is score, but there is no points scheme");
        hn_hint(r->err, "add `risk: {scheme: additive}`, multiplicative or matrix; or follow risk "
                        "or value");
    }
out:
    return rc;
}

/* ---- scheme and table together ---- */

static int has_factor(const hn_config *config, int side)
{
    for (size_t f = 0; f < config->score_factor_count; f++)
        if (config->score_factors[f].side == side)
            return 1;
    return 0;
}

static hn_status check_side(const hn_plan_reader *r, const hn_yaml_node *map, int side)
{
    const hn_plan *plan = r->plan;
    const hn_config *config = &plan->config;
    hn_status rc;

    if (plan->risk_scheme != HN_SCHEME_ADDITIVE && !has_factor(config, side)) {
        rc = hn_plan_fail(r, map, "the table scoring has no factor on the side %s", sides[side]);
        hn_hint(r->err, "add one, or take `scheme: additive`, which can do with one side");
        return rc;
    }
    for (size_t f = 0; f < config->score_factor_count; f++) {
        const hn_score_factor *factor = &config->score_factors[f];

        if (factor->side != side || isnan(factor->weight) ||
            plan->side[side].combine != HN_COMBINE_PRODUCT)
            continue;
        rc = hn_plan_fail(r, map, "risk.%s is a product, but factor `%.60s` has a weight",
                          sides[side], factor->name);
        hn_hint(r->err, "leave `weight` blank there; `times` multiplies");
        return rc;
    }
    return HN_OK;
}

hn_status hn_plan_check_scheme(const hn_plan_reader *r, const hn_yaml_node *root)
{
    const hn_yaml_node *map = hn_yaml_get(root, "risk");
    hn_status rc = HN_OK;

    if (r->plan->risk_scheme == HN_SCHEME_MONEY)
        return HN_OK;
    for (int s = 0; s < HN_SIDES; s++)
        HN_TRY(check_side(r, map, s));
out:
    return rc;
}
