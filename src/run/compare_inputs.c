/* What differs between the inputs of two results: sources and tables by their
 * hashes in run.json, plan keys by what the two files say. */
#include "run/compare_parts.h"
#include "run/table_columns.h"

#include <stdio.h>
#include <string.h>

enum { PATH_ROOM = 64, LISTED_MAX = 256, SHORT_HASH = 12 };

static const hn_view_column columns[] = {
    HN_TEXT("kind", "Input", "source, table or plan key"),
    HN_TEXT("name", "Name", "Source, table or key of the plan"),
    HN_TEXT("before", "First", "Value, or beginning of the file's hash, in the first result"),
    HN_TEXT("after", "Second", "The same in the second result"),
    HN_TEXT("cause", "Cause", "Cause under which it counts; none: it changes no number"),
};

static const char *entry(hn_result_store *store, const char *list, size_t i, const char *field)
{
    char path[PATH_ROOM];
    const char *text;

    snprintf(path, sizeof path, "$.%s[%zu].%s", list, i, field);
    text = hn_result_store_text(store, path);
    return text ? text : "";
}

static void add(hn_comparison *c, const char *kind, const char *name, const char *before,
                const char *after, hn_plan_part part)
{
    hn_grid *g = &c->grid[HN_COMPARE_INPUTS];

    hn_grid_row(g);
    hn_grid_text(g, kind);
    hn_grid_text(g, name);
    hn_grid_text(g, before);
    hn_grid_text(g, after);
    hn_grid_text(g, part == HN_PART_NONE ? "none" : hn_plan_part_names[part]);
    if (part != HN_PART_NONE)
        c->differing |= 1U << part;
}

/* "12 rows, sha256 0123..."; "not read" for a file that is not there. */
static const char *shown(hn_comparison *c, const char *hash, const char *rows)
{
    const char *text = !hash      ? "not read"
                       : !hash[0] ? "no file that can be hashed"
                                  : hn_arena_printf(&c->arena, "%.*s%s%s", SHORT_HASH, hash,
                                                    rows[0] ? ", rows " : "", rows);

    return text ? text : "";
}

/* ---- sources ---- */

static const char *find_source(hn_result_store *store, const char *key, const char **rows)
{
    size_t count = hn_result_store_count(store, "$.sources");

    for (size_t i = 0; i < count && i < LISTED_MAX; i++)
        if (strcmp(entry(store, "sources", i, "key"), key) == 0) {
            *rows = entry(store, "sources", i, "rows_read");
            return entry(store, "sources", i, "sha256");
        }
    *rows = "";
    return NULL;
}

static void compare_sources(hn_comparison *c)
{
    for (int k = 0; k < 2; k++) {
        hn_result_store *here = c->side[k].store, *there = c->side[1 - k].store;
        size_t count = hn_result_store_count(here, "$.sources");

        for (size_t i = 0; i < count && i < LISTED_MAX; i++) {
            const char *key = entry(here, "sources", i, "key"), *other_rows;
            const char *hash = entry(here, "sources", i, "sha256");
            const char *other = find_source(there, key, &other_rows);
            const char *rows = entry(here, "sources", i, "rows_read");

            if (k == 0 && (!other || strcmp(hash, other) != 0))
                add(c, "source", key, shown(c, hash, rows), shown(c, other, other_rows),
                    HN_PART_DATA);
            else if (k == 1 && !other)
                add(c, "source", key, shown(c, NULL, ""), shown(c, hash, rows), HN_PART_DATA);
        }
    }
}

/* ---- tables ---- */

typedef struct table_note {
    const char *name, *hash;
} table_note;

/* Tables by their name in the plan; when the plan is gone, by the file's name. */
static size_t list_tables(hn_comparison *c, const hn_compare_side *side, table_note *out)
{
    size_t count = hn_result_store_count(side->store, "$.config"), n = 0;

    if (side->plan) {
#define NOTE(table)                                                               \
    if (side->plan->config_paths.table && n < count && n < LISTED_MAX) {          \
        out[n] = (table_note){#table, entry(side->store, "config", n, "sha256")}; \
        n++;                                                                      \
    }
        HN_CONFIG_TABLE_LIST(NOTE)
#undef NOTE
        return n;
    }
    for (; n < count && n < LISTED_MAX; n++) {
        const char *file = entry(side->store, "config", n, "file");
        const char *name = hn_arena_text_n(&c->arena, file, strcspn(file, "."));

        out[n] = (table_note){name ? name : file, entry(side->store, "config", n, "sha256")};
    }
    return n;
}

static const char *hash_in(const table_note *list, size_t count, const char *name)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(list[i].name, name) == 0)
            return list[i].hash;
    return NULL;
}

static hn_status compare_tables(hn_comparison *c, hn_error *err)
{
    table_note *a = hn_arena_alloc(&c->arena, LISTED_MAX, sizeof *a);
    table_note *b = hn_arena_alloc(&c->arena, LISTED_MAX, sizeof *b);
    size_t n, m;

    if (!a || !b)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    n = list_tables(c, &c->side[0], a);
    m = list_tables(c, &c->side[1], b);
    for (size_t i = 0; i < n; i++) {
        const char *other = hash_in(b, m, a[i].name);

        if (!other || strcmp(other, a[i].hash) != 0)
            add(c, "table", a[i].name, shown(c, a[i].hash, ""), shown(c, other, ""),
                hn_plan_part_of_table(a[i].name));
    }
    for (size_t i = 0; i < m; i++)
        if (!hash_in(a, n, b[i].name))
            add(c, "table", b[i].name, shown(c, NULL, ""), shown(c, b[i].hash, ""),
                hn_plan_part_of_table(b[i].name));
    return HN_OK;
}

/* ---- plan keys ---- */

/* Where a source lies is no difference when the hashes tell what is in it. */
static int is_place_of_hashed(const hn_comparison *c, const char *path)
{
    size_t n = strlen(path);
    char key[256];
    const char *rows, *a, *b;

    if (n < 6 || n >= sizeof key || strcmp(path + n - 5, ".from") != 0)
        return 0;
    snprintf(key, sizeof key, "%.*s", (int)(n - 5), path);
    a = find_source(c->side[0].store, key, &rows);
    b = find_source(c->side[1].store, key, &rows);
    return a && b && a[0] && b[0];
}

hn_status hn_compare_inputs(hn_comparison *c, hn_error *err)
{
    hn_status rc = HN_OK;

    hn_grid_init(&c->grid[HN_COMPARE_INPUTS], "inputs", "Which inputs differ",
                 "Sources and tables by their hashes, plan keys by their values.", columns,
                 HN_COUNT_OF(columns));
    compare_sources(c);
    HN_TRY(compare_tables(c, err));
    if (c->side[0].plan && c->side[1].plan)
        HN_TRY(
            hn_plan_diff(c->side[0].plan->path, c->side[1].plan->path, &c->arena, &c->keys, err));
    for (size_t i = 0; i < c->keys.count; i++) {
        const hn_plan_change *k = &c->keys.items[i];

        add(c, "plan key", k->path, k->before[0] ? k->before : "(not given)",
            k->after[0] ? k->after : "(not given)",
            is_place_of_hashed(c, k->path) ? HN_PART_NONE : k->part);
    }
out:
    return rc;
}
