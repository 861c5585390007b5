/* write/rtree_nodes.h - the nodes of a packed spatial index.
 *
 * Boxes are put in order along a Hilbert curve and shared out evenly over the
 * leaves, leaves over the nodes above them, and so on. Each node can then be
 * asked for by its number: 1 is the root, the others count from the leaves up.
 * Sources: SQLite documentation, "The SQLite R*Tree Module", part 6 (shadow
 * tables and node layout); I. Kamel and C. Faloutsos, "On packing R-trees",
 * CIKM 1993 (packing in Hilbert order).
 */
#ifndef HN_WRITE_RTREE_NODES_H
#define HN_WRITE_RTREE_NODES_H

#include "write/gpkg_shape.h"

enum { HN_RTREE_ROOT = 1, HN_RTREE_MOST_LEVELS = 40 };

/* Node k of a level holds the items [k*n/N, (k+1)*n/N), so all nodes of a level
 * are equally full and none is left nearly empty. */
typedef struct hn_rtree_level {
    size_t items, nodes;
    uint32_t first_node; /* number of the first node */
} hn_rtree_level;

typedef struct hn_rtree_nodes {
    const hn_small_box *boxes; /* by row; borrowed */
    uint32_t *order;           /* rows in curve order */
    size_t count;              /* rows with a box */
    size_t nodes, node_bytes, capacity;
    hn_rtree_level levels[HN_RTREE_MOST_LEVELS]; /* leaves first */
    int depth;                                   /* levels above the leaves */
    hn_small_box *node_boxes;                    /* by number - 1 */
} hn_rtree_nodes;

/* Row i of `boxes` has rowid i + 1; one whose min_x is NaN is left out.
 * `node_bytes` is the size that SQLite gave the root. With count 0 there are no
 * nodes. HN_ERR_OUTPUT beyond 2^31 rows. */
HN_MUST_CHECK hn_status hn_rtree_nodes_make(hn_rtree_nodes *tree, size_t node_bytes,
                                            const hn_small_box *boxes, size_t rows, hn_error *err);
void hn_rtree_nodes_clear(hn_rtree_nodes *tree);

/* The content of a node, node_bytes long. Safe in several threads. */
void hn_rtree_node(const hn_rtree_nodes *tree, uint32_t number, unsigned char *out);
/* Number of the node above; not for the root. */
uint32_t hn_rtree_parent(const hn_rtree_nodes *tree, uint32_t number);
/* Leaf of every row; a row without a box is left as it was. */
void hn_rtree_leaves(const hn_rtree_nodes *tree, uint32_t *leaf_of_row);

#endif
