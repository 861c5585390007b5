/* read/text_table.h - any OGR table as rows of text, for config tables.
 * CSV, XLSX, ODS or a GeoPackage table; values are trimmed, "" is empty. */
#ifndef HN_READ_TEXT_TABLE_H
#define HN_READ_TEXT_TABLE_H

#include "base/arena.h"
#include "base/status.h"

#include <stddef.h>

typedef struct hn_text_table {
    const char *path;
    size_t columns, rows;
    const char **names; /* [columns] */
    const char **cells; /* [rows * columns]; never NULL */
} hn_text_table;

/* `from` may end in "#layer" to name one of several sheets. Everything lies in
 * `arena`. Errors: HN_ERR_INPUT when the file or layer cannot be opened. */
HN_MUST_CHECK hn_status hn_text_table_read(const char *from, hn_arena *arena, hn_text_table *out,
                                           hn_error *err);
/* Column number, or SIZE_MAX. */
size_t hn_text_table_column(const hn_text_table *table, const char *name);

#endif
