/* The allocation into the table's columns, and segments into projects. */
#include "base/alloc.h"
#include "programme/programme.h"

#include <stdlib.h>
#include <string.h>

static uint32_t find_root(uint32_t *parent, uint32_t i)
{
    while (parent[i] != i) {
        parent[i] = parent[parent[i]];
        i = parent[i];
    }
    return i;
}

/* The lower row number becomes the root, whatever the order of joining. */
static void join(uint32_t *parent, uint32_t a, uint32_t b)
{
    a = find_root(parent, a);
    b = find_root(parent, b);
    if (a < b)
        parent[b] = a;
    else
        parent[a] = b;
}

typedef struct end_key {
    int32_t node, year;
    uint8_t method;
    uint32_t row;
} end_key;

static int by_node(const void *left, const void *right)
{
    const end_key *a = left, *b = right;

    if (a->node != b->node)
        return a->node < b->node ? -1 : 1;
    if (a->year != b->year)
        return a->year < b->year ? -1 : 1;
    if (a->method != b->method)
        return a->method < b->method ? -1 : 1;
    return a->row < b->row ? -1 : a->row > b->row;
}

static size_t funded_ends(const hn_table *t, const hn_allocation *a, end_key *ends)
{
    size_t count = 0;

    for (size_t row = 0; row < t->rows; row++) {
        if (a->year_of[row] < 0)
            continue;
        for (int side = 0; side < 2; side++) {
            int32_t node = side ? hn_i32(t, HN_COL_DOWN_INDEX, row) : hn_i32(t, HN_COL_UP_INDEX, row);

            ends[count++] = (end_key){node, a->year_of[row], hn_code(t, HN_COL_METHOD, row),
                                      (uint32_t)row};
        }
    }
    qsort(ends, count, sizeof *ends, by_node);
    return count;
}

typedef struct project_key {
    int32_t year, priority; /* best priority of its members */
    uint32_t root;
} project_key;

static int by_year_and_priority(const void *left, const void *right)
{
    const project_key *a = left, *b = right;

    if (a->year != b->year)
        return a->year < b->year ? -1 : 1;
    if (a->priority != b->priority)
        return a->priority < b->priority ? -1 : 1;
    return a->root < b->root ? -1 : a->root > b->root;
}

/* Numbers projects by year, then by the best priority in them. */
static hn_status number_projects(hn_table *t, const hn_allocation *a, uint32_t *parent,
                                 size_t *projects, hn_error *err)
{
    project_key *keys = hn_alloc(a->funded, sizeof *keys);
    int32_t *best = hn_alloc(t->rows, sizeof *best);
    size_t count = 0;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(keys);
    HN_TRY_ALLOC(best);
    for (size_t row = 0; row < t->rows; row++) {
        uint32_t root = find_root(parent, (uint32_t)row);
        int32_t priority = HN_I32(t, PRIORITY)[row];

        if (a->year_of[row] >= 0 && (best[root] == 0 || priority < best[root]))
            best[root] = priority;
    }
    for (size_t row = 0; row < t->rows; row++)
        if (best[row] > 0)
            keys[count++] = (project_key){a->year_of[row], best[row], (uint32_t)row};
    qsort(keys, count, sizeof *keys, by_year_and_priority);
    for (size_t i = 0; i < count; i++)
        best[keys[i].root] = (int32_t)(i + 1);
    for (size_t row = 0; row < t->rows; row++)
        if (a->year_of[row] >= 0)
            HN_I32(t, PROJECT)[row] = best[find_root(parent, (uint32_t)row)];
    *projects = count;
out:
    hn_free(keys);
    hn_free(best);
    return rc;
}

static hn_status make_projects(hn_table *t, const hn_allocation *a, size_t *projects,
                               hn_error *err)
{
    uint32_t *parent = hn_alloc(t->rows, sizeof *parent);
    end_key *ends = hn_alloc(2 * a->funded, sizeof *ends);
    size_t count;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(parent);
    HN_TRY_ALLOC(ends);
    for (size_t row = 0; row < t->rows; row++)
        parent[row] = (uint32_t)row;
    count = funded_ends(t, a, ends);
    for (size_t i = 1; i < count; i++)
        if (ends[i].node == ends[i - 1].node && ends[i].year == ends[i - 1].year &&
            ends[i].method == ends[i - 1].method && ends[i].node != HN_I32_MISSING)
            join(parent, ends[i].row, ends[i - 1].row);
    HN_TRY(number_projects(t, a, parent, projects, err));
out:
    hn_free(parent);
    hn_free(ends);
    return rc;
}

static void store_states(hn_table *t, const hn_plan *plan, const hn_allocation *a)
{
    for (size_t row = 0; row < t->rows; row++) {
        int funded = a->year_of[row] >= 0;

        HN_I32(t, PROJECT)[row] = HN_I32_MISSING;
        HN_I32(t, YEAR)[row] = funded ? plan->first_year + a->year_of[row] : HN_I32_MISSING;
        HN_CODE(t, PROGRAMME)[row] =
            (uint8_t)(funded                           ? HN_PROGRAMME_FUNDED
                      : hn_is_candidate(t, plan, row) ? HN_PROGRAMME_UNFUNDED
                      : hn_code(t, HN_COL_METHOD, row) == HN_CODE_MISSING
                          ? HN_PROGRAMME_NO_METHOD
                          : HN_PROGRAMME_NO_WORK);
    }
}

hn_status hn_programme_store(hn_table *table, const hn_plan *plan, const hn_allocation *allocation,
                             const hn_commitment *commitments, size_t commitment_count,
                             size_t *projects, hn_error *err)
{
    static const hn_column_id mine[] = {HN_COL_PROGRAMME, HN_COL_YEAR, HN_COL_PROJECT};
    hn_status rc = HN_OK;

    for (size_t i = 0; i < sizeof mine / sizeof mine[0]; i++)
        HN_TRY(hn_table_want(table, mine[i], err));
    store_states(table, plan, allocation);
    for (size_t i = 0; i < commitment_count; i++)
        if (allocation->year_of[commitments[i].row] >= 0)
            HN_CODE(table, PROGRAMME)[commitments[i].row] = HN_PROGRAMME_COMMITTED;
    HN_TRY(make_projects(table, allocation, projects, err));
out:
    return rc;
}
