/* write/page_layer.h - layers and tables of the GeoPackage by pages. */
#ifndef HN_WRITE_PAGE_LAYER_H
#define HN_WRITE_PAGE_LAYER_H

#include "write/gpkg_layer.h"
#include "write/page_table.h"

/* Where the pages of one layer go. */
typedef struct hn_page_plan {
    uint32_t rows;                   /* root page of the table */
    uint32_t nodes, rowids, parents; /* root pages of the index's shadow tables */
    size_t node_bytes;
} hn_page_plan;

/* Reads root pages and checks that everything is as this writer knows it:
 * empty rowid tables with the very columns and types, no index of SQL, no
 * auto-vacuum, no free pages. *fits is 0 when it is not so. */
HN_MUST_CHECK hn_status hn_page_plan_make(sqlite3 *db, const hn_gpkg_layer *layer,
                                          hn_page_plan *plan, int *fits, hn_error *err);

/* The last statements before pages are added: the largest fid of the table is
 * noted, and the empty root of a filled index makes room. */
HN_MUST_CHECK hn_status hn_page_plan_settle(sqlite3 *db, const hn_gpkg_layer *layer, hn_error *err);

/* All rows of a layer; fid is the row number from 1. */
HN_MUST_CHECK hn_status hn_page_layer_rows(hn_page_file *file, const hn_gpkg_layer *layer,
                                           const hn_page_plan *plan, int threads, hn_pace *pace,
                                           hn_error *err);
/* The layer's spatial index. */
HN_MUST_CHECK hn_status hn_page_layer_index(hn_page_file *file, const hn_gpkg_layer *layer,
                                            const hn_page_plan *plan, int threads, hn_error *err);

#endif
