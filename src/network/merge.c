/* Fragments become manhole-to-manhole reaches, because a ranked list of
 * fragments misleads: half-metre rows with a full mobilisation float up.
 *
 * Two rows are pieces of one reach when one ends where the other begins, at a
 * joint that is no manhole (no usable id, not in the nodes layer), exactly
 * these two lines meet there, and size, shape and material agree. Where the
 * data name no nodes at all, only pieces shorter than fragment_m are joined,
 * since every joint would look unnamed. (local rule)
 */
#include "base/alloc.h"
#include "network/merge_lines.h"
#include "network/merge_values.h"
#include "network/network.h"

#include <string.h>

typedef struct joints {
    int32_t *in, *out;  /* per node: the one row that ends / begins there */
    uint8_t *ends;      /* per node: how many line ends meet, capped at 3 */
} joints;

static void joints_clear(joints *j)
{
    hn_free(j->in);
    hn_free(j->out);
    hn_free(j->ends);
}

static hn_status find_joints(const hn_table *table, size_t nodes, joints *j, hn_error *err)
{
    memset(j, 0, sizeof *j);
    j->in = hn_alloc(nodes, sizeof *j->in);
    j->out = hn_alloc(nodes, sizeof *j->out);
    j->ends = hn_alloc(nodes, sizeof *j->ends);
    if (!j->in || !j->out || !j->ends)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    memset(j->in, 0xff, nodes * sizeof *j->in);
    memset(j->out, 0xff, nodes * sizeof *j->out);
    for (size_t i = 0; i < table->rows; i++) {
        int32_t up = HN_I32(table, UP_INDEX)[i], down = HN_I32(table, DOWN_INDEX)[i];

        j->out[up] = (int32_t)i;
        j->in[down] = (int32_t)i;
        j->ends[up] = (uint8_t)(j->ends[up] < 3 ? j->ends[up] + 1 : 3);
        j->ends[down] = (uint8_t)(j->ends[down] < 3 ? j->ends[down] + 1 : 3);
    }
    return HN_OK;
}

static int same_number(const hn_table *table, hn_column_id id, size_t a, size_t b)
{
    double x = hn_table_number(table, id, a), y = hn_table_number(table, id, b);

    return x == y || isnan(x) || isnan(y);
}

static int same_pipe(const hn_table *table, size_t a, size_t b)
{
    uint32_t ma = hn_str(table, HN_COL_MATERIAL, a), mb = hn_str(table, HN_COL_MATERIAL, b);

    return same_number(table, HN_COL_WIDTH_MM, a, b) && same_number(table, HN_COL_HEIGHT_MM, a, b) &&
           same_number(table, HN_COL_YEAR_LINED, a, b) &&
           hn_code(table, HN_COL_SHAPE, a) == hn_code(table, HN_COL_SHAPE, b) &&
           (ma == mb || ma == 0 || mb == 0);
}

static int is_fragment(const hn_table *table, const hn_plan *plan, size_t row)
{
    return hn_f64(table, HN_COL_LENGTH_GEOMETRY_M, row) < plan->fragment_m;
}

/* next[i] is the row that continues row i, -1 when none does. */
static size_t link_rows(const hn_table *table, const hn_plan *plan, const hn_nodes *nodes,
                        const joints *j, int32_t *next, uint8_t *continued)
{
    size_t links = 0;
    int any_named = nodes->named > 0;

    for (size_t node = nodes->named; node < nodes->count; node++) {
        int32_t a = j->in[node], b = j->out[node];

        if (j->ends[node] != 2 || a < 0 || b < 0 || a == b)
            continue;
        if (!same_pipe(table, (size_t)a, (size_t)b))
            continue;
        if (!any_named && !is_fragment(table, plan, (size_t)a) &&
            !is_fragment(table, plan, (size_t)b))
            continue;
        next[a] = b;
        continued[b] = 1;
        links++;
    }
    return links;
}

/* A ring of unnamed joints has no first row: it is left as it is. */
static size_t mark_heads(size_t rows, const int32_t *next, const uint8_t *continued,
                         int32_t *head_of)
{
    size_t absorbed = 0;

    for (size_t i = 0; i < rows; i++)
        head_of[i] = (int32_t)i;
    for (size_t i = 0; i < rows; i++) {
        if (continued[i] || next[i] < 0)
            continue;
        for (int32_t k = next[i]; k >= 0; k = next[k]) {
            head_of[k] = (int32_t)i;
            absorbed++;
        }
    }
    return absorbed;
}

/* The row that lends its id: the longest piece, the first of equals. */
static size_t keeper_of(const hn_table *table, size_t head, const int32_t *next)
{
    size_t best = head;
    double longest = -1.0;

    for (int32_t k = (int32_t)head; k >= 0; k = next[k]) {
        double length = hn_f64(table, HN_COL_LENGTH_GEOMETRY_M, (size_t)k);

        if (length > longest) {
            longest = length;
            best = (size_t)k;
        }
    }
    return best;
}

static hn_status merge_chains(hn_table *table, const int32_t *next, const int32_t *head_of,
                              uint32_t *order, size_t *kept, hn_issue_list *issues, hn_error *err)
{
    hn_status rc = HN_OK;

    *kept = 0;
    for (size_t i = 0; i < table->rows; i++) {
        size_t keeper;

        if (head_of[i] != (int32_t)i)
            continue;
        if (next[i] < 0) {
            order[(*kept)++] = (uint32_t)i;
            continue;
        }
        keeper = keeper_of(table, i, next);
        HN_TRY(hn_merge_values(table, i, next, keeper, issues, err));
        order[(*kept)++] = (uint32_t)keeper;
    }
out:
    return rc;
}

/* Heads come in row order but keepers lend the ids: put those back in order. */
static void sort_order(uint32_t *order, size_t count, uint8_t *is_kept, size_t rows)
{
    size_t at = 0;

    memset(is_kept, 0, rows);
    for (size_t i = 0; i < count; i++)
        is_kept[order[i]] = 1;
    for (size_t row = 0; row < rows; row++)
        if (is_kept[row])
            order[at++] = (uint32_t)row;
}

static hn_status merge_linked(hn_table *table, const int32_t *next, const int32_t *head_of,
                              uint8_t *is_kept, hn_issue_list *issues, hn_error *err)
{
    uint32_t *order = hn_alloc(table->rows, sizeof *order);
    size_t kept = 0;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(order);
    HN_TRY(merge_chains(table, next, head_of, order, &kept, issues, err));
    HN_TRY(hn_merge_lines(&table->lines, table->rows, next, head_of, order, kept, err));
    sort_order(order, kept, is_kept, table->rows);
    HN_TRY(hn_table_reorder(table, order, kept, err));
out:
    hn_free(order);
    return rc;
}

/* The rows have their last numbers. */
static hn_status number_pieces(hn_table *table, hn_error *err)
{
    int32_t *row = hn_alloc(hn_text_pool_count(table->texts), sizeof *row);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(row);
    for (size_t i = 0; i < table->rows; i++)
        row[hn_str(table, HN_COL_SEGMENT_ID, i)] = (int32_t)i;
    for (size_t i = 0; i < table->pieces.count; i++)
        table->pieces.list[i].row = row[table->pieces.list[i].whole];
    hn_pieces_sort(&table->pieces);
out:
    hn_free(row);
    return rc;
}

hn_status hn_network_merge(hn_table *table, const hn_plan *plan, const hn_plane *plane,
                           const hn_nodes *nodes, hn_network_stats *stats, hn_issue_list *issues,
                           hn_error *err)
{
    int32_t *next = NULL, *head_of = NULL;
    uint8_t *continued = NULL;
    joints j = {0};
    hn_status rc = HN_OK;

    (void)plane;
    stats->rows_read = table->rows;
    stats->rows_merged = 0;
    if (!plan->merge_fragments || table->rows == 0)
        return HN_OK;
    next = hn_alloc(table->rows, sizeof *next);
    head_of = hn_alloc(table->rows, sizeof *head_of);
    continued = hn_alloc(table->rows, 1);
    HN_TRY_ALLOC(next);
    HN_TRY_ALLOC(head_of);
    HN_TRY_ALLOC(continued);
    memset(next, 0xff, table->rows * sizeof *next);
    HN_TRY(find_joints(table, nodes->count, &j, err));
    if (link_rows(table, plan, nodes, &j, next, continued) == 0)
        goto out;
    stats->rows_merged = mark_heads(table->rows, next, continued, head_of);
    if (stats->rows_merged) {
        HN_TRY(merge_linked(table, next, head_of, continued, issues, err));
        HN_TRY(number_pieces(table, err));
    }
out:
    joints_clear(&j);
    hn_free(next);
    hn_free(head_of);
    hn_free(continued);
    return rc;
}
