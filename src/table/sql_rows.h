/* table/sql_rows.h - rows of our own as one read-only SQL table, for conditions.
 *
 * The owner names the columns and gives a cell on demand; SQLite parses and evaluates.
 * Nothing but that one table and functions can be read.
 */
#ifndef HN_TABLE_SQL_ROWS_H
#define HN_TABLE_SQL_ROWS_H

#include "base/status.h"
#include "table/segment_table.h"

#include <sqlite3.h>

typedef struct hn_sql_rows {
    const char *table; /* name in SQL */
    size_t columns;    /* all that SQL knows */
    size_t suggested;  /* of these, the first ones that a message may propose */
    const char *(*column_name)(size_t i, const void *context);
    /* Leaves the cell alone where the value is missing: NULL. */
    void (*give)(const void *context, size_t row, size_t column, sqlite3_context *cell);
    const void *context;
    const char *example; /* an expression, for hints */
    const char *about;   /* for hints: where the columns are described */
    size_t begin, end;   /* rows of the scan now running */
    /* Told of each column that the expression being prepared reads, by SQLite's own word; a
     * column may come more than once. NULL: nobody asks. */
    void (*seen)(void *context, size_t expression, const char *column);
    void *seen_context;
    size_t seen_expression;
} hn_sql_rows;

/* A database in memory with the table; `rows` must outlive it. The caller closes *db,
 * also after a failure. Errors: HN_ERR_INTERNAL. */
HN_MUST_CHECK hn_status hn_sql_rows_open(hn_sql_rows *rows, sqlite3 **db, hn_error *err);

/* One expression alone as a statement, so that none can close another's bracket. `where`
 * names it in messages. Errors: HN_ERR_PLAN with SQLite's message and the nearest column.
 * The caller finalizes *out, also after a failure. */
HN_MUST_CHECK hn_status hn_sql_rows_prepare(const hn_sql_rows *rows, sqlite3 *db,
                                            const char *expression, const char *where,
                                            sqlite3_stmt **out, hn_error *err);

void hn_sql_give_number(sqlite3_context *cell, double value);   /* NaN: NULL */
void hn_sql_give_text(sqlite3_context *cell, const char *text); /* "": NULL; not copied */
void hn_sql_give_date(sqlite3_context *cell, int32_t days);     /* ISO text */
/* A column of the segment table, by its kind. */
void hn_sql_give_segment(sqlite3_context *cell, const hn_table *table, hn_column_id id, size_t row);

#endif
