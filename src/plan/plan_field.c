/* plan/plan_field.c - `fields:` of a source: which field fills which role,
 * in which unit, with which meaning of its values. Nothing is guessed: a
 * number without unit and a grade without direction are refused. */
#include "base/nearest.h"
#include "plan/plan_keys.h"
#include "plan/plan_parts.h"
#include "plan/plan_pattern.h"
#include "table/codes.h"

#include <stdio.h>
#include <string.h>

enum { NAME_ROOM = 160 };

/* One entry of `fields:` on its way into the plan. */
typedef struct field_entry {
    hn_plan_reader *r;
    const hn_field_role *role;
    const hn_yaml_node *node;
    char name[NAME_ROOM]; /* network.fields.width */
    hn_field_map *map;
} field_entry;

static const hn_yaml_node *part(const field_entry *e, const char *key)
{
    const hn_yaml_node *node = hn_yaml_get(e->node, key);

    return node ? node : e->node;
}

static hn_status fail_unknown_role(const hn_plan_reader *r, hn_source_kind kind, const char *key,
                                   const hn_yaml_node *entry)
{
    const char *names[64], *wanted = entry->key->text, *nearest;
    char all[HN_ERROR_TEXT_MAX - 80], room[HN_PLAN_SHOWN_MAX];
    size_t count, used = 0;
    const hn_field_role *roles = hn_field_role_list(kind, &count);
    hn_status rc = hn_plan_fail(r, entry->key, "unknown field role %s in %s.fields",
                                hn_plan_shown(entry->key, room), key);

    all[0] = '\0';
    for (size_t i = 0; i < count && i < 64; i++) {
        names[i] = roles[i].key;
        if (used < sizeof all)
            used +=
                (size_t)snprintf(all + used, sizeof all - used, "%s%s", i ? ", " : "", names[i]);
    }
    nearest = hn_nearest_of(wanted, names, count < 64 ? count : 64);
    if (nearest)
        hn_hint(r->err, "did you mean `%s`? accepted: %s", nearest, all);
    else
        hn_hint(r->err, "accepted: %s", all);
    return rc;
}

/* ---- what kind of value a role takes ---- */

static hn_status fail_constant(const field_entry *e, const hn_yaml_node *at, const char *accepted)
{
    char room[HN_PLAN_SHOWN_MAX];
    hn_status rc =
        hn_plan_fail(e->r, at, "%s: %s cannot be a value of it", e->name, hn_plan_shown(at, room));

    hn_hint(e->r->err, "accepted: %s", accepted);
    return rc;
}

static hn_status fail_shape(const field_entry *e, const hn_yaml_node *at)
{
    char all[256];
    size_t used = 0;

    for (int i = 0; hn_shape_names[i] && used < sizeof all; i++)
        used += (size_t)snprintf(all + used, sizeof all - used, "%s, ", hn_shape_names[i]);
    snprintf(all + used, used < sizeof all ? sizeof all - used : 0, "or unknown");
    return fail_constant(e, at, all);
}

/* `unknown` reads as missing in every role: unknown is no value of its own. */
static const char *our_text(const char *text)
{
    return text && strcmp(text, "unknown") == 0 ? "" : text;
}

/* Checks a constant, the target of a value map, or `other`. */
static hn_status check_our_value(const field_entry *e, const hn_yaml_node *at)
{
    double number;
    int32_t days;
    int flag;

    if (strcmp(at->text, "unknown") == 0)
        return HN_OK;
    switch (e->role->kind) {
    case HN_ROLE_NUMBER:
    case HN_ROLE_YEAR:
    case HN_ROLE_GRADE:
        return hn_parse_number(at->text, &number)
                   ? HN_OK
                   : fail_constant(e, at, "a number without separators, or unknown");
    case HN_ROLE_DATE:
        return hn_parse_date(at->text, &days)
                   ? HN_OK
                   : fail_constant(e, at, "a date such as 2026-01-31, or unknown");
    case HN_ROLE_FLAG:
        return hn_parse_yes_no(at->text, &flag) ? HN_OK
                                                : fail_constant(e, at, "yes, no, or unknown");
    case HN_ROLE_SHAPE:
        return hn_code_of(hn_shape_names, at->text) >= 0 ? HN_OK : fail_shape(e, at);
    default:
        return HN_OK;
    }
}

/* ---- the parts of an entry ---- */

static hn_status need_scalar(const field_entry *e, const hn_yaml_node *node, const char *what)
{
    char room[HN_PLAN_SHOWN_MAX];
    hn_status rc;

    if (node->kind == HN_YAML_SCALAR && !(node->plain && hn_yaml_is_empty(node)))
        return HN_OK;
    rc = hn_plan_fail(e->r, node, "%s: %s is %s", e->name, what, hn_plan_shown(node, room));
    hn_hint(e->r->err, "accepted: one text; put an empty text in quotes");
    return rc;
}

static hn_status read_missing(field_entry *e)
{
    const hn_yaml_node *node = hn_yaml_get(e->node, "missing"), *item;
    const char **texts;
    size_t count;
    hn_status rc = HN_OK;

    if (!node)
        return HN_OK;
    if (node->kind == HN_YAML_MAP)
        return need_scalar(e, node, "missing");
    item = node->kind == HN_YAML_LIST ? node->first : node;
    count = node->kind == HN_YAML_LIST ? node->count : 1;
    texts = hn_arena_alloc(&e->r->plan->arena, count, sizeof *texts);
    if (!texts)
        return hn_plan_no_memory(e->r);
    for (size_t i = 0; i < count; i++, item = item->next) {
        HN_TRY(need_scalar(e, item, "a value of missing"));
        texts[i] = item->text;
    }
    e->map->missing = texts;
    e->map->missing_count = count;
out:
    return rc;
}

static hn_status fail_values(const field_entry *e, const hn_yaml_node *node)
{
    char room[HN_PLAN_SHOWN_MAX];
    hn_status rc = hn_plan_fail(e->r, node, "%s.values is %s", e->name, hn_plan_shown(node, room));

    hn_hint(e->r->err, "accepted: pairs such as {VC: vitrified clay, CO: concrete}");
    return rc;
}

static hn_status read_values(field_entry *e)
{
    const hn_yaml_node *node = hn_yaml_get(e->node, "values");
    hn_value_pair *pairs;
    hn_status rc = HN_OK;

    if (!node)
        return HN_OK;
    if (node->kind != HN_YAML_MAP)
        return fail_values(e, node);
    pairs = hn_arena_alloc(&e->r->plan->arena, node->count, sizeof *pairs);
    if (!pairs)
        return hn_plan_no_memory(e->r);
    e->map->values = pairs;
    for (const hn_yaml_node *entry = node->first; entry; entry = entry->next) {
        HN_TRY(need_scalar(e, entry, "a target in values"));
        HN_TRY(check_our_value(e, entry));
        pairs->from = entry->key->text;
        pairs->to = our_text(entry->text);
        pairs++;
    }
    e->map->value_count = node->count;
out:
    return rc;
}

static hn_status check_grade(const field_entry *e)
{
    const hn_yaml_node *best = hn_yaml_get(e->node, "best"), *worst = hn_yaml_get(e->node, "worst");
    int silent = !best || !worst || hn_yaml_is_empty(best) || hn_yaml_is_empty(worst);
    hn_status rc;

    if (e->role->kind != HN_ROLE_GRADE && (best || worst)) {
        rc = hn_plan_fail(e->r, part(e, best ? "best" : "worst"), "%s is no grade", e->name);
        hn_hint(e->r->err, "remove `best:` and `worst:`; they belong to grade_structural, "
                           "grade_service and grade_tightness");
        return rc;
    }
    if (e->role->kind != HN_ROLE_GRADE || !silent)
        return HN_OK;
    rc = hn_plan_fail(e->r, e->node,
                      "%s does not say which grade is best and which is worst; the direction of a "
                      "grade scale is never guessed",
                      e->name);
    hn_hint(e->r->err,
            "write `best:` with the grade of a sound pipe and `worst:` with that of a "
            "failed one, such as {field: NAME, best: 1, worst: 5}; or leave the role out");
    return rc;
}

static hn_status set_scale(field_entry *e)
{
    hn_status rc;

    if (e->role->kind != HN_ROLE_GRADE)
        return HN_OK;
    e->map->has_scale = 1;
    if (e->map->best < e->map->worst || e->map->best > e->map->worst)
        return HN_OK;
    rc = hn_plan_fail(e->r, part(e, "worst"), "%s: best and worst are both %g", e->name,
                      e->map->best);
    hn_hint(e->r->err, "give the two ends of the scale, such as best: 1, worst: 5");
    return rc;
}

static hn_status set_unit(field_entry *e)
{
    const char *names = hn_unit_names(e->role->dimension);
    char room[HN_PLAN_SHOWN_MAX];
    hn_status rc;

    e->map->unit_factor = 1;
    if (!e->map->unit && hn_field_role_needs_unit(e->role)) {
        rc = hn_plan_fail(e->r, e->node, "%s does not say its unit", e->name);
        hn_hint(e->r->err, "write {field: NAME, unit: ...} with one of: %s", names);
        return rc;
    }
    if (!e->map->unit)
        return HN_OK;
    if (e->role->dimension == HN_DIM_NONE) {
        rc = hn_plan_fail(e->r, part(e, "unit"), "%s has no unit", e->name);
        hn_hint(e->r->err, "remove `unit:`");
        return rc;
    }
    e->map->unit_factor = hn_unit_factor(e->role->dimension, e->map->unit);
    if (e->map->unit_factor > 0)
        return HN_OK;
    rc = hn_plan_fail(e->r, part(e, "unit"), "%s: %s is no unit of it", e->name,
                      hn_plan_shown(part(e, "unit"), room));
    hn_hint(e->r->err, "accepted: %s", names);
    return rc;
}

static hn_status check_field_or_value(const field_entry *e)
{
    hn_status rc;

    if (!e->map->field == !e->map->constant) {
        rc = hn_plan_fail(e->r, e->node, "%s %s", e->name,
                          e->map->field ? "has both `field:` and `value:`"
                                        : "has neither `field:` nor `value:`");
        hn_hint(e->r->err, "give `field:` with a name of the source, or `value:` with the same "
                           "value for every row");
        return rc;
    }
    if (e->map->constant && (e->map->pattern || e->map->value_count || e->map->missing_count)) {
        rc = hn_plan_fail(e->r, e->node, "%s: a fixed value takes no pattern, values or missing",
                          e->name);
        hn_hint(e->r->err, "keep `value:` alone, with its unit if it has one");
        return rc;
    }
    return e->map->constant ? check_our_value(e, part(e, "value")) : HN_OK;
}

static hn_status check_other(const field_entry *e)
{
    hn_status rc;

    if (!e->map->other)
        return HN_OK;
    if (e->map->value_count > 0)
        return check_our_value(e, part(e, "other"));
    rc = hn_plan_fail(e->r, part(e, "other"), "%s has `other:` without `values:`", e->name);
    hn_hint(e->r->err,
            "`other:` is what values outside the map become; give the map, or remove it");
    return rc;
}

static hn_status check_date(const field_entry *e)
{
    int takes_date = e->role->kind == HN_ROLE_YEAR || e->role->kind == HN_ROLE_DATE;
    hn_status rc;

    if (takes_date || !hn_yaml_get(e->node, "date"))
        return HN_OK;
    rc = hn_plan_fail(e->r, part(e, "date"), "%s is neither a date nor a year", e->name);
    hn_hint(e->r->err, "remove `date:`");
    return rc;
}

static hn_status check_pattern(const field_entry *e)
{
    char why[160];
    hn_status rc;

    if (!e->map->pattern || !hn_pattern_fault(e->map->pattern, why, sizeof why))
        return HN_OK;
    rc = hn_plan_fail(e->r, part(e, "pattern"), "%s.pattern %s", e->name, why);
    hn_hint(e->r->err,
            "give a POSIX extended regular expression whose first ( ) is the value, such "
            "as \"([0-9.]+) *m\"");
    return rc;
}

static hn_status read_long_form(field_entry *e)
{
    hn_status rc;

    HN_TRY(check_grade(e));
    HN_TRY(hn_plan_read_block(e->r, "field", e->name, e->node, e->node, e->map));
    HN_TRY(read_missing(e));
    HN_TRY(read_values(e));
    HN_TRY(check_field_or_value(e));
    HN_TRY(check_other(e));
    HN_TRY(check_date(e));
    HN_TRY(check_pattern(e));
    HN_TRY(set_scale(e));
    e->map->constant = our_text(e->map->constant);
    e->map->other = our_text(e->map->other);
out:
    return rc;
}

static hn_status read_entry(field_entry *e)
{
    char room[HN_PLAN_SHOWN_MAX];
    hn_status rc;

    e->map->role = e->role->key;
    e->map->place.line = e->node->key->line;
    e->map->place.column = e->node->key->column;
    if (e->node->kind == HN_YAML_LIST || hn_yaml_is_empty(e->node)) {
        rc = hn_plan_fail(e->r, e->node, "%s is %s", e->name, hn_plan_shown(e->node, room));
        hn_hint(e->r->err, "accepted: the name of a field, {field: NAME, ...}, or {value: ...}; "
                           "remove the line when there is none");
        return rc;
    }
    if (e->node->kind == HN_YAML_MAP) {
        HN_TRY(read_long_form(e));
    } else {
        e->map->field = e->node->text;
        HN_TRY(check_grade(e));
    }
    HN_TRY(set_unit(e));
out:
    return rc;
}

hn_status hn_plan_read_fields(hn_plan_reader *r, hn_source_kind kind, const char *key,
                              const hn_yaml_node *fields, hn_source *out)
{
    char name[NAME_ROOM];
    hn_field_map *maps;
    hn_status rc;

    snprintf(name, sizeof name, "%s.fields", key);
    HN_TRY(hn_plan_need_map(r, name, fields));
    maps = hn_arena_alloc(&r->plan->arena, fields->count, sizeof *maps);
    if (!maps)
        return hn_plan_no_memory(r);
    out->fields = maps;
    for (const hn_yaml_node *node = fields->first; node; node = node->next) {
        field_entry e = {.r = r, .node = node, .map = maps + out->field_count};

        e.role = hn_field_role_find(kind, node->key->text);
        if (!e.role)
            return fail_unknown_role(r, kind, key, node);
        snprintf(e.name, sizeof e.name, "%s.fields.%s", key, e.role->key);
        HN_TRY(read_entry(&e));
        out->field_count++;
    }
out:
    return rc;
}
