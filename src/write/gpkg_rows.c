/* write/gpkg_rows.c - rows go in by one prepared INSERT. */
#include "write/gpkg_layer.h"

#include "base/alloc.h"
#include "write/text_out.h"

#include <math.h>

/* Everything one row needs; the dates live until the row is stepped. */
typedef struct row_room {
    hn_cell *cells;
    char (*dates)[HN_DATE_DIGITS];
    hn_scratch scratch;
    hn_blob blob;
    sqlite3_stmt *insert;
} row_room;

static hn_status prepare_insert(sqlite3 *db, const hn_gpkg_layer *layer, sqlite3_stmt **insert,
                                hn_error *err)
{
    const hn_view *view = layer->view;
    const size_t values = view->column_count + 1 + hn_gpkg_has_geometry(layer);
    sqlite3_str *sql = sqlite3_str_new(db);
    char *text;
    hn_status rc;

    sqlite3_str_appendf(sql, "INSERT INTO \"%w\" (\"%w\"", view->name, layer->fid_name);
    if (hn_gpkg_has_geometry(layer))
        sqlite3_str_appendf(sql, ",\"%w\"", layer->geometry_name);
    for (size_t c = 0; c < view->column_count; c++)
        sqlite3_str_appendf(sql, ",\"%w\"", view->columns[c].name);
    sqlite3_str_appendall(sql, ") VALUES (?");
    for (size_t v = 1; v < values; v++)
        sqlite3_str_appendall(sql, ",?");
    sqlite3_str_appendchar(sql, 1, ')');
    text = sqlite3_str_finish(sql);
    if (!text)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    rc = hn_sql_prepare(db, insert, err, "%s", text);
    sqlite3_free(text);
    return rc;
}

static void bind_cell(sqlite3_stmt *insert, int at, hn_view_kind kind, const hn_cell *cell,
                      char date[HN_DATE_DIGITS])
{
    if (cell->is_null) {
        sqlite3_bind_null(insert, at);
        return;
    }
    switch (kind) {
    case HN_VIEW_TEXT:
        sqlite3_bind_text(insert, at, cell->text, -1, SQLITE_STATIC);
        break;
    case HN_VIEW_INT:
        sqlite3_bind_int64(insert, at, cell->i);
        break;
    case HN_VIEW_BOOL:
        sqlite3_bind_int(insert, at, cell->i != 0);
        break;
    case HN_VIEW_DATE:
        sqlite3_bind_text(insert, at, date, (int)hn_date_digits(cell->i, date), SQLITE_STATIC);
        break;
    case HN_VIEW_REAL:
        if (isfinite(cell->r))
            sqlite3_bind_double(insert, at, cell->r);
        else
            sqlite3_bind_null(insert, at);
        break;
    }
}

static hn_status bind_shape(const hn_gpkg_layer *layer, size_t row, row_room *room, hn_error *err)
{
    const hn_view *view = layer->view;
    hn_shape_ref shape = {0};

    if (isnan(layer->survey.boxes[row].min_x)) {
        sqlite3_bind_null(room->insert, 2);
        return HN_OK;
    }
    view->shape(view->context, row, &shape, &room->scratch);
    if (!hn_shape_blob(&room->blob, &shape, layer->survey.type, layer->srs_id))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    sqlite3_bind_blob64(room->insert, 2, room->blob.bytes, room->blob.used, SQLITE_STATIC);
    return HN_OK;
}

static hn_status put_row(sqlite3 *db, const hn_gpkg_layer *layer, size_t row, row_room *room,
                         hn_error *err)
{
    const hn_view *view = layer->view;
    const int first = 2 + hn_gpkg_has_geometry(layer);
    hn_status rc = HN_OK;

    hn_scratch_reset(&room->scratch);
    view->row(view->context, row, room->cells, &room->scratch);
    sqlite3_bind_int64(room->insert, 1, (sqlite3_int64)row + 1);
    for (size_t c = 0; c < view->column_count; c++)
        bind_cell(room->insert, first + (int)c, view->columns[c].kind, &room->cells[c],
                  room->dates[c]);
    if (hn_gpkg_has_geometry(layer))
        rc = bind_shape(layer, row, room, err);
    return rc == HN_OK ? hn_sql_step(db, room->insert, err) : rc;
}

hn_status hn_gpkg_rows(sqlite3 *db, const hn_gpkg_layer *layer, hn_pace *pace, hn_error *err)
{
    const hn_view *view = layer->view;
    row_room room = {0};
    hn_status rc;

    room.cells = hn_alloc(view->column_count, sizeof *room.cells);
    HN_TRY_ALLOC(room.cells);
    room.dates = hn_alloc(view->column_count, sizeof *room.dates);
    HN_TRY_ALLOC(room.dates);
    HN_TRY(hn_scratch_init(&room.scratch, err));
    HN_TRY(prepare_insert(db, layer, &room.insert, err));
    for (size_t row = 0; row < view->rows; row++) {
        HN_TRY(put_row(db, layer, row, &room, err));
        if (hn_pace_is_due(row))
            HN_TRY(hn_pace_step(pace, HN_PACE_ROWS, err));
    }
    rc = hn_pace_step(pace, view->rows % HN_PACE_ROWS, err);
out:
    sqlite3_finalize(room.insert);
    hn_blob_clear(&room.blob);
    hn_scratch_clear(&room.scratch);
    hn_free(room.dates);
    hn_free(room.cells);
    return rc;
}
