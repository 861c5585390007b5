#include "network/dominators.h"

#include "base/alloc.h"

#include <string.h>

/* Edges sorted by one of their ends. */
typedef struct edge_list {
    uint32_t *first; /* per node; nodes + 1 entries */
    uint32_t *other; /* the far ends */
} edge_list;

static hn_status list_build(edge_list *l, size_t nodes, const uint32_t *near, const uint32_t *far,
                            size_t edges, hn_error *err)
{
    l->first = hn_alloc(nodes + 2, sizeof *l->first);
    l->other = hn_alloc(edges, sizeof *l->other);
    if (!l->first || !l->other)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t e = 0; e < edges; e++)
        l->first[near[e] + 2]++;
    for (size_t v = 2; v < nodes + 2; v++)
        l->first[v] += l->first[v - 1];
    for (size_t e = 0; e < edges; e++)
        l->other[l->first[near[e] + 1]++] = far[e];
    return HN_OK;
}

static void list_clear(edge_list *l)
{
    hn_free(l->first);
    hn_free(l->other);
}

/* Nodes are known by their number in the order of the search, from 0; `vertex` leads
 * back. `number` is HN_NO_NODE for nodes not reached. */
typedef struct search {
    edge_list leaving, entering;
    uint32_t *number, *vertex, *parent, *semi, *label, *ancestor, *bucket, *next_in_bucket, *idom;
    uint32_t *stack; /* nodes on the way, later the path that is compressed */
    size_t count;
} search;

static void search_clear(search *s)
{
    uint32_t *const all[] = {s->number,   s->vertex, s->parent,         s->semi, s->label,
                             s->ancestor, s->bucket, s->next_in_bucket, s->idom, s->stack};

    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        hn_free(all[i]);
    list_clear(&s->leaving);
    list_clear(&s->entering);
}

static hn_status search_new(search *s, const hn_flow_graph *g, hn_error *err)
{
    uint32_t **const all[] = {&s->number,   &s->vertex, &s->parent,         &s->semi, &s->label,
                              &s->ancestor, &s->bucket, &s->next_in_bucket, &s->idom, &s->stack};
    hn_status rc = HN_OK;

    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        *all[i] = hn_alloc(g->nodes, sizeof(uint32_t));
        HN_TRY_ALLOC(*all[i]);
        memset(*all[i], 0xff, g->nodes * sizeof(uint32_t)); /* HN_NO_NODE */
    }
    HN_TRY(list_build(&s->leaving, g->nodes, g->from, g->to, g->edges, err));
    HN_TRY(list_build(&s->entering, g->nodes, g->to, g->from, g->edges, err));
out:
    return rc;
}

static void reach(search *s, uint32_t node, uint32_t parent)
{
    const uint32_t v = (uint32_t)s->count++;

    s->number[node] = v;
    s->vertex[v] = node;
    s->parent[v] = parent;
    s->semi[v] = s->label[v] = v;
}

/* Depth first. `bucket` serves as the place of the next edge of each node. */
static void walk(search *s, uint32_t root)
{
    uint32_t *const next = s->bucket;
    size_t depth = 0;

    reach(s, root, HN_NO_NODE);
    s->stack[depth++] = root;
    next[root] = s->leaving.first[root];
    while (depth) {
        const uint32_t node = s->stack[depth - 1];
        uint32_t to;

        if (next[node] == s->leaving.first[node + 1]) {
            depth--;
            continue;
        }
        to = s->leaving.other[next[node]++];
        if (s->number[to] != HN_NO_NODE)
            continue;
        reach(s, to, s->number[node]);
        s->stack[depth++] = to;
        next[to] = s->leaving.first[to];
    }
}

/* Label of the least semidominator on the way up to the root of v's tree. */
static uint32_t evaluate(search *s, uint32_t v)
{
    size_t depth = 0;
    uint32_t u = v;

    if (s->ancestor[v] == HN_NO_NODE)
        return v;
    for (; s->ancestor[s->ancestor[u]] != HN_NO_NODE; u = s->ancestor[u])
        s->stack[depth++] = u;
    while (depth) {
        const uint32_t w = s->stack[--depth], up = s->ancestor[w];

        if (s->semi[s->label[up]] < s->semi[s->label[w]])
            s->label[w] = s->label[up];
        s->ancestor[w] = s->ancestor[up];
    }
    return s->label[v];
}

static void empty_bucket(search *s, uint32_t parent)
{
    for (uint32_t v = s->bucket[parent]; v != HN_NO_NODE;) {
        const uint32_t u = evaluate(s, v), next = s->next_in_bucket[v];

        s->idom[v] = s->semi[u] < s->semi[v] ? u : parent;
        v = next;
    }
    s->bucket[parent] = HN_NO_NODE;
}

static void find_semidominators(search *s)
{
    memset(s->bucket, 0xff, s->count * sizeof *s->bucket);
    for (uint32_t w = (uint32_t)s->count; w-- > 1;) {
        const uint32_t node = s->vertex[w];

        for (uint32_t e = s->entering.first[node]; e < s->entering.first[node + 1]; e++) {
            const uint32_t v = s->number[s->entering.other[e]];
            uint32_t u;

            if (v == HN_NO_NODE)
                continue;
            u = evaluate(s, v);
            if (s->semi[u] < s->semi[w])
                s->semi[w] = s->semi[u];
        }
        s->next_in_bucket[w] = s->bucket[s->semi[w]];
        s->bucket[s->semi[w]] = w;
        s->ancestor[w] = s->parent[w];
        empty_bucket(s, s->parent[w]);
    }
}

static hn_status take_out(search *s, size_t nodes, hn_dominators *out, hn_error *err)
{
    out->idom = hn_alloc(nodes, sizeof *out->idom);
    out->order = hn_alloc(s->count, sizeof *out->order);
    if (!out->idom || !out->order)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    memset(out->idom, 0xff, nodes * sizeof *out->idom);
    out->reached = s->count;
    memcpy(out->order, s->vertex, s->count * sizeof *out->order);
    for (uint32_t w = 1; w < s->count; w++) {
        if (s->idom[w] != s->semi[w])
            s->idom[w] = s->idom[s->idom[w]];
        out->idom[s->vertex[w]] = s->vertex[s->idom[w]];
    }
    return HN_OK;
}

hn_status hn_dominators_find(const hn_flow_graph *graph, hn_dominators *out, hn_error *err)
{
    search s = {0};
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out);
    HN_TRY(search_new(&s, graph, err));
    walk(&s, graph->root);
    find_semidominators(&s);
    HN_TRY(take_out(&s, graph->nodes, out, err));
out:
    search_clear(&s);
    if (rc != HN_OK)
        hn_dominators_clear(out);
    return rc;
}

void hn_dominators_clear(hn_dominators *dominators)
{
    hn_free(dominators->idom);
    hn_free(dominators->order);
    memset(dominators, 0, sizeof *dominators);
}
