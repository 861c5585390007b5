/* write/page_layer.c - the rows of a view as records. */
#include "write/page_layer.h"

#include "base/alloc.h"
#include "write/text_out.h"

#include <math.h>

/* What one thread needs. */
typedef struct row_room {
    hn_cell *cells;
    hn_scratch scratch;
    hn_blob blob;
} row_room;

static void free_room(void *handle)
{
    row_room *room = handle;

    if (!room)
        return;
    hn_blob_clear(&room->blob);
    hn_scratch_clear(&room->scratch);
    hn_free(room->cells);
    hn_free(room);
}

static hn_status make_room(const void *context, void **handle, hn_error *err)
{
    const hn_gpkg_layer *layer = context;
    row_room *room = hn_alloc(1, sizeof *room);
    hn_status rc;

    *handle = room;
    HN_TRY_ALLOC(room);
    room->cells = hn_alloc(layer->view->column_count, sizeof *room->cells);
    HN_TRY_ALLOC(room->cells);
    rc = hn_scratch_init(&room->scratch, err);
out:
    return rc;
}

static void put_date(hn_page_record *record, int64_t days)
{
    char date[HN_DATE_DIGITS];

    hn_record_text(record, date, hn_date_digits(days, date));
}

static void put_cell(hn_page_record *record, hn_view_kind kind, const hn_cell *cell)
{
    if (cell->is_null) {
        hn_record_null(record);
        return;
    }
    switch (kind) {
    case HN_VIEW_TEXT:
        hn_record_text(record, cell->text, strlen(cell->text));
        break;
    case HN_VIEW_INT:
        hn_record_int(record, cell->i);
        break;
    case HN_VIEW_BOOL:
        hn_record_int(record, cell->i != 0);
        break;
    case HN_VIEW_DATE:
        put_date(record, cell->i);
        break;
    case HN_VIEW_REAL:
        if (isfinite(cell->r))
            hn_record_real(record, cell->r);
        else
            hn_record_null(record);
        break;
    }
}

static int put_shape(const hn_gpkg_layer *layer, row_room *room, size_t row, hn_page_record *record)
{
    const hn_view *view = layer->view;
    hn_shape_ref shape = {0};

    if (isnan(layer->survey.boxes[row].min_x)) {
        hn_record_null(record);
        return 1;
    }
    view->shape(view->context, row, &shape, &room->scratch);
    if (!hn_shape_blob(&room->blob, &shape, layer->survey.type, layer->srs_id))
        return 0;
    hn_record_blob(record, room->blob.bytes, room->blob.used);
    return 1;
}

/* The fid is the rowid itself, so the record holds a null in its place. */
static hn_status put_row(const void *context, void *handle, size_t row, hn_page_record *record,
                         int64_t *rowid, hn_error *err)
{
    const hn_gpkg_layer *layer = context;
    const hn_view *view = layer->view;
    row_room *room = handle;

    *rowid = (int64_t)row + 1;
    hn_scratch_reset(&room->scratch);
    view->row(view->context, row, room->cells, &room->scratch);
    hn_record_null(record);
    if (hn_gpkg_has_geometry(layer) && !put_shape(layer, room, row, record))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t c = 0; c < view->column_count; c++)
        put_cell(record, view->columns[c].kind, &room->cells[c]);
    return HN_OK;
}

hn_status hn_page_layer_rows(hn_page_file *file, const hn_gpkg_layer *layer,
                             const hn_page_plan *plan, int threads, hn_pace *pace, hn_error *err)
{
    const hn_page_source source = {.context = layer,
                                   .rows = layer->view->rows,
                                   .values = layer->view->column_count + 2,
                                   .make_room = make_room,
                                   .free_room = free_room,
                                   .put = put_row};

    return hn_page_table_fill(file, plan->rows, &source, threads, pace, err);
}
