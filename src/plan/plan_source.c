/* plan/plan_source.c - the layers and tables that a plan names. */
#include "plan/plan_keys.h"
#include "plan/plan_parts.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

enum { KEY_ROOM = 80, CONTEXT_NAME_MAX = 40, CONTEXT_MAX = 32, INSPECTIONS_MAX = 32 };

static int maps_role(const hn_source *source, const char *role)
{
    for (size_t i = 0; i < source->field_count; i++)
        if (strcmp(source->fields[i].role, role) == 0)
            return 1;
    return 0;
}

static hn_status fail_role(const hn_plan_reader *r, const hn_source *source,
                           const hn_yaml_node *node, const char *what)
{
    hn_status rc = hn_plan_fail(r, node, "%s.fields does not map %s", source->key, what);

    hn_hint(r->err, "add a line such as `%.*s: FIELD_NAME` under `fields:`",
            (int)strcspn(what, " "), what);
    return rc;
}

/* Roles without which the rows of a source mean nothing. */
static hn_status check_roles(const hn_plan_reader *r, hn_source_kind kind, const hn_source *source,
                             const hn_yaml_node *fields)
{
    static const char *const needed[HN_SOURCE_KINDS] = {[HN_SOURCE_NETWORK] = "segment_id",
                                                        [HN_SOURCE_NODES] = "node_id",
                                                        [HN_SOURCE_OBSERVATIONS] = "code",
                                                        [HN_SOURCE_WORKS] = "kind"};

    if (needed[kind] && !maps_role(source, needed[kind]))
        return fail_role(r, source, fields, needed[kind]);
    if (kind == HN_SOURCE_WORKS && !maps_role(source, "year"))
        return fail_role(r, source, fields, "year");
    if (kind == HN_SOURCE_OBSERVATIONS && maps_role(source, "inspection_id"))
        return HN_OK; /* the inspection knows its segment */
    if ((kind == HN_SOURCE_INSPECTIONS || kind == HN_SOURCE_OBSERVATIONS) &&
        !maps_role(source, "segment_id") &&
        !(maps_role(source, "up_node") && maps_role(source, "down_node")))
        return fail_role(r, source, fields, "segment_id, nor both up_node and down_node");
    return HN_OK;
}

/* A filter is one condition: what stands behind a semicolon would be dropped
 * without a word, so it is refused. */
static hn_status check_where(const hn_plan_reader *r, const hn_yaml_node *map)
{
    const hn_yaml_node *node = hn_yaml_get(map, "where");
    char quote = '\0';
    hn_status rc;

    for (const char *c = node && node->text ? node->text : ""; *c; c++) {
        if (quote)
            quote = *c == quote ? '\0' : quote;
        else if (*c == '\'' || *c == '"')
            quote = *c;
        else if (*c == ';') {
            rc = hn_plan_fail(r, node, "`where` holds a semicolon outside of quotes");
            hn_hint(r->err, "write one SQL condition, such as: status = 'in use'");
            return rc;
        }
    }
    return HN_OK;
}

static hn_status finish_source(const hn_plan_reader *r, const char *key, const hn_yaml_node *node,
                               hn_source *out)
{
    hn_arena *arena = &r->plan->arena;

    out->key = hn_arena_text(arena, key);
    out->from = hn_plan_resolve(arena, r->plan->folder, out->from);
    out->place.line = node->key ? node->key->line : node->line;
    out->place.column = node->key ? node->key->column : node->column;
    return out->key && out->from ? HN_OK : hn_plan_no_memory(r);
}

static hn_status read_source(hn_plan_reader *r, hn_source_kind kind, const char *key,
                             const hn_yaml_node *node, hn_source *out)
{
    const hn_yaml_node *fields;
    hn_status rc;

    HN_TRY(check_where(r, node));
    HN_TRY(hn_plan_read_block(r, "source", key, node, node, out));
    HN_TRY(finish_source(r, key, node, out));
    fields = hn_yaml_get(node, "fields");
    HN_TRY(hn_plan_read_fields(r, kind, key, fields, out));
    HN_TRY(check_roles(r, kind, out, fields));
out:
    return rc;
}

static hn_status fail_too_many(const hn_plan_reader *r, const hn_yaml_node *node, const char *what,
                               int most)
{
    hn_status rc = hn_plan_fail(r, node, "%s has %zu entries", what, node->count);

    hn_hint(r->err, "accepted: up to %d", most);
    return rc;
}

/* Does the file begin like a text in exchange form? Only ordinary files are asked. */
static int is_exchange_text(const char *path)
{
    const size_t n = strlen(path);
    static const char mark[] = "\xef\xbb\xbf";
    char begin[8] = "";
    FILE *file;

    if (n < 4 || strcasecmp(path + n - 4, ".txt") != 0 || hn_plan_is_connection(path))
        return 0;
    file = fopen(path, "rb");
    if (!file)
        return 0;
    begin[fread(begin, 1, 6, file)] = '\0';
    fclose(file);
    return strncmp(begin + (strncmp(begin, mark, 3) == 0 ? 3 : 0), "#A1", 3) == 0;
}

/* An observations source: a table with fields, or a text that says itself what it
 * holds. */
static hn_status read_observed(hn_plan_reader *r, const char *key, const hn_yaml_node *node,
                               hn_source *out)
{
    const hn_yaml_node *fields = hn_yaml_get(node, "fields");
    hn_status rc;

    HN_TRY(check_where(r, node));
    HN_TRY(hn_plan_read_block(r, "observations", key, node, node, out));
    HN_TRY(finish_source(r, key, node, out));
    if (out->format == HN_FORMAT_AUTO)
        out->format = is_exchange_text(out->from) ? HN_FORMAT_EXCHANGE_TEXT : HN_FORMAT_TABLE;
    if (out->format == HN_FORMAT_EXCHANGE_TEXT && fields) {
        rc = hn_plan_fail(r, fields, "%s.fields: a text in exchange form says itself what it holds",
                          key);
        hn_hint(r->err, "remove `fields:`, or give `format: table`");
        goto out;
    }
    if (out->format == HN_FORMAT_EXCHANGE_TEXT)
        return HN_OK;
    if (!fields) {
        rc = hn_plan_fail(r, node, "%s has no `fields:`", key);
        hn_hint(r->err, "say which field fills which role, such as {segment_id: ID, code: CODE}");
        goto out;
    }
    HN_TRY(hn_plan_read_fields(r, HN_SOURCE_OBSERVATIONS, key, fields, out));
    HN_TRY(check_roles(r, HN_SOURCE_OBSERVATIONS, out, fields));
out:
    return rc;
}

/* A list of tables under one key. */
static hn_status read_list(hn_plan_reader *r, const char *name, const hn_yaml_node *list,
                           hn_source_kind kind, hn_source **sources, size_t *count)
{
    char key[KEY_ROOM], room[HN_PLAN_SHOWN_MAX];
    hn_status rc = HN_OK;

    if (list->kind != HN_YAML_LIST) {
        rc = hn_plan_fail(r, list, "%s is %s", name, hn_plan_shown(list, room));
        hn_hint(r->err, "accepted: a list; begin each table with `- from: ...`");
        return rc;
    }
    if (list->count > INSPECTIONS_MAX)
        return fail_too_many(r, list, name, INSPECTIONS_MAX);
    *sources = hn_arena_alloc(&r->plan->arena, list->count, sizeof(hn_source));
    if (!*sources)
        return hn_plan_no_memory(r);
    for (const hn_yaml_node *node = list->first; node; node = node->next) {
        snprintf(key, sizeof key, "%s[%zu]", name, *count + 1);
        HN_TRY(kind == HN_SOURCE_OBSERVATIONS
                   ? read_observed(r, key, node, &(*sources)[*count])
                   : read_source(r, kind, key, node, &(*sources)[*count]));
        ++*count;
    }
out:
    return rc;
}

/* The name becomes part of a column name. */
static int is_column_word(const char *name)
{
    if (!islower((unsigned char)name[0]) || strlen(name) > CONTEXT_NAME_MAX)
        return 0;
    for (const char *c = name; *c; c++)
        if (!islower((unsigned char)*c) && !isdigit((unsigned char)*c) && *c != '_')
            return 0;
    return 1;
}

static hn_status read_context_layer(hn_plan_reader *r, const hn_yaml_node *node,
                                    hn_context_layer *out)
{
    char key[KEY_ROOM], room[HN_PLAN_SHOWN_MAX];
    hn_status rc;

    if (!is_column_word(node->key->text)) {
        rc = hn_plan_fail(r, node->key, "%s cannot name a context layer",
                          hn_plan_shown(node->key, room));
        hn_hint(
            r->err,
            "accepted: up to %d small letters a-z, digits and _, a letter first; it becomes the "
            "column near_<name>_m",
            CONTEXT_NAME_MAX);
        return rc;
    }
    snprintf(key, sizeof key, "context.%s", node->key->text);
    HN_TRY(check_where(r, node));
    HN_TRY(hn_plan_read_block(r, "context", key, node, node, out));
    HN_TRY(finish_source(r, key, node, &out->source));
    out->name = node->key->text;
out:
    return rc;
}

static hn_status read_context(hn_plan_reader *r, const hn_yaml_node *map)
{
    hn_status rc;

    HN_TRY(hn_plan_need_map(r, "context", map));
    if (map->count > CONTEXT_MAX)
        return fail_too_many(r, map, "context", CONTEXT_MAX);
    r->plan->context = hn_arena_alloc(&r->plan->arena, map->count, sizeof *r->plan->context);
    if (!r->plan->context)
        return hn_plan_no_memory(r);
    for (const hn_yaml_node *node = map->first; node; node = node->next) {
        HN_TRY(read_context_layer(r, node, &r->plan->context[r->plan->context_count]));
        r->plan->context_count++;
    }
out:
    return rc;
}

hn_status hn_plan_read_sources(hn_plan_reader *r, const hn_yaml_node *root)
{
    const hn_yaml_node *nodes = hn_yaml_get(root, "nodes"), *works = hn_yaml_get(root, "works");
    const hn_yaml_node *list = hn_yaml_get(root, "inspections");
    const hn_yaml_node *observed = hn_yaml_get(root, "observations");
    const hn_yaml_node *context = hn_yaml_get(root, "context");
    hn_plan *plan = r->plan;
    hn_status rc;

    HN_TRY(
        read_source(r, HN_SOURCE_NETWORK, "network", hn_yaml_get(root, "network"), &plan->network));
    plan->has_nodes = nodes != NULL;
    if (nodes)
        HN_TRY(read_source(r, HN_SOURCE_NODES, "nodes", nodes, &plan->nodes));
    if (list)
        HN_TRY(read_list(r, "inspections", list, HN_SOURCE_INSPECTIONS, &plan->inspections,
                         &plan->inspection_count));
    if (observed)
        HN_TRY(read_list(r, "observations", observed, HN_SOURCE_OBSERVATIONS, &plan->observations,
                         &plan->observation_count));
    plan->has_works = works != NULL;
    if (works)
        HN_TRY(read_source(r, HN_SOURCE_WORKS, "works", works, &plan->works));
    if (context)
        HN_TRY(read_context(r, context));
out:
    return rc;
}
