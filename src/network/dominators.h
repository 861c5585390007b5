/* network/dominators.h - which node lies on every way from a root to another.
 *
 * Source: T. Lengauer, R. E. Tarjan, "A fast algorithm for finding dominators in a
 * flowgraph", ACM TOPLAS 1(1) (1979) 121-141, the version with path compression
 * alone: n log n. No recursion, so deep networks need no deep stack.
 */
#ifndef HN_NETWORK_DOMINATORS_H
#define HN_NETWORK_DOMINATORS_H

#include "base/status.h"

#include <stddef.h>
#include <stdint.h>

#define HN_NO_NODE UINT32_MAX

/* A directed graph: edges as pairs of nodes. Parallel edges, loops and edges from a
 * node to itself are fine. */
typedef struct hn_flow_graph {
    size_t nodes, edges;
    const uint32_t *from, *to;
    uint32_t root;
} hn_flow_graph;

typedef struct hn_dominators {
    uint32_t *idom;  /* per node: nearest other node on every way from the root; the
                        root's own is HN_NO_NODE, and so is that of a node not reached */
    uint32_t *order; /* nodes reached, root first, each after its idom */
    size_t reached;
} hn_dominators;

/* *out is the caller's (hn_dominators_clear). Errors: HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_dominators_find(const hn_flow_graph *graph, hn_dominators *out,
                                           hn_error *err);
void hn_dominators_clear(hn_dominators *dominators);

#endif
