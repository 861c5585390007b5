#include "write/rtree_nodes.h"

#include "base/alloc.h"
#include "write/hilbert.h"
#include "write/page_bytes.h"

#include <math.h>
#include <string.h>

enum { HEAD_BYTES = 4, CELL_BYTES = 24 };

static size_t first_item(const hn_rtree_level *l, size_t node)
{
    return node * l->items / l->nodes; /* below 2^32 items and nodes: no overflow */
}

/* The largest node whose first item is not behind this one. */
static size_t node_of_item(const hn_rtree_level *l, size_t item)
{
    return ((item + 1) * l->nodes - 1) / l->items;
}

static unsigned char *put_float(unsigned char *at, float value)
{
    uint32_t bits;

    memcpy(&bits, &value, sizeof bits);
    return hn_put_big_endian(at, bits, 4);
}

static unsigned char *put_cell(unsigned char *at, uint64_t id, const hn_small_box *box)
{
    at = hn_put_big_endian(at, id, 8);
    at = put_float(at, box->min_x);
    at = put_float(at, box->max_x);
    at = put_float(at, box->min_y);
    return put_float(at, box->max_y);
}

static void widen(hn_small_box *all, const hn_small_box *box)
{
    all->min_x = fminf(all->min_x, box->min_x);
    all->max_x = fmaxf(all->max_x, box->max_x);
    all->min_y = fminf(all->min_y, box->min_y);
    all->max_y = fmaxf(all->max_y, box->max_y);
}

static void plan_levels(hn_rtree_nodes *t)
{
    size_t items = t->count;

    t->nodes = HN_RTREE_ROOT;
    for (t->depth = 0; t->depth < HN_RTREE_MOST_LEVELS - 1; t->depth++) {
        hn_rtree_level *l = &t->levels[t->depth];

        l->items = items;
        l->nodes = (items + t->capacity - 1) / t->capacity;
        l->first_node = l->nodes == 1 ? HN_RTREE_ROOT : (uint32_t)t->nodes + 1;
        if (l->nodes == 1)
            return;
        t->nodes += l->nodes;
        items = l->nodes;
    }
}

/* Item of a level: a row below the leaves, else a node of the level below. */
static uint64_t item_of(const hn_rtree_nodes *t, int height, size_t item, const hn_small_box **box)
{
    uint64_t number;

    if (height == 0) {
        *box = &t->boxes[t->order[item]];
        return (uint64_t)t->order[item] + 1;
    }
    number = t->levels[height - 1].first_node + (uint64_t)item;
    *box = &t->node_boxes[number - 1];
    return number;
}

static hn_small_box box_of_node(const hn_rtree_nodes *t, int height, size_t node)
{
    const hn_rtree_level *l = &t->levels[height];
    hn_small_box all = {INFINITY, -INFINITY, INFINITY, -INFINITY};

    for (size_t item = first_item(l, node); item < first_item(l, node + 1); item++) {
        const hn_small_box *box;

        item_of(t, height, item, &box);
        widen(&all, box);
    }
    return all;
}

static void find_node_boxes(hn_rtree_nodes *t)
{
    for (int height = 0; height <= t->depth; height++) {
        const hn_rtree_level *l = &t->levels[height];

        for (size_t node = 0; node < l->nodes; node++)
            t->node_boxes[l->first_node - 1 + node] = box_of_node(t, height, node);
    }
}

hn_status hn_rtree_nodes_make(hn_rtree_nodes *tree, size_t node_bytes, const hn_small_box *boxes,
                              size_t rows, hn_error *err)
{
    hn_status rc = HN_OK;

    *tree = (hn_rtree_nodes){.boxes = boxes, .node_bytes = node_bytes};
    if (rows > INT32_MAX)
        return hn_fail(err, HN_ERR_OUTPUT, "a layer of %zu rows is too long for one file", rows);
    if (node_bytes < HEAD_BYTES + 2 * CELL_BYTES)
        return hn_fail(err, HN_ERR_INTERNAL, "a spatial index has nodes of %zu bytes", node_bytes);
    tree->capacity = (node_bytes - HEAD_BYTES) / CELL_BYTES;
    tree->order = hn_alloc(rows, sizeof *tree->order);
    HN_TRY_ALLOC(tree->order);
    HN_TRY(hn_hilbert_order(boxes, rows, tree->order, &tree->count, err));
    if (tree->count == 0)
        goto out;
    plan_levels(tree);
    tree->node_boxes = hn_alloc(tree->nodes, sizeof *tree->node_boxes);
    HN_TRY_ALLOC(tree->node_boxes);
    find_node_boxes(tree);
out:
    if (rc != HN_OK)
        hn_rtree_nodes_clear(tree);
    return rc;
}

void hn_rtree_nodes_clear(hn_rtree_nodes *tree)
{
    hn_free(tree->order);
    hn_free(tree->node_boxes);
    *tree = (hn_rtree_nodes){0};
}

static int height_of(const hn_rtree_nodes *t, uint32_t number)
{
    int height = 0;

    if (number == HN_RTREE_ROOT)
        return t->depth;
    while (number - t->levels[height].first_node >= t->levels[height].nodes)
        height++;
    return height;
}

void hn_rtree_node(const hn_rtree_nodes *tree, uint32_t number, unsigned char *out)
{
    const int height = height_of(tree, number);
    const hn_rtree_level *l = &tree->levels[height];
    const size_t node = number - l->first_node;
    const size_t begin = first_item(l, node), end = first_item(l, node + 1);
    unsigned char *at = out;

    memset(out, 0, tree->node_bytes);
    at = hn_put_big_endian(at, number == HN_RTREE_ROOT ? (uint64_t)height : 0, 2);
    at = hn_put_big_endian(at, end - begin, 2);
    for (size_t item = begin; item < end; item++) {
        const hn_small_box *box;
        const uint64_t id = item_of(tree, height, item, &box);

        at = put_cell(at, id, box);
    }
}

uint32_t hn_rtree_parent(const hn_rtree_nodes *tree, uint32_t number)
{
    const int height = height_of(tree, number);
    const hn_rtree_level *above = &tree->levels[height + 1];
    const size_t item = number - tree->levels[height].first_node;

    return above->first_node + (uint32_t)node_of_item(above, item);
}

void hn_rtree_leaves(const hn_rtree_nodes *tree, uint32_t *leaf_of_row)
{
    const hn_rtree_level *l = &tree->levels[0];

    for (size_t node = 0; node < l->nodes; node++)
        for (size_t item = first_item(l, node); item < first_item(l, node + 1); item++)
            leaf_of_row[tree->order[item]] = l->first_node + (uint32_t)node;
}
