/* Canonical order: whatever the source's row order, every later stage sees the
 * same rows in the same places, so sums and ties come out the same. */
#include "base/alloc.h"
#include "network/network.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct row_key {
    uint64_t prefix; /* first eight bytes of the id, big-endian */
    uint32_t row;
} row_key;

static uint64_t prefix_of(const char *text)
{
    uint64_t prefix = 0;
    int ended = 0;

    for (int i = 0; i < 8; i++) {
        ended = ended || text[i] == '\0';
        prefix = prefix << 8 | (ended ? 0 : (unsigned char)text[i]);
    }
    return prefix;
}

static int compare_lines(const hn_lines *lines, size_t a, size_t b)
{
    size_t n = hn_line_points(lines, a), m = hn_line_points(lines, b);

    if (n != m)
        return n < m ? -1 : 1;
    return n ? memcmp(lines->xy + 2 * lines->start[a], lines->xy + 2 * lines->start[b],
                      2 * n * sizeof(double))
             : 0;
}

/* Only for rows with the same id: the content decides, never the row number. */
static int compare_content(const hn_table *table, size_t a, size_t b)
{
    int order = compare_lines(&table->lines, a, b);

    for (int id = 0; id < HN_COL_COUNT && order == 0; id++) {
        size_t size = hn_kind_size(hn_column_definition((hn_column_id)id)->kind);
        const char *values = table->column[id];

        if (!values)
            continue;
        if (hn_column_definition((hn_column_id)id)->kind == HN_KIND_STR)
            order = strcmp(hn_table_text(table, (hn_column_id)id, a),
                           hn_table_text(table, (hn_column_id)id, b));
        else
            order = memcmp(values + a * size, values + b * size, size);
    }
    return order;
}

static int compare_keys(const void *left, const void *right, void *context)
{
    const row_key *a = left, *b = right;
    const hn_table *table = context;
    int order;

    if (a->prefix != b->prefix)
        return a->prefix < b->prefix ? -1 : 1;
    order = strcmp(hn_table_text(table, HN_COL_SEGMENT_ID, a->row),
                   hn_table_text(table, HN_COL_SEGMENT_ID, b->row));
    return order ? order : compare_content(table, a->row, b->row);
}

static int is_sorted(const hn_table *table, const row_key *keys)
{
    row_key a, b;

    for (size_t i = 1; i < table->rows; i++) {
        a = keys[i - 1];
        b = keys[i];
        if (a.prefix > b.prefix)
            return 0;
        if (a.prefix == b.prefix && compare_keys(&a, &b, (void *)(uintptr_t)table) > 0)
            return 0;
    }
    return 1;
}

static hn_status sort_rows(hn_table *table, hn_error *err)
{
    row_key *keys = hn_alloc(table->rows, sizeof *keys);
    uint32_t *order = NULL;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(keys);
    for (size_t i = 0; i < table->rows; i++) {
        keys[i].prefix = prefix_of(hn_table_text(table, HN_COL_SEGMENT_ID, i));
        keys[i].row = (uint32_t)i;
    }
    if (is_sorted(table, keys))
        goto out;
    qsort_r(keys, table->rows, sizeof *keys, compare_keys, table);
    order = hn_alloc(table->rows, sizeof *order);
    HN_TRY_ALLOC(order);
    for (size_t i = 0; i < table->rows; i++)
        order[i] = keys[i].row;
    hn_free(keys);
    keys = NULL;
    HN_TRY(hn_table_reorder(table, order, table->rows, err));
out:
    hn_free(keys);
    hn_free(order);
    return rc;
}

static void place_of(const hn_table *table, size_t row, double *x, double *y)
{
    size_t n = hn_line_points(&table->lines, row);

    *x = n ? table->lines.xy[2 * table->lines.start[row]] : (double)NAN;
    *y = n ? table->lines.xy[2 * table->lines.start[row] + 1] : (double)NAN;
}

/* A new id for a later holder of `id`: "id~2" and on, skipping ids in use. */
static uint32_t free_id(hn_table *table, uint32_t id, int *serial)
{
    char name[512];

    for (;; (*serial)++) {
        int n = snprintf(name, sizeof name, "%.480s~%d", hn_text_pool_get(table->texts, id),
                         *serial);
        uint32_t before = hn_text_pool_count(table->texts);
        uint32_t fresh = hn_text_pool_add(table->texts, name, (size_t)n);

        if (fresh == UINT32_MAX || hn_text_pool_count(table->texts) > before)
            return fresh;
    }
}

static hn_status rename_duplicates(hn_table *table, hn_issue_list *issues, hn_error *err)
{
    uint32_t *ids = HN_STR(table, SEGMENT_ID);
    uint32_t held = 0;
    int serial = 2, renamed = 0;

    for (size_t i = 0; i < table->rows; i++) {
        const char *name;
        double x, y;

        if (i == 0 || ids[i] != held) {
            held = ids[i];
            serial = 2;
            continue;
        }
        name = hn_text_pool_get(table->texts, held);
        place_of(table, i, &x, &y);
        ids[i] = free_id(table, held, &serial);
        if (ids[i] == UINT32_MAX)
            return hn_fail(err, HN_ERR_MEMORY, "out of memory");
        hn_issue_add(issues, HN_SEVERITY_ERROR, "duplicate_id", hn_text_pool_get(table->texts, ids[i]),
                     "segment_id", name, "the id is used by more than one row",
                     "kept under a new id; joins by this id go to the first row", x, y);
        renamed = 1;
    }
    return renamed ? sort_rows(table, err) : HN_OK;
}

hn_status hn_network_order(hn_table *table, hn_issue_list *issues, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(hn_table_want(table, HN_COL_SEGMENT_ID, err));
    HN_TRY(sort_rows(table, err));
    HN_TRY(rename_duplicates(table, issues, err));
out:
    return rc;
}
