/* What a failed segment cuts off.
 *
 * Seen from the outlets, against the flow, a node is cut off by a segment when every
 * way to it goes through that segment. With one root above all outlets this is
 * dominance: segment e = (u, v) cuts u off when every other way out of u leads back
 * to nodes that u dominates. Then all that u dominates is cut off with it, loops and
 * all. A segment is cut off when its lower end is, or when it is the failed one.
 */
#include "base/alloc.h"
#include "network/dominators.h"
#include "network/network.h"

#include <string.h>

typedef struct cut {
    const hn_table *table;
    const int32_t *up, *down;
    size_t nodes;
    hn_dominators dominators;
    uint32_t *entry, *end; /* per node: span of what it dominates, HN_NO_NODE: not reached */
    uint32_t *exits;       /* per node: ways out that do not lead back to what it dominates */
    double *sum;           /* per node: of the segments whose lower end it dominates */
    uint32_t *known;       /* per node: how many numbers are in its sum */
} cut;

static void cut_clear(cut *c)
{
    hn_dominators_clear(&c->dominators);
    hn_free(c->entry);
    hn_free(c->end);
    hn_free(c->exits);
    hn_free(c->sum);
    hn_free(c->known);
}

/* Root (node number `nodes`) to every outlet, and all segments turned round. */
static hn_status find_dominators(cut *c, hn_error *err)
{
    const size_t rows = c->table->rows;
    uint32_t *from = hn_alloc(rows + c->nodes, sizeof *from);
    uint32_t *to = hn_alloc(rows + c->nodes, sizeof *to);
    uint8_t *leaves = hn_alloc(c->nodes, 1);
    hn_flow_graph graph = {c->nodes + 1, rows, from, to, (uint32_t)c->nodes};
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(from);
    HN_TRY_ALLOC(to);
    HN_TRY_ALLOC(leaves);
    for (size_t i = 0; i < rows; i++) {
        from[i] = (uint32_t)c->down[i];
        to[i] = (uint32_t)c->up[i];
        leaves[c->up[i]] = 1;
    }
    for (size_t v = 0; v < c->nodes; v++) {
        if (leaves[v])
            continue;
        from[graph.edges] = graph.root;
        to[graph.edges++] = (uint32_t)v;
    }
    HN_TRY(hn_dominators_find(&graph, &c->dominators, err));
out:
    hn_free(from);
    hn_free(to);
    hn_free(leaves);
    return rc;
}

/* Numbers the tree of dominators so that what a node dominates is one span. */
static hn_status find_spans(cut *c, hn_error *err)
{
    const hn_dominators *d = &c->dominators;
    const size_t all = c->nodes + 1;
    uint32_t *next = NULL;
    hn_status rc = HN_OK;

    c->entry = hn_alloc(all, sizeof *c->entry);
    c->end = hn_alloc(all, sizeof *c->end); /* the size of the span at first */
    next = hn_alloc(all, sizeof *next);
    HN_TRY_ALLOC(c->entry);
    HN_TRY_ALLOC(c->end);
    HN_TRY_ALLOC(next);
    memset(c->entry, 0xff, all * sizeof *c->entry);
    for (size_t i = d->reached; i-- > 0;) {
        const uint32_t v = d->order[i];

        c->end[v]++;
        if (d->idom[v] != HN_NO_NODE)
            c->end[d->idom[v]] += c->end[v];
    }
    for (size_t i = 0; i < d->reached; i++) {
        const uint32_t v = d->order[i], parent = d->idom[v];

        c->entry[v] = parent == HN_NO_NODE ? 0 : next[parent];
        if (parent != HN_NO_NODE)
            next[parent] += c->end[v];
        next[v] = c->entry[v] + 1;
        c->end[v] += c->entry[v];
    }
out:
    hn_free(next);
    return rc;
}

static int is_reached(const cut *c, int32_t node)
{
    return c->entry[node] != HN_NO_NODE;
}

/* A way out that leads back to what its upper end dominates, or nowhere, is none. */
static int is_exit(const cut *c, size_t row)
{
    const int32_t u = c->up[row], v = c->down[row];

    return is_reached(c, v) && (c->entry[v] < c->entry[u] || c->entry[v] >= c->end[u]);
}

static hn_status count_exits(cut *c, hn_error *err)
{
    c->exits = hn_alloc(c->nodes + 1, sizeof *c->exits);
    c->sum = hn_alloc(c->nodes + 1, sizeof *c->sum);
    c->known = hn_alloc(c->nodes + 1, sizeof *c->known);
    if (!c->exits || !c->sum || !c->known)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < c->table->rows; i++)
        c->exits[c->up[i]] += (uint32_t)is_exit(c, i);
    return HN_OK;
}

/* What of `amount` each segment cuts off; segments without a number add nothing, and
 * where none has a number it is not known. */
static void fill(cut *c, hn_table *table, hn_column_id amount, hn_column_id out)
{
    const hn_dominators *d = &c->dominators;

    memset(c->sum, 0, (c->nodes + 1) * sizeof *c->sum);
    memset(c->known, 0, (c->nodes + 1) * sizeof *c->known);
    for (size_t i = 0; i < table->rows; i++) {
        const double own = hn_table_number(table, amount, i);

        c->sum[c->down[i]] += isnan(own) ? 0.0 : own;
        c->known[c->down[i]] += !isnan(own);
    }
    for (size_t i = d->reached; i-- > 1;) {
        c->sum[d->idom[d->order[i]]] += c->sum[d->order[i]];
        c->known[d->idom[d->order[i]]] += c->known[d->order[i]];
    }
    for (size_t i = 0; i < table->rows; i++) {
        const double own = hn_table_number(table, amount, i);
        double cut_off = isnan(own) ? 0.0 : own;
        int is_known = !isnan(own);

        if (c->exits[c->up[i]] == 1 && is_exit(c, i)) {
            cut_off += c->sum[c->up[i]];
            is_known |= c->known[c->up[i]] > 0;
        }
        is_known &= is_reached(c, c->down[i]);
        hn_table_set_number(table, out, i, is_known ? cut_off : (double)NAN);
    }
}

hn_status hn_network_cut_off(hn_table *table, const hn_nodes *nodes, hn_error *err)
{
    static const hn_column_id amount[] = {HN_COL_LENGTH_M, HN_COL_PEOPLE, HN_COL_FLOW_ADDED};
    static const hn_column_id out_of[] = {HN_COL_CUT_OFF_LENGTH_M, HN_COL_CUT_OFF_PEOPLE,
                                          HN_COL_CUT_OFF_FLOW};
    cut c = {.table = table,
             .up = HN_I32(table, UP_INDEX),
             .down = HN_I32(table, DOWN_INDEX),
             .nodes = nodes->count};
    hn_status rc = HN_OK;

    HN_TRY(find_dominators(&c, err));
    HN_TRY(find_spans(&c, err));
    HN_TRY(count_exits(&c, err));
    for (size_t k = 0; k < sizeof amount / sizeof *amount; k++) {
        if (!table->column[amount[k]])
            continue;
        HN_TRY(hn_table_want(table, out_of[k], err));
        fill(&c, table, amount[k], out_of[k]);
    }
out:
    cut_clear(&c);
    return rc;
}
