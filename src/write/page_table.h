/* write/page_table.h - all rows of one table as b-tree pages.
 *
 * Blocks of rows are made by several threads and numbered in the order of the
 * rows; the interior pages come last, when all leaves are known.
 */
#ifndef HN_WRITE_PAGE_TABLE_H
#define HN_WRITE_PAGE_TABLE_H

#include "write/page_file.h"
#include "write/page_record.h"
#include "write/write_pace.h"

typedef struct hn_page_source {
    const void *context;
    size_t rows;
    size_t values; /* most values of a record */
    /* What one thread needs to make records; free_room takes NULL. Both may be
     * NULL when nothing is needed. */
    hn_status (*make_room)(const void *context, void **room, hn_error *err);
    void (*free_room)(void *room);
    /* Puts the values of a row into `record`, which is begun and ended by the
     * caller, and says its rowid; rowids go up. Safe in several threads. */
    hn_status (*put)(const void *context, void *room, size_t row, hn_page_record *record,
                     int64_t *rowid, hn_error *err);
} hn_page_source;

/* Fills the empty table with this root page. The same rows give the same
 * bytes, whatever the number of threads. `pace` may be NULL.
 * Memory: a few megabytes a thread and 16 bytes a page. */
HN_MUST_CHECK hn_status hn_page_table_fill(hn_page_file *file, uint32_t root,
                                           const hn_page_source *source, int threads, hn_pace *pace,
                                           hn_error *err);

#endif
