#include "write/gpkg_rtree.h"

#include "base/alloc.h"
#include "write/hilbert.h"

#include <math.h>
#include <string.h>

enum { HEAD_BYTES = 4, CELL_BYTES = 24, ROOT = 1, MOST_LEVELS = 40 };

/* One level of the tree: node k holds the items of [k*n/N, (k+1)*n/N), so all
 * nodes of a level are equally full and none is left nearly empty. */
typedef struct level {
    size_t items, nodes;
    int64_t first_node; /* number of the first node; ROOT when there is one */
} level;

typedef struct packing {
    sqlite3 *db;
    const char *table, *column;
    const hn_small_box *boxes; /* by row */
    uint32_t *order;           /* rows in curve order */
    size_t count;
    level levels[MOST_LEVELS]; /* leaves first */
    int depth;                 /* levels above the leaves */
    size_t node_bytes, capacity;
    unsigned char *node;
    hn_small_box *node_boxes; /* of the level that was written last */
} packing;

static size_t first_item(const level *l, size_t node)
{
    return node * l->items / l->nodes; /* below 2^32 items and nodes: no overflow */
}

static unsigned char *put_big_endian(unsigned char *at, uint64_t value, int bytes)
{
    for (int i = bytes - 1; i >= 0; i--)
        *at++ = (unsigned char)(value >> (8 * i));
    return at;
}

static unsigned char *put_float(unsigned char *at, float value)
{
    uint32_t bits;

    memcpy(&bits, &value, sizeof bits);
    return put_big_endian(at, bits, 4);
}

static unsigned char *put_cell(unsigned char *at, int64_t id, const hn_small_box *box)
{
    at = put_big_endian(at, (uint64_t)id, 8);
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

/* Lays out the levels from the leaves up; nodes are numbered in that order
 * from 2 on, the root is always 1. */
static void plan_levels(packing *p)
{
    int64_t next = ROOT + 1;
    size_t items = p->count;

    for (p->depth = 0; p->depth < MOST_LEVELS; p->depth++) {
        level *l = &p->levels[p->depth];

        l->items = items;
        l->nodes = (items + p->capacity - 1) / p->capacity;
        l->first_node = l->nodes == 1 ? ROOT : next;
        if (l->nodes == 1)
            return;
        next += (int64_t)l->nodes;
        items = l->nodes;
    }
}

/* Item of a level: a row below the leaves, else a node of the level below. */
static void item_of(const packing *p, int height, size_t item, int64_t *id, hn_small_box *box)
{
    if (height == 0) {
        *id = (int64_t)p->order[item] + 1;
        *box = p->boxes[p->order[item]];
        return;
    }
    *id = p->levels[height - 1].first_node + (int64_t)item;
    *box = p->node_boxes[item];
}

/* Fills p->node; gives the node's own box. */
static hn_small_box build_node(packing *p, int height, size_t node)
{
    const level *l = &p->levels[height];
    const size_t begin = first_item(l, node), end = first_item(l, node + 1);
    const int is_root = l->nodes == 1;
    hn_small_box all = {INFINITY, -INFINITY, INFINITY, -INFINITY};
    unsigned char *at = p->node;

    memset(p->node, 0, p->node_bytes);
    at = put_big_endian(at, is_root ? (uint64_t)height : 0, 2); /* depth of the tree */
    at = put_big_endian(at, end - begin, 2);
    for (size_t item = begin; item < end; item++) {
        hn_small_box box;
        int64_t id;

        item_of(p, height, item, &id, &box);
        at = put_cell(at, id, &box);
        widen(&all, &box);
    }
    return all;
}

/* A level's boxes replace those of the level below while it is written: node k
 * never comes before item k, so nothing is overwritten that is still needed. */
static hn_status write_level(packing *p, int height, sqlite3_stmt *insert, hn_error *err)
{
    const level *l = &p->levels[height];
    hn_status rc = HN_OK;

    for (size_t node = 0; node < l->nodes && rc == HN_OK; node++) {
        hn_small_box box = build_node(p, height, node);

        sqlite3_bind_int64(insert, 1, l->first_node + (int64_t)node);
        sqlite3_bind_blob(insert, 2, p->node, (int)p->node_bytes, SQLITE_STATIC);
        rc = hn_sql_step(p->db, insert, err);
        p->node_boxes[node] = box;
    }
    return rc;
}

static hn_status write_nodes(packing *p, hn_error *err)
{
    sqlite3_stmt *insert = NULL;
    hn_status rc;

    HN_TRY(hn_sql_prepare(p->db, &insert, err,
                          "INSERT OR REPLACE INTO \"rtree_%w_%w_node\" VALUES (?, ?)", p->table,
                          p->column));
    for (int height = 0; height <= p->depth; height++)
        HN_TRY(write_level(p, height, insert, err));
out:
    sqlite3_finalize(insert);
    return rc;
}

static hn_status write_parents(packing *p, hn_error *err)
{
    sqlite3_stmt *insert = NULL;
    hn_status rc;

    HN_TRY(hn_sql_prepare(p->db, &insert, err, "INSERT INTO \"rtree_%w_%w_parent\" VALUES (?, ?)",
                          p->table, p->column));
    for (int height = 1; height <= p->depth; height++) {
        const level *l = &p->levels[height];

        for (size_t node = 0; node < l->nodes; node++)
            for (size_t item = first_item(l, node); item < first_item(l, node + 1); item++) {
                sqlite3_bind_int64(insert, 1, p->levels[height - 1].first_node + (int64_t)item);
                sqlite3_bind_int64(insert, 2, l->first_node + (int64_t)node);
                HN_TRY(hn_sql_step(p->db, insert, err));
            }
    }
out:
    sqlite3_finalize(insert);
    return rc;
}

/* Leaf of every row, 0 for a row that is not in the tree. */
static void find_leaves(const packing *p, uint32_t *leaf_of_row)
{
    const level *l = &p->levels[0];

    for (size_t node = 0; node < l->nodes; node++)
        for (size_t item = first_item(l, node); item < first_item(l, node + 1); item++)
            leaf_of_row[p->order[item]] = (uint32_t)(l->first_node + (int64_t)node);
}

/* In row order, so that the table only ever grows at its end. */
static hn_status write_rowids(packing *p, size_t rows, hn_error *err)
{
    sqlite3_stmt *insert = NULL;
    hn_status rc = HN_OK;
    uint32_t *leaf_of_row = hn_alloc(rows, sizeof *leaf_of_row);

    HN_TRY_ALLOC(leaf_of_row);
    find_leaves(p, leaf_of_row);
    HN_TRY(hn_sql_prepare(p->db, &insert, err, "INSERT INTO \"rtree_%w_%w_rowid\" VALUES (?, ?)",
                          p->table, p->column));
    for (size_t row = 0; row < rows; row++) {
        if (!leaf_of_row[row])
            continue;
        sqlite3_bind_int64(insert, 1, (int64_t)row + 1);
        sqlite3_bind_int64(insert, 2, leaf_of_row[row]);
        HN_TRY(hn_sql_step(p->db, insert, err));
    }
out:
    sqlite3_finalize(insert);
    hn_free(leaf_of_row);
    return rc;
}

/* The module chose the node size when it made the empty root. */
static hn_status read_node_size(packing *p, hn_error *err)
{
    sqlite3_int64 bytes = 0;
    hn_status rc = hn_sql_number(p->db, &bytes, err,
                                 "SELECT length(data) FROM \"rtree_%w_%w_node\" WHERE nodeno = %d",
                                 p->table, p->column, ROOT);

    if (rc != HN_OK)
        return rc;
    if (bytes < HEAD_BYTES + 2 * CELL_BYTES || bytes > 1 << 20)
        return hn_fail(err, HN_ERR_INTERNAL, "spatial index of %s has nodes of %lld bytes",
                       p->table, (long long)bytes);
    p->node_bytes = (size_t)bytes;
    p->capacity = (p->node_bytes - HEAD_BYTES) / CELL_BYTES;
    return HN_OK;
}

hn_status hn_gpkg_rtree_pack(sqlite3 *db, const char *table, const char *column,
                             const hn_small_box *boxes, size_t rows, hn_error *err)
{
    packing p = {.db = db, .table = table, .column = column, .boxes = boxes};
    hn_status rc = HN_OK;

    if (rows >= UINT32_MAX)
        return hn_fail(err, HN_ERR_OUTPUT, "layer %s has too many rows for one file", table);
    HN_TRY(read_node_size(&p, err));
    p.order = hn_alloc(rows, sizeof *p.order);
    HN_TRY_ALLOC(p.order);
    HN_TRY(hn_hilbert_order(boxes, rows, p.order, &p.count, err));
    if (p.count == 0)
        goto out;
    plan_levels(&p);
    p.node = hn_alloc(p.node_bytes, 1);
    p.node_boxes = hn_alloc(p.levels[0].nodes, sizeof *p.node_boxes);
    HN_TRY_ALLOC(p.node);
    HN_TRY_ALLOC(p.node_boxes);
    HN_TRY(write_nodes(&p, err));
    HN_TRY(write_rowids(&p, rows, err));
    HN_TRY(write_parents(&p, err));
out:
    hn_free(p.order);
    hn_free(p.node);
    hn_free(p.node_boxes);
    return rc;
}
