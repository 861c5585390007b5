#include "plan/plan_diff.h"

#include "plan/plan_keys.h"

#include <string.h>

typedef struct walk {
    hn_arena *arena;
    const hn_yaml_node *other; /* root of the other plan */
    int is_second;             /* the walk goes over the second plan: only what the first lacks */
    hn_plan_changes *out;
} walk;

/* Default of `block.name`, of `name` at the top, or of `context.NAME.key`. */
static const char *default_of(const char *path)
{
    size_t count, n = strcspn(path, ".");
    const hn_plan_key *keys = hn_plan_keys(&count);
    const char *name = path[n] ? path + n + 1 : path;
    const char *end = strrchr(path, '.');

    if (strncmp(path, "context.", 8) == 0)
        name = end ? end + 1 : name;
    for (size_t i = 0; i < count; i++)
        if (strcmp(keys[i].name, name) == 0 && keys[i].default_text &&
            (path[n] ? strncmp(keys[i].block, path, n) == 0 && keys[i].block[n] == '\0'
                     : keys[i].block[0] == '\0'))
            return keys[i].default_text;
    return NULL;
}

static int same_text(const char *a, const char *b)
{
    double x, y;

    if (strcmp(a, b) == 0)
        return 1;
    return hn_parse_number(a, &x) && hn_parse_number(b, &y) && !(x < y || x > y);
}

static hn_status add_change(walk *w, const char *path, const char *here, const char *there,
                            hn_error *err)
{
    hn_plan_changes *out = w->out;
    hn_plan_change *to;
    hn_status rc = HN_OK;

    if (out->count == out->room) {
        size_t room = out->room ? 2 * out->room : 32;
        hn_plan_change *items = hn_arena_alloc(w->arena, room, sizeof *items);

        HN_TRY_ALLOC(items);
        if (out->count)
            memcpy(items, out->items, out->count * sizeof *items);
        out->items = items;
        out->room = room;
    }
    to = &out->items[out->count++];
    *to = (hn_plan_change){path, w->is_second ? there : here, w->is_second ? here : there,
                           hn_plan_part_of_key(path)};
out:
    return rc;
}

static const char *with_default(walk *w, const char *path, const char **bare)
{
    const char *preset = default_of(path);

    *bare = preset ? preset : "";
    return preset ? hn_arena_printf(w->arena, "%s (default)", preset) : "";
}

static hn_status compare_leaf(walk *w, const char *path, const hn_yaml_node *here,
                              const hn_yaml_node *there, hn_error *err)
{
    const char *text = here->text ? here->text : "", *bare, *shown;
    hn_status rc = HN_OK;

    if (there && w->is_second)
        return HN_OK; /* seen from the first plan already */
    if (there && !there->first) {
        bare = shown = there->text ? there->text : "";
    } else {
        shown = with_default(w, path, &bare);
        HN_TRY_ALLOC(shown);
    }
    if (!same_text(text, bare))
        HN_TRY(add_change(w, path, text, shown, err));
out:
    return rc;
}

static hn_status compare_node(walk *w, const char *path, const hn_yaml_node *here,
                              const hn_yaml_node *there, hn_error *err);

static hn_status compare_entries(walk *w, const char *path, const hn_yaml_node *here,
                                 const hn_yaml_node *there, hn_error *err)
{
    const hn_yaml_node *beside = there && there->kind == here->kind ? there->first : NULL;
    size_t number = 0;
    hn_status rc = HN_OK;

    for (const hn_yaml_node *e = here->first; e; e = e->next) {
        const hn_yaml_node *same = here->kind == HN_YAML_LIST ? beside
                                   : there && there->kind == HN_YAML_MAP && e->key
                                       ? hn_yaml_get(there, e->key->text)
                                       : NULL;
        const char *name = here->kind == HN_YAML_LIST
                               ? hn_arena_printf(w->arena, "%s[%zu]", path, ++number)
                               : hn_arena_printf(w->arena, "%s%s%s", path, path[0] ? "." : "",
                                                 e->key && e->key->text ? e->key->text : "");

        HN_TRY_ALLOC(name);
        HN_TRY(compare_node(w, name, e, same, err));
        beside = beside ? beside->next : NULL;
    }
out:
    return rc;
}

/* The depth is bounded by the reader of the YAML (HN_YAML_MAX_DEPTH). */
static hn_status compare_node(walk *w, const char *path, const hn_yaml_node *here,
                              const hn_yaml_node *there, hn_error *err)
{
    return here->first ? compare_entries(w, path, here, there, err)
                       : compare_leaf(w, path, here, there, err);
}

hn_status hn_plan_diff(const char *first, const char *second, hn_arena *arena, hn_plan_changes *out,
                       hn_error *err)
{
    const hn_yaml_node *a = NULL, *b = NULL;
    hn_status rc = HN_OK;

    *out = (hn_plan_changes){0};
    HN_TRY(hn_yaml_read_file(first, arena, &a, err));
    HN_TRY(hn_yaml_read_file(second, arena, &b, err));
    HN_TRY(compare_node(&(walk){arena, b, 0, out}, "", a, b, err));
    HN_TRY(compare_node(&(walk){arena, a, 1, out}, "", b, a, err));
out:
    return rc;
}
