/* write/page_tree.h - the interior pages above a table's leaves. */
#ifndef HN_WRITE_PAGE_TREE_H
#define HN_WRITE_PAGE_TREE_H

#include "write/page_file.h"

/* The pages of one level, in the order of their rows. */
typedef struct hn_page_tree {
    hn_page_entry *entries;
    size_t count, room;
} hn_page_tree;

/* Adds leaves behind those before. 0 when out of memory. */
int hn_page_tree_add(hn_page_tree *tree, const hn_page_entry *leaves, size_t count);

/* Writes all levels above two leaves or more; the topmost goes into the page
 * `root`. Children are shared out evenly, so every page has two or more.
 * Source: SQLite documentation, "Database File Format", part 1.6, from memory. */
HN_MUST_CHECK hn_status hn_page_tree_put(hn_page_tree *tree, hn_page_file *file, uint32_t root,
                                         hn_error *err);
void hn_page_tree_clear(hn_page_tree *tree);

#endif
