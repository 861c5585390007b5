#include "write/gpkg_rtree.h"

#include "base/alloc.h"
#include "write/rtree_nodes.h"

typedef struct packing {
    sqlite3 *db;
    const char *table, *column;
    hn_rtree_nodes tree;
} packing;

static hn_status write_nodes(const packing *p, hn_error *err)
{
    sqlite3_stmt *insert = NULL;
    unsigned char *node = hn_alloc(p->tree.node_bytes, 1);
    hn_status rc;

    HN_TRY_ALLOC(node);
    HN_TRY(hn_sql_prepare(p->db, &insert, err,
                          "INSERT OR REPLACE INTO \"rtree_%w_%w_node\" VALUES (?, ?)", p->table,
                          p->column));
    for (uint32_t number = HN_RTREE_ROOT; number <= p->tree.nodes; number++) {
        hn_rtree_node(&p->tree, number, node);
        sqlite3_bind_int64(insert, 1, number);
        sqlite3_bind_blob(insert, 2, node, (int)p->tree.node_bytes, SQLITE_STATIC);
        HN_TRY(hn_sql_step(p->db, insert, err));
    }
out:
    sqlite3_finalize(insert);
    hn_free(node);
    return rc;
}

static hn_status write_parents(const packing *p, hn_error *err)
{
    sqlite3_stmt *insert = NULL;
    hn_status rc;

    HN_TRY(hn_sql_prepare(p->db, &insert, err, "INSERT INTO \"rtree_%w_%w_parent\" VALUES (?, ?)",
                          p->table, p->column));
    for (uint32_t number = HN_RTREE_ROOT + 1; number <= p->tree.nodes; number++) {
        sqlite3_bind_int64(insert, 1, number);
        sqlite3_bind_int64(insert, 2, hn_rtree_parent(&p->tree, number));
        HN_TRY(hn_sql_step(p->db, insert, err));
    }
out:
    sqlite3_finalize(insert);
    return rc;
}

/* In row order, so that the table only ever grows at its end. */
static hn_status write_rowids(const packing *p, size_t rows, hn_error *err)
{
    sqlite3_stmt *insert = NULL;
    hn_status rc = HN_OK;
    uint32_t *leaf_of_row = hn_alloc(rows, sizeof *leaf_of_row);

    HN_TRY_ALLOC(leaf_of_row);
    hn_rtree_leaves(&p->tree, leaf_of_row);
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

hn_status hn_gpkg_rtree_node_bytes(sqlite3 *db, const char *table, const char *column,
                                   size_t *node_bytes, hn_error *err)
{
    sqlite3_int64 bytes = 0;
    hn_status rc = hn_sql_number(db, &bytes, err,
                                 "SELECT length(data) FROM \"rtree_%w_%w_node\" WHERE nodeno = %d",
                                 table, column, HN_RTREE_ROOT);

    if (rc == HN_OK && (bytes < 0 || bytes > 1 << 20))
        rc = hn_fail(err, HN_ERR_INTERNAL, "spatial index of %s has nodes of %lld bytes", table,
                     (long long)bytes);
    *node_bytes = (size_t)bytes;
    return rc;
}

hn_status hn_gpkg_rtree_pack(sqlite3 *db, const char *table, const char *column,
                             const hn_small_box *boxes, size_t rows, hn_error *err)
{
    packing p = {.db = db, .table = table, .column = column};
    size_t node_bytes = 0;
    hn_status rc;

    HN_TRY(hn_gpkg_rtree_node_bytes(db, table, column, &node_bytes, err));
    HN_TRY(hn_rtree_nodes_make(&p.tree, node_bytes, boxes, rows, err));
    if (p.tree.count == 0)
        goto out;
    HN_TRY(write_nodes(&p, err));
    HN_TRY(write_rowids(&p, rows, err));
    HN_TRY(write_parents(&p, err));
out:
    hn_rtree_nodes_clear(&p.tree);
    return rc;
}
