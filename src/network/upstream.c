/* What drains through each segment.
 *
 * Strongly connected groups of nodes (a single node, or a loop) are found by
 * Tarjan's algorithm, which gives them in reverse order of flow. Walking them
 * downstream, a group receives the inflow of its nodes; a loop counts its own
 * whole length; the sum leaves evenly by the outgoing segments.
 * Source: R. Tarjan, "Depth-first search and linear graph algorithms", SIAM J.
 * Computing 1(2) (1972) 146-160.
 */
#include "base/alloc.h"
#include "network/network.h"

#include <string.h>

typedef struct graph {
    const int32_t *up, *down;
    size_t rows, nodes;
    uint32_t *first;   /* per node: start in `leaving`; nodes + 1 entries */
    uint32_t *leaving; /* rows by upstream node */
    uint32_t *group;   /* per node: group number, 0 is furthest downstream */
    uint32_t groups;
} graph;

static void graph_clear(graph *g)
{
    hn_free(g->first);
    hn_free(g->leaving);
    hn_free(g->group);
}

static hn_status graph_build(const hn_table *table, size_t nodes, graph *g, hn_error *err)
{
    memset(g, 0, sizeof *g);
    g->up = HN_I32(table, UP_INDEX);
    g->down = HN_I32(table, DOWN_INDEX);
    g->rows = table->rows;
    g->nodes = nodes;
    g->first = hn_alloc(nodes + 2, sizeof *g->first);
    g->leaving = hn_alloc(table->rows, sizeof *g->leaving);
    g->group = hn_alloc(nodes, sizeof *g->group);
    if (!g->first || !g->leaving || !g->group)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < g->rows; i++)
        g->first[g->up[i] + 2]++;
    for (size_t v = 2; v < nodes + 2; v++)
        g->first[v] += g->first[v - 1];
    for (size_t i = 0; i < g->rows; i++)
        g->leaving[g->first[g->up[i] + 1]++] = (uint32_t)i;
    return HN_OK;
}

typedef struct tarjan {
    uint32_t *index, *low, *next_edge, *call, *stack;
    uint8_t *on_stack;
    uint32_t counter;
    size_t calls, stacked;
} tarjan;

static void tarjan_clear(tarjan *t)
{
    hn_free(t->index);
    hn_free(t->low);
    hn_free(t->next_edge);
    hn_free(t->call);
    hn_free(t->stack);
    hn_free(t->on_stack);
}

static void enter(tarjan *t, const graph *g, uint32_t node)
{
    t->index[node] = t->low[node] = ++t->counter;
    t->next_edge[node] = g->first[node];
    t->call[t->calls++] = node;
    t->stack[t->stacked++] = node;
    t->on_stack[node] = 1;
}

static void leave(tarjan *t, graph *g, uint32_t node)
{
    uint32_t member;

    t->calls--;
    if (t->calls && t->low[node] < t->low[t->call[t->calls - 1]])
        t->low[t->call[t->calls - 1]] = t->low[node];
    if (t->low[node] != t->index[node])
        return;
    do {
        member = t->stack[--t->stacked];
        t->on_stack[member] = 0;
        g->group[member] = g->groups;
    } while (member != node);
    g->groups++;
}

static void visit_from(tarjan *t, graph *g, uint32_t root)
{
    enter(t, g, root);
    while (t->calls) {
        uint32_t node = t->call[t->calls - 1], to;

        if (t->next_edge[node] == g->first[node + 1]) {
            leave(t, g, node);
            continue;
        }
        to = (uint32_t)g->down[g->leaving[t->next_edge[node]++]];
        if (t->index[to] == 0)
            enter(t, g, to);
        else if (t->on_stack[to] && t->index[to] < t->low[node])
            t->low[node] = t->index[to];
    }
}

static hn_status find_groups(graph *g, hn_error *err)
{
    tarjan t = {0};
    hn_status rc = HN_OK;

    t.index = hn_alloc(g->nodes, sizeof *t.index);
    t.low = hn_alloc(g->nodes, sizeof *t.low);
    t.next_edge = hn_alloc(g->nodes, sizeof *t.next_edge);
    t.call = hn_alloc(g->nodes, sizeof *t.call);
    t.stack = hn_alloc(g->nodes, sizeof *t.stack);
    t.on_stack = hn_alloc(g->nodes, 1);
    HN_TRY_ALLOC(t.index);
    HN_TRY_ALLOC(t.low);
    HN_TRY_ALLOC(t.next_edge);
    HN_TRY_ALLOC(t.call);
    HN_TRY_ALLOC(t.stack);
    HN_TRY_ALLOC(t.on_stack);
    for (size_t v = 0; v < g->nodes; v++)
        if (t.index[v] == 0)
            visit_from(&t, g, (uint32_t)v);
out:
    tarjan_clear(&t);
    return rc;
}

typedef struct flows {
    hn_column_id amount; /* what flows down: a length, people or flow */
    hn_column_id upstream;
    double *total;     /* per group: inflow, and what a loop has itself */
    uint32_t *exits;   /* per group: segments that leave it */
    uint32_t *members; /* nodes sorted by group */
    uint32_t *from;    /* per group: first member; groups + 1 entries */
} flows;

static void flows_clear(flows *f)
{
    hn_free(f->total);
    hn_free(f->exits);
    hn_free(f->members);
    hn_free(f->from);
}

/* Segments without a number add none. */
static double own_amount(const hn_table *table, hn_column_id amount, size_t row)
{
    double own = hn_table_number(table, amount, row);

    return isnan(own) ? 0.0 : own;
}

static hn_status flows_build(const graph *g, flows *f, hn_error *err)
{
    f->total = hn_alloc(g->groups, sizeof *f->total);
    f->exits = hn_alloc(g->groups, sizeof *f->exits);
    f->members = hn_alloc(g->nodes, sizeof *f->members);
    f->from = hn_alloc((size_t)g->groups + 2, sizeof *f->from);
    if (!f->total || !f->exits || !f->members || !f->from)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t v = 0; v < g->nodes; v++)
        f->from[g->group[v] + 2]++;
    for (size_t k = 2; k < (size_t)g->groups + 2; k++)
        f->from[k] += f->from[k - 1];
    for (size_t v = 0; v < g->nodes; v++)
        f->members[f->from[g->group[v] + 1]++] = (uint32_t)v;
    for (size_t i = 0; i < g->rows; i++)
        if (g->group[g->up[i]] != g->group[g->down[i]])
            f->exits[g->group[g->up[i]]]++;
    return HN_OK;
}

static void pour_group(hn_table *table, const graph *g, flows *f, uint32_t group)
{
    for (uint32_t m = f->from[group]; m < f->from[group + 1]; m++) {
        uint32_t node = f->members[m];

        for (uint32_t e = g->first[node]; e < g->first[node + 1]; e++) {
            uint32_t row = g->leaving[e];
            uint32_t to = g->group[g->down[row]];
            double passing = f->total[group];

            if (to == group) {
                HN_CODE(table, IN_LOOP)[row] = 1;
            } else {
                passing = passing / f->exits[group] + own_amount(table, f->amount, row);
                f->total[to] += passing;
            }
            hn_table_set_number(table, f->upstream, row, passing);
        }
    }
}

static void pour(hn_table *table, const graph *g, flows *f)
{
    memset(f->total, 0, g->groups * sizeof *f->total);
    for (size_t i = 0; i < g->rows; i++)
        if (g->group[g->up[i]] == g->group[g->down[i]])
            f->total[g->group[g->up[i]]] += own_amount(table, f->amount, i);
    for (uint32_t group = g->groups; group-- > 0;)
        pour_group(table, g, f, group);
}

static hn_status pour_all(hn_table *table, const graph *g, flows *f, hn_error *err)
{
    static const hn_column_id amount[] = {HN_COL_LENGTH_M, HN_COL_PEOPLE, HN_COL_FLOW_ADDED};
    static const hn_column_id upstream[] = {HN_COL_UPSTREAM_LENGTH_M, HN_COL_UPSTREAM_PEOPLE,
                                            HN_COL_UPSTREAM_FLOW};
    hn_status rc = HN_OK;

    for (size_t k = 0; k < sizeof amount / sizeof *amount; k++) {
        if (!table->column[amount[k]])
            continue;
        HN_TRY(hn_table_want(table, upstream[k], err));
        f->amount = amount[k];
        f->upstream = upstream[k];
        pour(table, g, f);
    }
out:
    return rc;
}

hn_status hn_network_upstream(hn_table *table, const hn_nodes *nodes, hn_network_stats *stats,
                              hn_error *err)
{
    graph g = {0};
    flows f = {0};
    hn_status rc = HN_OK;

    HN_TRY(hn_table_want(table, HN_COL_IS_OUTLET, err));
    HN_TRY(hn_table_want(table, HN_COL_IN_LOOP, err));
    HN_TRY(graph_build(table, nodes->count, &g, err));
    HN_TRY(find_groups(&g, err));
    HN_TRY(flows_build(&g, &f, err));
    memset(HN_CODE(table, IN_LOOP), 0, table->rows);
    HN_TRY(pour_all(table, &g, &f, err));
    stats->outlets = stats->loops = 0;
    for (size_t i = 0; i < table->rows; i++) {
        uint32_t down = (uint32_t)g.down[i];

        HN_CODE(table, IS_OUTLET)[i] = g.first[down] == g.first[down + 1];
        stats->outlets += HN_CODE(table, IS_OUTLET)[i];
        stats->loops += HN_CODE(table, IN_LOOP)[i];
    }
    stats->nodes = nodes->count;
    stats->named_nodes = nodes->named;
out:
    graph_clear(&g);
    flows_clear(&f);
    return rc;
}
