#include "write/page_tree.h"

#include "base/alloc.h"
#include "write/page_bytes.h"

#include <string.h>

enum { INTERIOR_TYPE = 0x05, INTERIOR_HEAD = 12, AT_RIGHTMOST = 8, POINTER = 2, LINK = 4 };

int hn_page_tree_add(hn_page_tree *tree, const hn_page_entry *leaves, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (!hn_grow((void **)&tree->entries, tree->count, &tree->room, sizeof *tree->entries))
            return 0;
        tree->entries[tree->count++] = leaves[i];
    }
    return 1;
}

void hn_page_tree_clear(hn_page_tree *tree)
{
    hn_free(tree->entries);
    *tree = (hn_page_tree){0};
}

/* A page that leads to these children: a cell with its largest rowid for each
 * but the last. */
static void build_page(const hn_page_entry *children, size_t count, unsigned char *page,
                       size_t page_bytes)
{
    size_t content = page_bytes;

    memset(page, 0, page_bytes);
    for (size_t i = 0; i + 1 < count; i++) {
        const uint64_t key = (uint64_t)children[i].last_rowid;
        unsigned char *at;

        content -= LINK + hn_varint_size(key);
        hn_put_big_endian(page + INTERIOR_HEAD + POINTER * i, content, 2);
        at = hn_put_big_endian(page + content, children[i].page, LINK);
        hn_put_varint(at, key);
    }
    page[0] = INTERIOR_TYPE;
    hn_put_big_endian(page + 3, count - 1, 2);
    hn_put_big_endian(page + 5, content, 2);
    hn_put_big_endian(page + AT_RIGHTMOST, children[count - 1].page, LINK);
}

/* Children that fit into a page whatever the rowids are. */
static size_t most_children(const hn_page_tree *tree, size_t page_bytes)
{
    const uint64_t largest = (uint64_t)tree->entries[tree->count - 1].last_rowid;

    return (page_bytes - INTERIOR_HEAD) / (POINTER + LINK + hn_varint_size(largest)) + 1;
}

/* Puts one level above the entries and makes it the entries: page k never
 * comes before child k, so nothing is overwritten that is still needed. */
static hn_status put_level(hn_page_tree *tree, size_t most, hn_page_file *file, uint32_t root,
                           unsigned char *page, hn_error *err)
{
    const size_t items = tree->count, pages = (items + most - 1) / most;
    hn_page_range range = {0};
    hn_status rc = HN_OK;

    if (pages > 1)
        HN_TRY(hn_page_file_take(file, pages, &range, err));
    for (size_t k = 0; k < pages; k++) {
        const size_t begin = k * items / pages, end = (k + 1) * items / pages;
        const uint32_t number = pages > 1 ? hn_page_number(&range, (uint32_t)k) : root;

        build_page(tree->entries + begin, end - begin, page, file->page_bytes);
        HN_TRY(hn_page_file_put_page(file, number, page, err));
        tree->entries[k] = (hn_page_entry){number, tree->entries[end - 1].last_rowid};
    }
    tree->count = pages;
out:
    return rc;
}

hn_status hn_page_tree_put(hn_page_tree *tree, hn_page_file *file, uint32_t root, hn_error *err)
{
    const size_t most = most_children(tree, file->page_bytes);
    unsigned char *page = hn_alloc(file->page_bytes, 1);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(page);
    do
        HN_TRY(put_level(tree, most, file, root, page, err));
    while (tree->count > 1);
out:
    hn_free(page);
    return rc;
}
