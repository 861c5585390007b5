/* plan/config_check.c - checks that several config tables share: unique keys,
 * known names, sentences with placeholders. */
#include "plan/config_table.h"

#include "base/nearest.h"
#include "table/segment_table.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct key_of_row {
    const char *key;
    size_t row;
} key_of_row;

static int by_key(const void *a, const void *b)
{
    const key_of_row *x = a, *y = b;
    const int order = strcmp(x->key, y->key);
    return order ? order : (x->row > y->row) - (x->row < y->row);
}

static const char *joined_key(const hn_config_input *in, size_t i, const char *const *columns)
{
    const char *key = "";
    for (size_t c = 0; key && columns[c]; c++)
        key = hn_arena_printf(in->arena, "%s%s%s", key, c ? " / " : "",
                              hn_config_text(in, i, columns[c]));
    return key;
}

hn_status hn_config_unique(const hn_config_input *in, const char *const *columns, hn_error *err)
{
    hn_status rc = HN_OK;
    key_of_row *keys = hn_arena_alloc(in->arena, in->count + 1, sizeof *keys);
    HN_TRY_ALLOC(keys);
    for (size_t i = 0; i < in->count; i++) {
        keys[i] = (key_of_row){joined_key(in, i, columns), i};
        HN_TRY_ALLOC(keys[i].key);
    }
    qsort(keys, in->count, sizeof *keys, by_key);
    for (size_t i = 1; i < in->count; i++) {
        if (strcmp(keys[i].key, keys[i - 1].key) != 0)
            continue;
        rc = hn_config_fail(in, keys[i].row, columns[0], err, "\"%s\" is already in row %zu",
                            keys[i].key, in->line[keys[i - 1].row]);
        hn_hint(err, "keep one of the two rows, or change one");
        goto out;
    }
out:
    return rc;
}

size_t hn_config_find(const hn_config_input *in, size_t i, const char *column, const char *word,
                      const char *what, const char *const *names, size_t count, hn_error *err)
{
    for (size_t n = 0; n < count; n++)
        if (strcmp(names[n], word) == 0)
            return n;
    const char *near = hn_nearest_of(word, names, count);
    (void)hn_config_fail(in, i, column, err, "unknown %s \"%s\"%s%s", what, word,
                         near ? "; the nearest known is " : "", near ? near : "");
    hn_hint(err, "known: %s", hn_config_list(in->arena, names, count));
    return SIZE_MAX;
}

static int is_near_column(const char *name)
{
    const size_t n = strlen(name);
    return n > 7 && strncmp(name, "near_", 5) == 0 && strcmp(name + n - 2, "_m") == 0;
}

static hn_status check_placeholder(const hn_config_input *in, size_t i, const char *column,
                                   const char *name, int has_limit, hn_error *err)
{
    if (strcmp(name, "limit") == 0) {
        if (has_limit)
            return HN_OK;
        return hn_config_fail(in, i, column, err, "{limit} is used, but the row gives no limit");
    }
    if (is_near_column(name) || hn_column_find(name) != HN_COL_COUNT)
        return HN_OK;
    const char *names[HN_COL_COUNT];
    for (int c = 0; c < HN_COL_COUNT; c++)
        names[c] = hn_column_definition((hn_column_id)c)->name;
    const char *near = hn_nearest_of(name, names, HN_COL_COUNT);
    const hn_status rc =
        hn_config_fail(in, i, column, err, "{%s} is not a column of the segment table%s%s", name,
                       near ? "; the nearest is " : "", near ? near : "");
    hn_hint(err, "a placeholder is a column name or {limit}; docs/columns.md lists them");
    return rc;
}

hn_status hn_config_check_sentence(const hn_config_input *in, size_t i, const char *column,
                                   int has_limit, hn_error *err)
{
    const char *text = hn_config_text(in, i, column);
    for (const char *open = strchr(text, '{'); open; open = strchr(open + 1, '{')) {
        const char *close = strchr(open, '}');
        if (!close)
            return hn_config_fail(in, i, column, err, "a { without its }");
        const char *name = hn_arena_text_n(in->arena, open + 1, (size_t)(close - open - 1));
        if (!name)
            return hn_fail(err, HN_ERR_MEMORY, "out of memory");
        const hn_status rc = check_placeholder(in, i, column, name, has_limit, err);
        if (rc != HN_OK)
            return rc;
    }
    return HN_OK;
}

const char *hn_config_list(hn_arena *arena, const char *const *names, size_t count)
{
    size_t bytes = 1;
    for (size_t i = 0; i < count; i++)
        bytes += strlen(names[i]) + 2;
    char *text = hn_arena_alloc(arena, bytes, 1);
    if (!text)
        return "";
    char *end = text;
    for (size_t i = 0; i < count; i++) {
        if (i)
            end = stpcpy(end, ", ");
        end = stpcpy(end, names[i]);
    }
    return text;
}
