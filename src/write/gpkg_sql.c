#include "write/gpkg_sql.h"

#include "write/output_file.h"

#include <errno.h>
#include <stdarg.h>

hn_status hn_sql_fail(sqlite3 *db, hn_error *err)
{
    const char *path = sqlite3_db_filename(db, "main");
    int code = sqlite3_errcode(db), cause = sqlite3_system_errno(db);

    if (code == SQLITE_NOMEM)
        return hn_output_fail(err, path, ENOMEM);
    if (code == SQLITE_FULL)
        return hn_output_fail(err, path, ENOSPC);
    if (code == SQLITE_IOERR && cause)
        return hn_output_fail(err, path, cause);
    return hn_fail(err, HN_ERR_OUTPUT, "cannot write %s: %s", path ? path : "the GeoPackage",
                   sqlite3_errmsg(db));
}

hn_status hn_sql_run(sqlite3 *db, hn_error *err, const char *format, ...)
{
    va_list args;
    char *sql;
    int code;

    va_start(args, format);
    sql = sqlite3_vmprintf(format, args);
    va_end(args);
    if (!sql)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    code = sqlite3_exec(db, sql, NULL, NULL, NULL);
    sqlite3_free(sql);
    return code == SQLITE_OK ? HN_OK : hn_sql_fail(db, err);
}

static hn_status prepare(sqlite3 *db, sqlite3_stmt **statement, hn_error *err, const char *format,
                         va_list args)
{
    char *sql = sqlite3_vmprintf(format, args);
    int code;

    if (!sql)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    code = sqlite3_prepare_v2(db, sql, -1, statement, NULL);
    sqlite3_free(sql);
    return code == SQLITE_OK ? HN_OK : hn_sql_fail(db, err);
}

hn_status hn_sql_prepare(sqlite3 *db, sqlite3_stmt **statement, hn_error *err, const char *format,
                         ...)
{
    va_list args;
    hn_status rc;

    va_start(args, format);
    rc = prepare(db, statement, err, format, args);
    va_end(args);
    return rc;
}

hn_status hn_sql_number(sqlite3 *db, sqlite3_int64 *value, hn_error *err, const char *format, ...)
{
    sqlite3_stmt *statement = NULL;
    va_list args;
    hn_status rc;

    va_start(args, format);
    rc = prepare(db, &statement, err, format, args);
    va_end(args);
    if (rc != HN_OK)
        return rc;
    if (sqlite3_step(statement) == SQLITE_ROW)
        *value = sqlite3_column_int64(statement, 0);
    else
        rc = hn_sql_fail(db, err);
    sqlite3_finalize(statement);
    return rc;
}

hn_status hn_sql_step(sqlite3 *db, sqlite3_stmt *statement, hn_error *err)
{
    hn_status rc = sqlite3_step(statement) == SQLITE_DONE ? HN_OK : hn_sql_fail(db, err);

    sqlite3_reset(statement);
    return rc;
}
