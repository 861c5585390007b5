#include "write/csv_file.h"

#include "base/alloc.h"
#include "write/cell_guard.h"
#include "write/output_file.h"

#include <math.h>
#include <stdio.h>

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

static hn_status write_rows(hn_output_file *file, const hn_view *view, hn_pace *pace, hn_error *err)
{
    hn_status rc = HN_OK;
    hn_scratch scratch;
    hn_cell *cells = hn_alloc(view->column_count, sizeof *cells);

    HN_TRY_ALLOC(cells);
    HN_TRY(hn_scratch_init(&scratch, err));
    for (size_t row = 0; row < view->rows && rc == HN_OK; row++) {
        hn_scratch_reset(&scratch);
        view->row(view->context, row, cells, &scratch);
        put_row(&file->out, view, cells);
        if (hn_output_is_bad(file))
            rc = hn_output_fail(err, file->path, file->out.error);
        else if (hn_pace_is_due(row))
            rc = hn_pace_step(pace, HN_PACE_ROWS, err);
    }
    hn_scratch_clear(&scratch);
out:
    hn_free(cells);
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

hn_status hn_csv_write(const char *path, const hn_view *view, hn_pace *pace, hn_error *err)
{
    hn_output_file file;
    hn_status rc = hn_output_open(&file, path, err);

    if (rc != HN_OK)
        return rc;
    put_header(&file.out, view);
    rc = write_rows(&file, view, pace, err);
    if (rc != HN_OK)
        hn_output_discard(&file);
    else
        rc = hn_output_close(&file, err);
    return rc == HN_OK ? write_types(path, view, err) : rc;
}
