/* write/page_file.h - a closed SQLite database file that pages are added to.
 *
 * Only for a file that nobody else has open. Page numbers are taken first and
 * written later; the header is brought up to date at the end.
 * Source: SQLite documentation, "Database File Format", parts 1.3 (header) and
 * 1.4 (lock-byte page), from memory.
 */
#ifndef HN_WRITE_PAGE_FILE_H
#define HN_WRITE_PAGE_FILE_H

#include "base/status.h"
#include "write/page_block.h"

enum { HN_PAGE_FILE_HEAD = 100 };

typedef struct hn_page_file {
    const char *path; /* borrowed */
    int descriptor;   /* -1: not open */
    size_t page_bytes;
    uint32_t pages; /* taken so far, the lock page counted */
    uint32_t lock_page;
    unsigned char head[HN_PAGE_FILE_HEAD];
} hn_page_file;

/* 1 when pages can be added to a file with this header of 100 bytes: UTF-8,
 * schema format 4, rollback journal, no reserved bytes, no auto-vacuum, no
 * free pages, and a page count that holds. */
int hn_page_head_fits(const unsigned char head[HN_PAGE_FILE_HEAD]);
/* 1 when the file at `path` can be read and its header fits. */
int hn_page_file_fits(const char *path);

/* HN_ERR_OUTPUT when it cannot be opened, HN_ERR_INTERNAL when the header does
 * not fit. */
HN_MUST_CHECK hn_status hn_page_file_open(hn_page_file *file, const char *path, hn_error *err);
/* Numbers for `count` more pages; HN_ERR_OUTPUT beyond 2^30 pages. One thread
 * at a time. */
HN_MUST_CHECK hn_status hn_page_file_take(hn_page_file *file, size_t count, hn_page_range *range,
                                          hn_error *err);
/* Writes the first `count` pages of a range. Safe in several threads. */
HN_MUST_CHECK hn_status hn_page_file_put(const hn_page_file *file, const hn_page_range *range,
                                         const unsigned char *pages, size_t count, hn_error *err);
/* Writes one page by its number. */
HN_MUST_CHECK hn_status hn_page_file_put_page(const hn_page_file *file, uint32_t page,
                                              const unsigned char *bytes, hn_error *err);
/* HN_ERR_INTERNAL unless the page is the leaf of a table without rows. */
HN_MUST_CHECK hn_status hn_page_file_expect_empty(const hn_page_file *file, uint32_t page,
                                                  hn_error *err);
/* Brings the header up to date, syncs and closes. */
HN_MUST_CHECK hn_status hn_page_file_close(hn_page_file *file, hn_error *err);
/* Closes after a failure; safe on a closed file. */
void hn_page_file_discard(hn_page_file *file);

/* Test hook: where the lock byte is (0: at 2^30, as in every real file). */
void hn_page_file_lock_byte(uint32_t offset_bytes);

#endif
