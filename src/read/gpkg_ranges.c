#include "read/gpkg_ranges.h"

#include <string.h>

static const double SCATTER = 8.0; /* row numbers per row */

/* First cell of "SELECT what FROM table"; 0 when there is none. */
static int number_of(sqlite3 *db, const char *what, const hn_gpkg_table *table, int64_t *out)
{
    char *sql = sqlite3_mprintf(what, table->fid_sql, table->name_sql);
    sqlite3_stmt *statement = NULL;
    int found = 0;

    if (sql && sqlite3_prepare_v2(db, sql, -1, &statement, NULL) == SQLITE_OK &&
        sqlite3_step(statement) == SQLITE_ROW) {
        *out = sqlite3_column_int64(statement, 0);
        found = sqlite3_column_type(statement, 0) != SQLITE_NULL;
    }
    sqlite3_finalize(statement);
    sqlite3_free(sql);
    return found;
}

static int is_rowid_table(sqlite3 *db, const char *name_sql)
{
    char *sql = sqlite3_mprintf("SELECT 1 FROM pragma_table_list WHERE type = 'table' AND wr = 0 "
                                "AND schema = 'main' AND '\"' || replace(name, '\"', '\"\"') || "
                                "'\"' = %Q COLLATE NOCASE",
                                name_sql);
    sqlite3_stmt *statement = NULL;
    int found = sql && sqlite3_prepare_v2(db, sql, -1, &statement, NULL) == SQLITE_OK &&
                sqlite3_step(statement) == SQLITE_ROW;

    sqlite3_finalize(statement);
    sqlite3_free(sql);
    return found;
}

int hn_gpkg_ranges_look(hn_gpkg_select *select, const hn_gpkg_table *table, hn_gpkg_ranges *out)
{
    int64_t first, last, rows;
    double span;

    memset(out, 0, sizeof *out);
    if (!is_rowid_table(select->db, table->name_sql) ||
        !number_of(select->db, "SELECT count(%s) FROM %s", table, &rows))
        return 0;
    if (rows == 0)
        return 1;
    if (!number_of(select->db, "SELECT min(%s) FROM %s", table, &first) ||
        !number_of(select->db, "SELECT max(%s) FROM %s", table, &last))
        return 0;
    span = (double)last - (double)first + 1.0;
    if (span > SCATTER * (double)rows + (double)HN_BATCH_ROWS)
        return 0;
    out->first = first;
    out->last = last;
    out->width = (int64_t)(span / (double)rows * HN_BATCH_ROWS) + 1;
    out->count = (size_t)((last - first) / out->width) + 1;
    return 1;
}

void hn_gpkg_range(const hn_gpkg_ranges *ranges, size_t index, int64_t *first, int64_t *last)
{
    *first = ranges->first + (int64_t)index * ranges->width;
    *last = *first + ranges->width - 1;
    if (*last > ranges->last)
        *last = ranges->last;
}
