#include "read/gpkg_select.h"

#include "read/date_text.h"

#include <cpl_vsi.h>
#include <gdal.h>
#include <string.h>

/* ---- the statement ---- */

static const char *quoted(hn_arena *arena, const char *name)
{
    char *text = hn_arena_alloc(arena, 2 * strlen(name) + 3, 1), *at = text;

    if (!text)
        return NULL;
    *at++ = '"';
    for (; *name; name++) {
        if (*name == '"')
            *at++ = '"';
        *at++ = *name;
    }
    *at = '"';
    return text;
}

static const char *column_sql(const hn_opened *opened, const hn_role *role, hn_arena *arena)
{
    OGRFeatureDefnH fields = OGR_L_GetLayerDefn(opened->layer);

    if (role->field == HN_FIELD_FID)
        return quoted(arena, OGR_L_GetFIDColumn(opened->layer));
    return quoted(arena, OGR_Fld_GetNameRef(OGR_FD_GetFieldDefn(fields, role->field)));
}

static const char *select_sql(const hn_source *source, const hn_opened *opened,
                              const hn_role_map *map, int with_geometry, const char *table,
                              hn_arena *arena)
{
    const char *fid = quoted(arena, OGR_L_GetFIDColumn(opened->layer));
    const char *geometry =
        with_geometry ? quoted(arena, OGR_L_GetGeometryColumn(opened->layer)) : "NULL";
    const char *sql =
        fid && geometry ? hn_arena_printf(arena, "SELECT %s, %s", fid, geometry) : NULL;

    for (size_t i = 0; sql && i < map->count; i++) {
        const char *column = column_sql(opened, &map->roles[i], arena);

        sql = column ? hn_arena_printf(arena, "%s, %s", sql, column) : NULL;
    }
    if (sql)
        sql = hn_arena_printf(arena, "%s FROM %s WHERE %s BETWEEN ?1 AND ?2", sql, table, fid);
    if (sql && opened->has_where)
        sql = hn_arena_printf(arena, "%s AND (%s\n)", sql, source->where);
    return sql ? hn_arena_printf(arena, "%s ORDER BY %s", sql, fid) : NULL;
}

static int is_plain_file(const char *from)
{
    VSIStatBufL info;

    return strncmp(from, "/vsi", 4) != 0 && VSIStatL(from, &info) == 0 && VSI_ISREG(info.st_mode);
}

hn_status hn_gpkg_table_look(const hn_source *source, const hn_opened *opened,
                             const hn_role_map *map, int with_geometry, hn_arena *arena,
                             hn_gpkg_table *table, int *fits, hn_error *err)
{
    hn_status rc = HN_OK;

    memset(table, 0, sizeof *table);
    *fits = strcmp(opened->driver, "GPKG") == 0 && is_plain_file(source->from) &&
            OGR_L_GetFIDColumn(opened->layer)[0] &&
            (!with_geometry || OGR_L_GetGeometryColumn(opened->layer)[0]);
    if (!*fits)
        return HN_OK;
    table->path = source->from;
    table->name_sql = quoted(arena, opened->layer_name);
    HN_TRY_ALLOC(table->name_sql);
    table->fid_sql = quoted(arena, OGR_L_GetFIDColumn(opened->layer));
    HN_TRY_ALLOC(table->fid_sql);
    table->select_sql = select_sql(source, opened, map, with_geometry, table->name_sql, arena);
    HN_TRY_ALLOC(table->select_sql);
out:
    return rc;
}

/* ---- the connection ---- */

static int first_cell_is(sqlite3 *db, const char *sql, const char *bound, const char *expected)
{
    sqlite3_stmt *statement = NULL;
    int same = 0;

    if (sqlite3_prepare_v2(db, sql, -1, &statement, NULL) == SQLITE_OK) {
        if (bound)
            sqlite3_bind_text(statement, 1, bound, -1, SQLITE_STATIC);
        if (sqlite3_step(statement) == SQLITE_ROW) {
            const char *text = (const char *)sqlite3_column_text(statement, 0);

            same = text && strcmp(text, expected) == 0;
        }
    }
    sqlite3_finalize(statement);
    return same;
}

/* In write-ahead mode two connections could see two states of the file; with
 * a rollback journal the first reader keeps every writer out. */
static int begin_reading(sqlite3 *db)
{
    return !first_cell_is(db, "PRAGMA journal_mode", NULL, "wal") &&
           sqlite3_exec(db, "BEGIN; SELECT count(*) FROM sqlite_master", NULL, NULL, NULL) ==
               SQLITE_OK;
}

int hn_gpkg_select_open(hn_gpkg_select *select, const hn_gpkg_table *table)
{
    memset(select, 0, sizeof *select);
    if (sqlite3_open_v2(table->path, &select->db, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX,
                        NULL) != SQLITE_OK)
        return 0;
    return begin_reading(select->db) &&
           sqlite3_prepare_v2(select->db, table->select_sql, -1, &select->statement, NULL) ==
               SQLITE_OK &&
           select->statement && sqlite3_stmt_readonly(select->statement) &&
           sqlite3_bind_parameter_count(select->statement) == 2;
}

void hn_gpkg_select_close(hn_gpkg_select *select)
{
    sqlite3_finalize(select->statement);
    sqlite3_close(select->db);
    memset(select, 0, sizeof *select);
}

const char *hn_gpkg_select_error(const hn_gpkg_select *select)
{
    return sqlite3_errmsg(select->db);
}

/* ---- rows ---- */

/* Values by the type they are stored with, so that text in a number column is
 * seen as text; dates are texts in a column declared as date. */
static void raw_of_column(sqlite3_stmt *statement, int column, OGRFieldType type, hn_raw *out)
{
    int64_t days;

    switch (sqlite3_column_type(statement, column)) {
    case SQLITE_INTEGER:
        out->kind = type == OFTReal ? HN_RAW_REAL : HN_RAW_INT;
        out->i = sqlite3_column_int64(statement, column);
        out->r = (double)out->i;
        break;
    case SQLITE_FLOAT:
        out->kind = HN_RAW_REAL;
        out->r = sqlite3_column_double(statement, column);
        break;
    case SQLITE_TEXT:
        out->kind = HN_RAW_TEXT;
        out->text.text = (const char *)sqlite3_column_text(statement, column);
        out->text.length = (size_t)sqlite3_column_bytes(statement, column);
        if ((type == OFTDate || type == OFTDateTime) && hn_date_of_text(out->text, 0, &days)) {
            out->kind = HN_RAW_DATE;
            out->i = days;
        }
        break;
    default:
        out->kind = HN_RAW_NULL;
    }
}

static void line_of_blob(sqlite3_stmt *statement, int column, const hn_line_rules *rules,
                         hn_row_batch *batch)
{
    const unsigned char *blob = sqlite3_column_blob(statement, column), *wkb;
    size_t size = (size_t)sqlite3_column_bytes(statement, column), wkb_size = 0;
    hn_batch_row *row = &batch->rows[batch->row_count - 1];
    int is_empty = 0;

    if (!blob) {
        row->line_state = HN_LINE_NULL;
        return;
    }
    wkb = hn_gpkg_wkb(blob, size, &wkb_size, &is_empty);
    if (!wkb)
        row->line_state = HN_LINE_UNREADABLE;
    else if (is_empty)
        row->line_state = HN_LINE_EMPTY;
    else
        hn_line_from_wkb(batch, wkb, wkb_size, rules);
}

static void add_row(sqlite3_stmt *statement, const hn_role_map *map, hn_reader_set *readers,
                    const hn_line_rules *rules, hn_row_batch *batch)
{
    hn_raw raw;

    if (!hn_row_batch_add(batch, sqlite3_column_int64(statement, 0)))
        return;
    for (size_t i = 0; i < map->count; i++) {
        raw_of_column(statement, (int)i + 2, map->roles[i].type, &raw);
        hn_row_batch_cell(batch, i, readers->readers[i], &map->roles[i], &raw);
    }
    if (rules)
        line_of_blob(statement, 1, rules, batch);
}

int hn_gpkg_select_rows(hn_gpkg_select *select, const hn_role_map *map, hn_reader_set *readers,
                        const hn_line_rules *rules, int64_t first, int64_t last,
                        hn_row_batch *batch)
{
    sqlite3_stmt *statement = select->statement;
    int step = SQLITE_DONE;

    hn_row_batch_reset(batch);
    sqlite3_reset(statement);
    sqlite3_bind_int64(statement, 1, first);
    sqlite3_bind_int64(statement, 2, last);
    while (!batch->out_of_memory && (step = sqlite3_step(statement)) == SQLITE_ROW)
        add_row(statement, map, readers, rules, batch);
    return batch->out_of_memory || step == SQLITE_DONE;
}
