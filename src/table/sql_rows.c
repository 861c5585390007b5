#include "table/sql_rows.h"

#include "base/dates.h"
#include "base/nearest.h"

#include <string.h>

typedef struct rows_vtab {
    sqlite3_vtab base;
    hn_sql_rows *rows;
} rows_vtab;

typedef struct rows_cursor {
    sqlite3_vtab_cursor base;
    size_t at;
} rows_cursor;

/* ---- the virtual table ---- */

static int declare(sqlite3 *db, const hn_sql_rows *rows)
{
    sqlite3_str *sql = sqlite3_str_new(db);
    char *text;
    int rc;

    sqlite3_str_appendf(sql, "CREATE TABLE \"%w\"(", rows->table);
    for (size_t i = 0; i < rows->columns; i++)
        sqlite3_str_appendf(sql, "%s\"%w\"", i ? "," : "", rows->column_name(i, rows->context));
    sqlite3_str_appendall(sql, ")");
    text = sqlite3_str_finish(sql);
    if (!text)
        return SQLITE_NOMEM;
    rc = sqlite3_declare_vtab(db, text);
    sqlite3_free(text);
    return rc;
}

static int vtab_connect(sqlite3 *db, void *context, int argc, const char *const *argv,
                        sqlite3_vtab **out, char **message)
{
    rows_vtab *vtab;
    int rc = declare(db, context);

    (void)argc;
    (void)argv;
    (void)message;
    if (rc != SQLITE_OK)
        return rc;
    vtab = sqlite3_malloc(sizeof *vtab);
    if (!vtab)
        return SQLITE_NOMEM;
    memset(vtab, 0, sizeof *vtab);
    vtab->rows = context;
    *out = &vtab->base;
    return SQLITE_OK;
}

static int vtab_disconnect(sqlite3_vtab *vtab)
{
    sqlite3_free(vtab);
    return SQLITE_OK;
}

static int vtab_best_index(sqlite3_vtab *vtab, sqlite3_index_info *info)
{
    (void)vtab;
    info->estimatedCost = 1e6;
    return SQLITE_OK;
}

static int vtab_open(sqlite3_vtab *vtab, sqlite3_vtab_cursor **out)
{
    rows_cursor *cursor = sqlite3_malloc(sizeof *cursor);

    (void)vtab;
    if (!cursor)
        return SQLITE_NOMEM;
    memset(cursor, 0, sizeof *cursor);
    *out = &cursor->base;
    return SQLITE_OK;
}

static int vtab_close(sqlite3_vtab_cursor *cursor)
{
    sqlite3_free(cursor);
    return SQLITE_OK;
}

static const hn_sql_rows *rows_of(const sqlite3_vtab_cursor *cursor)
{
    return ((const rows_vtab *)cursor->pVtab)->rows;
}

static int vtab_filter(sqlite3_vtab_cursor *cursor, int number, const char *text, int argc,
                       sqlite3_value **argv)
{
    (void)number;
    (void)text;
    (void)argc;
    (void)argv;
    ((rows_cursor *)cursor)->at = rows_of(cursor)->begin;
    return SQLITE_OK;
}

static int vtab_next(sqlite3_vtab_cursor *cursor)
{
    ((rows_cursor *)cursor)->at++;
    return SQLITE_OK;
}

static int vtab_eof(sqlite3_vtab_cursor *cursor)
{
    return ((rows_cursor *)cursor)->at >= rows_of(cursor)->end;
}

static int vtab_rowid(sqlite3_vtab_cursor *cursor, sqlite3_int64 *out)
{
    *out = (sqlite3_int64)((rows_cursor *)cursor)->at;
    return SQLITE_OK;
}

static int vtab_column(sqlite3_vtab_cursor *cursor, sqlite3_context *cell, int column)
{
    const hn_sql_rows *rows = rows_of(cursor);

    rows->give(rows->context, ((rows_cursor *)cursor)->at, (size_t)column, cell);
    return SQLITE_OK;
}

static const sqlite3_module rows_module = {
    .iVersion = 1,
    .xConnect = vtab_connect,
    .xBestIndex = vtab_best_index,
    .xDisconnect = vtab_disconnect,
    .xOpen = vtab_open,
    .xClose = vtab_close,
    .xFilter = vtab_filter,
    .xNext = vtab_next,
    .xEof = vtab_eof,
    .xColumn = vtab_column,
    .xRowid = vtab_rowid,
};

/* ---- opening ---- */

static int authorise(void *context, int action, const char *a, const char *b, const char *c,
                     const char *d)
{
    const hn_sql_rows *rows = context;

    (void)c;
    (void)d;
    if (rows->seen && action == SQLITE_READ && b && b[0])
        rows->seen(rows->seen_context, rows->seen_expression, b);
    if (action == SQLITE_FUNCTION)
        return b && strcmp(b, "load_extension") == 0 ? SQLITE_DENY : SQLITE_OK;
    if (action == SQLITE_SELECT)
        return SQLITE_OK;
    return action == SQLITE_READ && a && strcmp(a, rows->table) == 0 ? SQLITE_OK : SQLITE_DENY;
}

/* A look at the table connects it; from then on little is allowed. */
static int connect_table(sqlite3 *db, const hn_sql_rows *rows)
{
    char *sql = sqlite3_mprintf("SELECT 1 FROM \"%w\" LIMIT 0", rows->table);
    int rc = sql ? sqlite3_exec(db, sql, NULL, NULL, NULL) : SQLITE_NOMEM;

    sqlite3_free(sql);
    return rc;
}

hn_status hn_sql_rows_open(hn_sql_rows *rows, sqlite3 **db, hn_error *err)
{
    if (sqlite3_open_v2(":memory:", db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL) !=
            SQLITE_OK ||
        sqlite3_create_module(*db, rows->table, &rows_module, rows) != SQLITE_OK ||
        connect_table(*db, rows) != SQLITE_OK)
        return hn_fail(err, HN_ERR_INTERNAL, "could not start SQLite for conditions on %s",
                       rows->table);
    sqlite3_set_authorizer(*db, authorise, rows);
    return HN_OK;
}

/* ---- one expression ---- */

static hn_status explain_failure(const hn_sql_rows *rows, sqlite3 *db, const char *expression,
                                 const char *where, hn_error *err)
{
    const char *message = sqlite3_errmsg(db), *unknown = strstr(message, "no such column: ");
    const char *near =
        unknown ? hn_nearest(unknown + 16, rows->column_name, rows->suggested, rows->context)
                : NULL;

    hn_fail(err, HN_ERR_PLAN, "%s: the condition \"%s\" cannot be used: %s", where, expression,
            message);
    if (unknown)
        hn_hint(err, "%s%s%s%s", near ? "did you mean \"" : "", near ? near : "",
                near ? "\"? " : "", rows->about);
    else
        hn_hint(err, "write an SQL expression such as: %s", rows->example);
    return HN_ERR_PLAN;
}

hn_status hn_sql_rows_prepare(const hn_sql_rows *rows, sqlite3 *db, const char *expression,
                              const char *where, sqlite3_stmt **out, hn_error *err)
{
    char *sql = sqlite3_mprintf("SELECT (%s\n) FROM \"%w\"", expression, rows->table);
    const char *tail = NULL;
    hn_status rc = HN_OK;

    *out = NULL;
    if (!sql)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    if (sqlite3_prepare_v2(db, sql, -1, out, &tail) != SQLITE_OK) {
        rc = explain_failure(rows, db, expression, where, err);
    } else if (sqlite3_column_count(*out) != 1 || (tail && tail[strspn(tail, " \n\t;")])) {
        rc = hn_fail(err, HN_ERR_PLAN, "%s: \"%s\" is not one expression", where, expression);
        hn_hint(err, "write one SQL expression such as: %s", rows->example);
    }
    sqlite3_free(sql);
    return rc;
}

/* ---- cells ---- */

void hn_sql_give_number(sqlite3_context *cell, double value)
{
    if (!isnan(value))
        sqlite3_result_double(cell, value);
}

void hn_sql_give_text(sqlite3_context *cell, const char *text)
{
    if (text[0])
        sqlite3_result_text(cell, text, -1, SQLITE_STATIC);
}

void hn_sql_give_date(sqlite3_context *cell, int32_t days)
{
    char text[HN_DATE_TEXT];

    if (days == HN_I32_MISSING)
        return;
    hn_date_text(days, text);
    sqlite3_result_text(cell, text, -1, SQLITE_TRANSIENT);
}

void hn_sql_give_segment(sqlite3_context *cell, const hn_table *table, hn_column_id id, size_t row)
{
    double value;

    switch (hn_column_definition(id)->kind) {
    case HN_KIND_STR:
    case HN_KIND_CODE:
        hn_sql_give_text(cell, hn_table_text(table, id, row));
        break;
    case HN_KIND_I32:
    case HN_KIND_BOOL:
        value = hn_table_number(table, id, row);
        if (!isnan(value))
            sqlite3_result_int64(cell, (sqlite3_int64)value);
        break;
    case HN_KIND_DATE:
        hn_sql_give_date(cell, hn_i32(table, id, row));
        break;
    default:
        hn_sql_give_number(cell, hn_table_number(table, id, row));
    }
}
