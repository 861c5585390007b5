/* write/page_block.h - the pages of some consecutive rows of one table.
 *
 * Leaf pages and overflow pages lie in one buffer in the order in which they
 * are begun and point to each other by their place in it. When it is known
 * where in the file they go, hn_page_block_settle turns places into page
 * numbers. So blocks can be filled at the same time, and the file still does
 * not tell by how many threads.
 * Source: SQLite documentation, "Database File Format", parts 1.6 (b-tree
 * pages) and 1.7 (overflow pages), from memory.
 */
#ifndef HN_WRITE_PAGE_BLOCK_H
#define HN_WRITE_PAGE_BLOCK_H

#include <stddef.h>
#include <stdint.h>

enum { HN_PAGE_MOST_RECORD = 1000000000 }; /* bytes; SQLite's own limit for a row */

/* A finished page of the tree and the largest rowid below it. */
typedef struct hn_page_entry {
    uint32_t page; /* place in the block, then number in the file */
    int64_t last_rowid;
} hn_page_entry;

/* Pages from `first` on, without the one that SQLite keeps for its locks. */
typedef struct hn_page_range {
    uint32_t first, lock_page;
} hn_page_range;

static inline uint32_t hn_page_number(const hn_page_range *range, uint32_t place)
{
    const uint32_t page = range->first + place;

    return range->first <= range->lock_page && page >= range->lock_page ? page + 1 : page;
}

typedef struct hn_page_block {
    size_t page_bytes;
    unsigned char *pages;
    size_t page_count, page_room;
    hn_page_entry *leaves;
    size_t leaf_count, leaf_room;
    size_t *links; /* bytes of `pages` that hold a place */
    size_t link_count, link_room;
    int has_open_leaf; /* the last of `leaves` takes more rows */
    unsigned cells;
    size_t content; /* where the open leaf's rows begin */
} hn_page_block;

/* Nothing is allocated yet. Bytes of a page: 512 to 65,536, all usable. */
void hn_page_block_init(hn_page_block *block, size_t page_bytes);
void hn_page_block_clear(hn_page_block *block);
/* Empties the block for other rows. */
void hn_page_block_reset(hn_page_block *block);

/* Adds a row with a record of `count` bytes, at most HN_PAGE_MOST_RECORD;
 * rowids go up. 0 when out of memory. */
int hn_page_block_add(hn_page_block *block, int64_t rowid, const unsigned char *record,
                      size_t count);
/* No more rows into the open leaf. */
void hn_page_block_end_leaf(hn_page_block *block);
/* Gives the pages their numbers; only once, and after the last leaf is ended. */
void hn_page_block_settle(hn_page_block *block, const hn_page_range *range);
/* The same for a block of one leaf that goes elsewhere: the pages behind it
 * take the range. */
void hn_page_block_settle_behind_first(hn_page_block *block, const hn_page_range *range);

#endif
