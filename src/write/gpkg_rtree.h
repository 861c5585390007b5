/* write/gpkg_rtree.h - a full spatial index in one go, by SQL.
 *
 * The nodes (write/rtree_nodes.h) go straight into the shadow tables of
 * SQLite's rtree module. That is about fifteen times faster than inserting box
 * by box, and the index is smaller.
 */
#ifndef HN_WRITE_GPKG_RTREE_H
#define HN_WRITE_GPKG_RTREE_H

#include "write/gpkg_shape.h"
#include "write/gpkg_sql.h"

/* Fills the empty index rtree_TABLE_COLUMN. Row i of `boxes` has rowid i + 1;
 * a box whose min_x is NaN is left out. The layer's triggers must be off. */
HN_MUST_CHECK hn_status hn_gpkg_rtree_pack(sqlite3 *db, const char *table, const char *column,
                                           const hn_small_box *boxes, size_t rows, hn_error *err);

/* Bytes of a node, as the module chose them when it made the empty root. */
HN_MUST_CHECK hn_status hn_gpkg_rtree_node_bytes(sqlite3 *db, const char *table, const char *column,
                                                 size_t *node_bytes, hn_error *err);

#endif
