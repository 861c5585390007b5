#include "write/csv_file.h"

#include "base/alloc.h"
#include "base/parallel.h"
#include "write/block_turn.h"
#include "write/cell_guard.h"
#include "write/output_file.h"

#include <math.h>
#include <stdio.h>

enum { MOST_THREADS = 64, PIECE_BYTES = 4 << 20, FIRST_BYTES = 1 << 16 };

static int needs_quotes(const char *text)
{
    return text[strcspn(text, ",\"\r\n")] != '\0';
}

static void put_quoted(hn_out *out, const char *text)
{
    hn_put_char(out, '"');
    if (hn_cell_is_risky(text))
        hn_put_char(out, '\'');
    for (; *text; text++) {
        if (*text == '"')
            hn_put_char(out, '"');
        hn_put_char(out, *text);
    }
    hn_put_char(out, '"');
}

static void put_cell_text(hn_out *out, const char *text)
{
    if (needs_quotes(text)) {
        put_quoted(out, text);
        return;
    }
    if (hn_cell_is_risky(text))
        hn_put_char(out, '\'');
    hn_put_text(out, text);
}

static void put_cell(hn_out *out, const hn_view_column *column, const hn_cell *cell)
{
    if (cell->is_null)
        return;
    switch (column->kind) {
    case HN_VIEW_TEXT:
        put_cell_text(out, cell->text);
        break;
    case HN_VIEW_INT:
        hn_put_int(out, cell->i);
        break;
    case HN_VIEW_REAL:
        if (isfinite(cell->r))
            hn_put_fixed(out, cell->r, column->decimals);
        break;
    case HN_VIEW_BOOL:
        hn_put_text(out, cell->i ? "true" : "false");
        break;
    case HN_VIEW_DATE:
        hn_put_date(out, cell->i);
        break;
    }
}

static void put_row(hn_out *out, const hn_view *view, const hn_cell *cells)
{
    for (size_t c = 0; c < view->column_count; c++) {
        if (c)
            hn_put_char(out, ',');
        put_cell(out, &view->columns[c], &cells[c]);
    }
    /* One empty cell would be an empty line, which readers skip. */
    if (view->column_count == 1 && cells[0].is_null)
        hn_put_text(out, "\"\"");
    hn_put_bytes(out, "\r\n", 2);
}

static void put_header(hn_out *out, const hn_view *view)
{
    for (size_t c = 0; c < view->column_count; c++) {
        if (c)
            hn_put_char(out, ',');
        put_cell_text(out, view->columns[c].name);
    }
    hn_put_bytes(out, "\r\n", 2);
}

/* What one thread works with. */
typedef struct worker {
    hn_cell *cells;
    hn_scratch scratch;
    hn_out text;
} worker;

typedef struct writing {
    const hn_output_file *file;
    const hn_view *view;
    hn_pace *pace;
    worker *workers;
    hn_block_turn turn;
    int64_t end_bytes; /* of the file; changed only by the block whose turn it is */
} writing;

/* Long rows: what is formatted so far goes to the file. The turn is kept until
 * the block is done. */
static hn_status put_text(writing *w, hn_out *text, hn_error *err)
{
    const int failure =
        text->error ? text->error
                    : hn_output_put_at(w->file->descriptor, text->data, text->used, w->end_bytes);

    w->end_bytes += (int64_t)text->used;
    text->used = 0;
    return failure ? hn_output_fail(err, w->file->path, failure) : HN_OK;
}

static hn_status put_block(writing *w, worker *me, size_t begin, size_t end, hn_error *err)
{
    const size_t number = begin / HN_PACE_ROWS;
    hn_status rc = HN_OK;

    me->text.used = 0;
    for (size_t row = begin; row < end; row++) {
        hn_scratch_reset(&me->scratch);
        w->view->row(w->view->context, row, me->cells, &me->scratch);
        put_row(&me->text, w->view, me->cells);
        if (me->text.used < PIECE_BYTES && row + 1 < end && !me->text.error)
            continue;
        if (!hn_block_turn_wait(&w->turn, number))
            return hn_fail(err, HN_ERR_OUTPUT, HN_PACE_STOPPED);
        HN_TRY(put_text(w, &me->text, err));
    }
    hn_block_turn_pass(&w->turn);
    HN_TRY(hn_pace_step(w->pace, end - begin, err));
out:
    return rc;
}

static void run_block(void *context, size_t begin, size_t end, int number)
{
    writing *w = context;
    hn_error error = {0};
    hn_status rc;

    if (hn_block_turn_has_failed(&w->turn))
        return;
    rc = put_block(w, &w->workers[number], begin, end, &error);
    if (rc != HN_OK)
        hn_block_turn_fail(&w->turn, rc, &error);
}

static hn_status start_worker(worker *me, const hn_view *view, hn_error *err)
{
    hn_status rc;

    me->cells = hn_alloc(view->column_count, sizeof *me->cells);
    HN_TRY_ALLOC(me->cells);
    HN_TRY(hn_scratch_init(&me->scratch, err));
    if (!hn_out_init(&me->text, FIRST_BYTES, NULL, NULL))
        rc = hn_fail(err, HN_ERR_MEMORY, "out of memory");
out:
    return rc;
}

static void stop_worker(worker *me)
{
    hn_out_clear(&me->text);
    hn_scratch_clear(&me->scratch);
    hn_free(me->cells);
}

static int useful_threads(const hn_view *view, int threads)
{
    const size_t blocks = (view->rows + HN_PACE_ROWS - 1) / HN_PACE_ROWS;

    if (threads > MOST_THREADS)
        threads = MOST_THREADS;
    if (threads > 0 && (size_t)threads > blocks)
        threads = (int)blocks;
    return threads < 1 ? 1 : threads;
}

/* Blocks of rows are formatted by several threads and written in order. */
static hn_status write_rows(hn_output_file *file, const hn_view *view, int threads, hn_pace *pace,
                            hn_error *err)
{
    writing w = {.file = file, .view = view, .pace = pace, .end_bytes = (int64_t)file->out.used};
    hn_status rc;

    threads = useful_threads(view, threads);
    hn_block_turn_init(&w.turn);
    if (hn_out_flush(&file->out))
        HN_TRY(hn_output_fail(err, file->path, file->out.error));
    w.workers = hn_alloc((size_t)threads, sizeof *w.workers);
    HN_TRY_ALLOC(w.workers);
    for (int i = 0; i < threads; i++)
        HN_TRY(start_worker(&w.workers[i], view, err));
    hn_parallel_blocks(threads, view->rows, HN_PACE_ROWS, run_block, &w);
    rc = hn_block_turn_outcome(&w.turn, err);
out:
    for (int i = 0; w.workers && i < threads; i++)
        stop_worker(&w.workers[i]);
    hn_free(w.workers);
    hn_block_turn_clear(&w.turn);
    return rc;
}

static const char *type_name(hn_view_kind kind)
{
    switch (kind) {
    case HN_VIEW_INT:
        return "\"Integer64\"";
    case HN_VIEW_REAL:
        return "\"Real\"";
    case HN_VIEW_BOOL:
        return "\"Integer(Boolean)\"";
    case HN_VIEW_DATE:
        return "\"Date\"";
    case HN_VIEW_TEXT:
        break;
    }
    return "\"String\"";
}

static hn_status write_types(const char *csv_path, const hn_view *view, hn_error *err)
{
    hn_status rc;
    hn_output_file file = {0};
    size_t size = strlen(csv_path) + 2;
    char *path = hn_alloc(size, 1);

    HN_TRY_ALLOC(path);
    snprintf(path, size, "%st", csv_path);
    HN_TRY(hn_output_open(&file, path, err));
    for (size_t c = 0; c < view->column_count; c++) {
        if (c)
            hn_put_char(&file.out, ',');
        hn_put_text(&file.out, type_name(view->columns[c].kind));
    }
    hn_put_bytes(&file.out, "\r\n", 2);
    rc = hn_output_close(&file, err);
out:
    hn_free(path);
    return rc;
}

hn_status hn_csv_write(const char *path, const hn_view *view, int threads, hn_pace *pace,
                       hn_error *err)
{
    hn_output_file file;
    hn_status rc = hn_output_open(&file, path, err);

    if (rc != HN_OK)
        return rc;
    put_header(&file.out, view);
    rc = write_rows(&file, view, threads, pace, err);
    if (rc != HN_OK)
        hn_output_discard(&file);
    else
        rc = hn_output_close(&file, err);
    return rc == HN_OK ? write_types(path, view, err) : rc;
}
