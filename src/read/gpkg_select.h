/* read/gpkg_select.h - one read-only connection to a GeoPackage that hands
 * out the mapped columns of a range of rows. */
#ifndef HN_READ_GPKG_SELECT_H
#define HN_READ_GPKG_SELECT_H

#include "base/arena.h"
#include "read/line_points.h"

#include <sqlite3.h>

/* What every connection needs to know of the table. */
typedef struct hn_gpkg_table {
    const char *path;
    const char *name_sql, *fid_sql; /* quoted */
    const char *select_sql;
} hn_gpkg_table;

typedef struct hn_gpkg_select {
    sqlite3 *db;
    sqlite3_stmt *statement;
} hn_gpkg_select;

/* Texts lie in the arena. *fits is 0 when the source is no plain GeoPackage
 * file. Errors: HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_gpkg_table_look(const hn_source *source, const hn_opened *opened,
                                           const hn_role_map *map, int with_geometry,
                                           hn_arena *arena, hn_gpkg_table *table, int *fits,
                                           hn_error *err);

/* Opens and begins a read transaction, held until close; 0 when the table is
 * in write-ahead mode, or the statement is not
 * accepted. */
int hn_gpkg_select_open(hn_gpkg_select *select, const hn_gpkg_table *table);
void hn_gpkg_select_close(hn_gpkg_select *select);
const char *hn_gpkg_select_error(const hn_gpkg_select *select);

/* Rows with first <= row number <= last into the emptied batch; 0 on failure. */
int hn_gpkg_select_rows(hn_gpkg_select *select, const hn_role_map *map, hn_reader_set *readers,
                        const hn_line_rules *rules, int64_t first, int64_t last,
                        hn_row_batch *batch);

#endif
