/* plan/plan_defaults.c - `defaults:`: values where the data have none. Each is
 * said with its source. What only an observation can tell takes no default. */
#include "base/nearest.h"
#include "plan/plan_keys.h"
#include "plan/plan_parts.h"
#include "table/codes.h"

#include <stdio.h>
#include <string.h>

static int is_observation(hn_column_id id)
{
    return id == HN_COL_SEGMENT_ID || id == HN_COL_UP_NODE || id == HN_COL_DOWN_NODE ||
           id == HN_COL_GRADE_STRUCTURAL || id == HN_COL_GRADE_SERVICE ||
           id == HN_COL_GRADE_TIGHTNESS || id == HN_COL_INSPECTED_ON || id == HN_COL_COLLAPSED ||
           id == HN_COL_LENGTH_GEOMETRY_M || id == HN_COL_LENGTH_M || id == HN_COL_LENGTH_BASIS;
}

static int takes_default(hn_column_id id)
{
    return strcmp(hn_column_definition(id)->owner, "read") == 0 && !is_observation(id);
}

static const char *column_name(size_t i, const void *context)
{
    (void)context;
    return takes_default((hn_column_id)i) ? hn_column_definition((hn_column_id)i)->name : "";
}

static hn_status fail_name(const hn_plan_reader *r, const hn_yaml_node *entry, hn_column_id id)
{
    const char *nearest = hn_nearest(entry->key->text, column_name, HN_COL_COUNT, NULL);
    char room[HN_PLAN_SHOWN_MAX];
    hn_status rc = hn_plan_fail(r, entry->key, "defaults: %s %s", hn_plan_shown(entry->key, room),
                                id == HN_COL_COUNT ? "is no column" : "takes no default");

    if (id != HN_COL_COUNT)
        hn_hint(r->err,
                "it is measured or observed, or belongs to a later stage; leave it unknown");
    else if (nearest && *nearest)
        hn_hint(r->err,
                "did you mean `%s`? accepted: the columns that are read, with their unit, "
                "such as width_mm, material, groundwater_above_invert_m",
                nearest);
    else
        hn_hint(r->err, "accepted: the columns that are read, with their unit, such as width_mm, "
                        "material, groundwater_above_invert_m");
    return rc;
}

static hn_status fail_default(const hn_plan_reader *r, const hn_yaml_node *entry,
                              const char *accepted)
{
    const hn_yaml_node *value = hn_yaml_get(entry, "value");
    char room[HN_PLAN_SHOWN_MAX];
    hn_status rc = hn_plan_fail(r, value, "defaults.%.60s is %s", entry->key->text,
                                hn_plan_shown(value, room));

    hn_hint(r->err, "accepted: %s", accepted);
    return rc;
}

static hn_status set_default(const hn_plan_reader *r, const hn_yaml_node *entry, const char *text,
                             hn_default *out)
{
    const hn_column_def *column = hn_column_definition((hn_column_id)out->column);
    char accepted[120];

    out->number = NAN;
    if (column->kind == HN_KIND_STR) {
        out->text = text;
        return HN_OK;
    }
    if (column->kind == HN_KIND_CODE) {
        int code = hn_code_of(hn_shape_names, text); /* the one coded column that is read */

        out->text = text;
        out->number = code;
        return code >= 0 ? HN_OK
                         : fail_default(r, entry,
                                        "circle, egg, horseshoe, rectangle, ellipse, "
                                        "arch, channel or other");
    }
    if (hn_parse_number(text, &out->number))
        return HN_OK;
    snprintf(accepted, sizeof accepted, "a number without separators%s%s",
             *column->unit ? ", in " : "", column->unit);
    return fail_default(r, entry, accepted);
}

static hn_status read_default(hn_plan_reader *r, const hn_yaml_node *entry, hn_default *out)
{
    hn_column_id id = hn_column_find(entry->key->text);
    hn_default_text said = {NULL, NULL};
    char prefix[80];
    hn_status rc;

    if (id == HN_COL_COUNT || !takes_default(id))
        return fail_name(r, entry, id);
    snprintf(prefix, sizeof prefix, "defaults.%.60s", entry->key->text);
    HN_TRY(hn_plan_read_block(r, "default", prefix, entry, entry, &said));
    out->column = (int)id;
    out->source = said.source;
    out->place.line = entry->key->line;
    out->place.column = entry->key->column;
    HN_TRY(set_default(r, entry, said.value, out));
out:
    return rc;
}

hn_status hn_plan_read_defaults(hn_plan_reader *r, const hn_yaml_node *map)
{
    hn_plan *plan = r->plan;
    hn_status rc = HN_OK;

    if (!map)
        return HN_OK;
    HN_TRY(hn_plan_need_map(r, "defaults", map));
    plan->defaults = hn_arena_alloc(&plan->arena, map->count, sizeof *plan->defaults);
    if (!plan->defaults)
        return hn_plan_no_memory(r);
    for (const hn_yaml_node *entry = map->first; entry; entry = entry->next) {
        HN_TRY(read_default(r, entry, &plan->defaults[plan->default_count]));
        plan->default_count++;
    }
out:
    return rc;
}
