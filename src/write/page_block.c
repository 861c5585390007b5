#include "write/page_block.h"

#include "base/alloc.h"
#include "write/page_bytes.h"

#include <string.h>

enum { LEAF_TYPE = 0x0d, LEAF_HEAD = 8, POINTER = 2, LINK = 4 };

void hn_page_block_init(hn_page_block *block, size_t page_bytes)
{
    *block = (hn_page_block){.page_bytes = page_bytes};
}

void hn_page_block_clear(hn_page_block *block)
{
    hn_free(block->pages);
    hn_free(block->leaves);
    hn_free(block->links);
    hn_page_block_init(block, block->page_bytes);
}

void hn_page_block_reset(hn_page_block *block)
{
    block->page_count = block->leaf_count = block->link_count = 0;
    block->has_open_leaf = 0;
}

/* Bytes of a record that stay in the leaf. */
static size_t local_bytes(size_t page_bytes, size_t count)
{
    const size_t most = page_bytes - 35, least = (page_bytes - 12) * 32 / 255 - 23;
    size_t kept;

    if (count <= most)
        return count;
    kept = least + (count - least) % (page_bytes - LINK);
    return kept <= most ? kept : least;
}

/* One more page of any content; 0 when out of memory. */
static int add_page(hn_page_block *block)
{
    if (!hn_grow((void **)&block->pages, block->page_count, &block->page_room, block->page_bytes))
        return 0;
    block->page_count++;
    return 1;
}

static int add_link(hn_page_block *block, size_t at, size_t place)
{
    if (!hn_grow((void **)&block->links, block->link_count, &block->link_room,
                 sizeof *block->links))
        return 0;
    block->links[block->link_count++] = at;
    hn_put_big_endian(block->pages + at, place, LINK);
    return 1;
}

static unsigned char *open_leaf(const hn_page_block *block)
{
    return block->pages + block->leaves[block->leaf_count - 1].page * block->page_bytes;
}

static int begin_leaf(hn_page_block *block)
{
    if (!hn_grow((void **)&block->leaves, block->leaf_count, &block->leaf_room,
                 sizeof *block->leaves) ||
        !add_page(block))
        return 0;
    block->leaves[block->leaf_count++].page = (uint32_t)(block->page_count - 1);
    block->has_open_leaf = 1;
    block->cells = 0;
    block->content = block->page_bytes;
    return 1;
}

void hn_page_block_end_leaf(hn_page_block *block)
{
    const size_t pointers_end = LEAF_HEAD + POINTER * (size_t)block->cells;
    unsigned char *leaf;

    if (!block->has_open_leaf)
        return;
    leaf = open_leaf(block);
    memset(leaf, 0, LEAF_HEAD);
    leaf[0] = LEAF_TYPE;
    hn_put_big_endian(leaf + 3, block->cells, 2);
    hn_put_big_endian(leaf + 5, block->content, 2);
    memset(leaf + pointers_end, 0, block->content - pointers_end);
    block->has_open_leaf = 0;
}

/* What does not fit into the leaf, in a chain of pages of its own. */
static int add_overflow(hn_page_block *block, size_t link, const unsigned char *rest, size_t count)
{
    const size_t most = block->page_bytes - LINK;

    while (count) {
        const size_t taken = count < most ? count : most, page = block->page_count;
        unsigned char *at;

        if (!add_page(block) || !add_link(block, link, page))
            return 0;
        link = page * block->page_bytes;
        at = hn_put_big_endian(block->pages + link, 0, LINK);
        memcpy(at, rest, taken);
        memset(at + taken, 0, most - taken);
        rest += taken;
        count -= taken;
    }
    return 1;
}

static int has_room(const hn_page_block *block, size_t bytes)
{
    return block->has_open_leaf &&
           LEAF_HEAD + POINTER * ((size_t)block->cells + 1) + bytes <= block->content;
}

int hn_page_block_add(hn_page_block *block, int64_t rowid, const unsigned char *record,
                      size_t count)
{
    const size_t local = local_bytes(block->page_bytes, count);
    const size_t bytes = hn_varint_size(count) + hn_varint_size((uint64_t)rowid) + local +
                         (local < count ? LINK : 0);
    unsigned char *leaf, *at;

    if (!has_room(block, bytes)) {
        hn_page_block_end_leaf(block);
        if (!begin_leaf(block))
            return 0;
    }
    leaf = open_leaf(block);
    block->content -= bytes;
    hn_put_big_endian(leaf + LEAF_HEAD + POINTER * (size_t)block->cells++, block->content, 2);
    at = hn_put_varint(leaf + block->content, count);
    at = hn_put_varint(at, (uint64_t)rowid);
    memcpy(at, record, local);
    block->leaves[block->leaf_count - 1].last_rowid = rowid;
    return add_overflow(block, (size_t)(at + local - block->pages), record + local, count - local);
}

/* Pages before `left_out` have no number of the range. */
static void settle_links(hn_page_block *block, const hn_page_range *range, uint32_t left_out)
{
    for (size_t i = 0; i < block->link_count; i++) {
        unsigned char *at = block->pages + block->links[i];
        const uint32_t place = hn_get_big_endian(at, LINK) - left_out;

        hn_put_big_endian(at, hn_page_number(range, place), LINK);
    }
}

void hn_page_block_settle(hn_page_block *block, const hn_page_range *range)
{
    settle_links(block, range, 0);
    for (size_t i = 0; i < block->leaf_count; i++)
        block->leaves[i].page = hn_page_number(range, block->leaves[i].page);
}

void hn_page_block_settle_behind_first(hn_page_block *block, const hn_page_range *range)
{
    settle_links(block, range, 1);
}
