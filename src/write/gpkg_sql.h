/* write/gpkg_sql.h - the few SQLite calls the GeoPackage writer needs, with
 * our errors. Names go in by %w inside double quotes, values by %Q or bound. */
#ifndef HN_WRITE_GPKG_SQL_H
#define HN_WRITE_GPKG_SQL_H

#include "base/status.h"

#include <sqlite3.h>

/* Records the connection's last failure: HN_ERR_OUTPUT with the file's path,
 * or HN_ERR_MEMORY. */
hn_status hn_sql_fail(sqlite3 *db, hn_error *err);

/* Runs statements; format as in sqlite3_mprintf. */
HN_MUST_CHECK hn_status hn_sql_run(sqlite3 *db, hn_error *err, const char *format, ...);

/* One prepared statement; free with sqlite3_finalize. */
HN_MUST_CHECK hn_status hn_sql_prepare(sqlite3 *db, sqlite3_stmt **statement, hn_error *err,
                                       const char *format, ...);

/* First column of the first row as a number. HN_ERR_OUTPUT when there is none. */
HN_MUST_CHECK hn_status hn_sql_number(sqlite3 *db, sqlite3_int64 *value, hn_error *err,
                                      const char *format, ...);

/* Steps a statement that gives no rows and makes it ready again. */
HN_MUST_CHECK hn_status hn_sql_step(sqlite3 *db, sqlite3_stmt *statement, hn_error *err);

#endif
