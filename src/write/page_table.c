#include "write/page_table.h"

#include "base/alloc.h"
#include "base/parallel.h"
#include "write/block_turn.h"
#include "write/page_bytes.h"
#include "write/page_tree.h"

enum { BLOCK_ROWS = HN_PACE_ROWS, MOST_THREADS = 64, PIECE_BYTES = 8 << 20 };

/* What one thread works with. */
typedef struct worker {
    hn_page_record record;
    hn_page_block block;
    void *room; /* the source's */
} worker;

typedef struct filling {
    hn_page_file *file;
    uint32_t root;
    const hn_page_source *source;
    hn_pace *pace;
    worker *workers;
    hn_block_turn turn;
    hn_page_tree tree; /* changed only by the block whose turn it is */
} filling;

/* Only while it is the block's turn. */
static hn_status number_pages(filling *f, hn_page_block *block, hn_page_range *range, hn_error *err)
{
    hn_status rc;

    hn_page_block_end_leaf(block);
    HN_TRY(hn_page_file_take(f->file, block->page_count, range, err));
    hn_page_block_settle(block, range);
    if (!hn_page_tree_add(&f->tree, block->leaves, block->leaf_count))
        rc = hn_fail(err, HN_ERR_MEMORY, "out of memory");
out:
    return rc;
}

/* Long rows: what is made so far goes to the file, so that memory stays small.
 * The turn is kept until the block is done. */
static hn_status put_piece(filling *f, size_t number, hn_page_block *block, hn_error *err)
{
    hn_page_range range;
    hn_status rc = HN_OK;

    if (!hn_block_turn_wait(&f->turn, number))
        return hn_fail(err, HN_ERR_OUTPUT, HN_PACE_STOPPED);
    HN_TRY(number_pages(f, block, &range, err));
    HN_TRY(hn_page_file_put(f->file, &range, block->pages, block->page_count, err));
    hn_page_block_reset(block);
out:
    return rc;
}

static hn_status put_row(filling *f, worker *w, size_t number, size_t row, hn_error *err)
{
    const hn_page_source *source = f->source;
    const unsigned char *bytes;
    int64_t rowid = 0;
    size_t count = 0;
    hn_status rc;

    hn_page_record_begin(&w->record);
    HN_TRY(source->put(source->context, w->room, row, &w->record, &rowid, err));
    bytes = hn_page_record_end(&w->record, &count);
    HN_TRY_ALLOC(bytes);
    if (count > HN_PAGE_MOST_RECORD)
        HN_TRY(hn_fail(err, HN_ERR_OUTPUT, "cannot write %s: row %zu is longer than 1 GB",
                       f->file->path, row + 1));
    if (w->block.page_count * w->block.page_bytes >= PIECE_BYTES)
        HN_TRY(put_piece(f, number, &w->block, err));
    if (!hn_page_block_add(&w->block, rowid, bytes, count))
        rc = hn_fail(err, HN_ERR_MEMORY, "out of memory");
out:
    return rc;
}

/* A table of one leaf is that leaf, so it lies in the root page and what it
 * has of overflow behind the file. */
static hn_status put_only_leaf(filling *f, hn_page_block *block, hn_error *err)
{
    hn_page_range range;
    hn_status rc;

    hn_page_block_end_leaf(block);
    HN_TRY(hn_page_file_take(f->file, block->page_count - 1, &range, err));
    hn_page_block_settle_behind_first(block, &range);
    HN_TRY(hn_page_file_put(f->file, &range, block->pages + block->page_bytes,
                            block->page_count - 1, err));
    HN_TRY(hn_page_file_put_page(f->file, f->root, block->pages, err));
out:
    return rc;
}

static hn_status put_block(filling *f, worker *w, size_t begin, size_t end, hn_error *err)
{
    const size_t number = begin / BLOCK_ROWS;
    hn_page_range range;
    hn_status rc = HN_OK;

    hn_page_block_reset(&w->block);
    for (size_t row = begin; row < end; row++)
        HN_TRY(put_row(f, w, number, row, err));
    if (!hn_block_turn_wait(&f->turn, number))
        HN_TRY(hn_fail(err, HN_ERR_OUTPUT, HN_PACE_STOPPED));
    if (end == f->source->rows && f->tree.count == 0 && w->block.leaf_count == 1) {
        HN_TRY(put_only_leaf(f, &w->block, err));
    } else {
        HN_TRY(number_pages(f, &w->block, &range, err));
        hn_block_turn_pass(&f->turn);
        HN_TRY(hn_page_file_put(f->file, &range, w->block.pages, w->block.page_count, err));
    }
    if (f->pace)
        HN_TRY(hn_pace_step(f->pace, end - begin, err));
out:
    return rc;
}

static void run_block(void *context, size_t begin, size_t end, int number)
{
    filling *f = context;
    hn_error error = {0};
    hn_status rc;

    if (hn_block_turn_has_failed(&f->turn))
        return;
    rc = put_block(f, &f->workers[number], begin, end, &error);
    if (rc != HN_OK)
        hn_block_turn_fail(&f->turn, rc, &error);
}

static hn_status start_worker(const filling *f, worker *w, hn_error *err)
{
    const hn_page_source *source = f->source;

    hn_page_block_init(&w->block, f->file->page_bytes);
    if (!hn_page_record_init(&w->record, source->values))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    return source->make_room ? source->make_room(source->context, &w->room, err) : HN_OK;
}

static void stop_worker(const filling *f, worker *w)
{
    hn_page_block_clear(&w->block);
    hn_page_record_clear(&w->record);
    if (f->source->free_room)
        f->source->free_room(w->room);
}

static int useful_threads(const hn_page_source *source, int threads)
{
    const size_t blocks = (source->rows + BLOCK_ROWS - 1) / BLOCK_ROWS;

    if (threads > MOST_THREADS)
        threads = MOST_THREADS;
    if (threads > 0 && (size_t)threads > blocks)
        threads = (int)blocks;
    return threads < 1 ? 1 : threads;
}

hn_status hn_page_table_fill(hn_page_file *file, uint32_t root, const hn_page_source *source,
                             int threads, hn_pace *pace, hn_error *err)
{
    filling f = {.file = file, .root = root, .source = source, .pace = pace};
    hn_status rc;

    if (source->rows == 0) /* an empty table is an empty leaf already */
        return HN_OK;
    threads = useful_threads(source, threads);
    hn_block_turn_init(&f.turn);
    HN_TRY(hn_page_file_expect_empty(file, root, err));
    f.workers = hn_alloc((size_t)threads, sizeof *f.workers);
    HN_TRY_ALLOC(f.workers);
    for (int i = 0; i < threads; i++)
        HN_TRY(start_worker(&f, &f.workers[i], err));
    hn_parallel_blocks(threads, source->rows, BLOCK_ROWS, run_block, &f);
    HN_TRY(hn_block_turn_outcome(&f.turn, err));
    if (f.tree.count)
        HN_TRY(hn_page_tree_put(&f.tree, file, root, err));
out:
    for (int i = 0; f.workers && i < threads; i++)
        stop_worker(&f, &f.workers[i]);
    hn_free(f.workers);
    hn_page_tree_clear(&f.tree);
    hn_block_turn_clear(&f.turn);
    return rc;
}
