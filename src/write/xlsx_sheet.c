#include "write/xlsx_sheet.h"

#include "base/alloc.h"
#include "write/cell_guard.h"
#include "write/output_file.h"

#include <ctype.h>
#include <math.h>

enum {
    MOST_TEXT = 32000,    /* the format takes 32 767 characters */
    DAYS_TO_1970 = 25569, /* day number of 1970-01-01 */
    FIRST_SAFE_DAY = 61,  /* 1900-03-01: before it the format has a day too many */
    CUSTOM_FORMAT = 164,  /* lower numbers are the format's own */
    FORMAT_WHOLE = 1,     /* "0" */
    FORMAT_AS_TEXT = 49   /* "@" */
};
static const int64_t most_exact_int = 999999999999999; /* a cell keeps 15 digits */

void hn_xlsx_letters(size_t column, char out[HN_XLSX_LETTERS])
{
    char reversed[HN_XLSX_LETTERS];
    int count = 0;

    for (column++; column > 0 && count < HN_XLSX_LETTERS - 1; column = (column - 1) / 26)
        reversed[count++] = (char)('A' + (column - 1) % 26);
    for (int i = 0; i < count; i++)
        out[i] = reversed[count - 1 - i];
    out[count] = '\0';
}

/* <c r="B7" s="4" */
static void begin_cell(hn_out *out, const char *letters, size_t row, int style)
{
    hn_put_bytes(out, "<c r=\"", 6);
    hn_put_text(out, letters);
    hn_put_int(out, (int64_t)row);
    if (style != HN_XLSX_PLAIN) {
        hn_put_bytes(out, "\" s=\"", 5);
        hn_put_int(out, style);
    }
    hn_put_char(out, '"');
}

static int has_outer_space(const char *text)
{
    const size_t length = strlen(text);

    return length && (isspace((unsigned char)text[0]) || isspace((unsigned char)text[length - 1]));
}

void hn_xlsx_put_text(hn_out *out, const char *letters, size_t row, int style, const char *text)
{
    begin_cell(out, letters, row, hn_cell_is_risky(text) ? HN_XLSX_GUARDED : style);
    hn_put_text(out, " t=\"inlineStr\"><is><t");
    if (has_outer_space(text))
        hn_put_text(out, " xml:space=\"preserve\"");
    hn_put_char(out, '>');
    hn_put_xml_cut(out, text, MOST_TEXT);
    hn_put_text(out, "</t></is></c>");
}

static void begin_value(hn_out *out, const char *letters, size_t row, int style)
{
    begin_cell(out, letters, row, style);
    hn_put_bytes(out, "><v>", 4);
}

static void end_value(hn_out *out)
{
    hn_put_bytes(out, "</v></c>", 8);
}

void hn_xlsx_put_int(hn_out *out, const char *letters, size_t row, int64_t value)
{
    begin_value(out, letters, row, HN_XLSX_DECIMALS);
    hn_put_int(out, value);
    end_value(out);
}

static void put_long_int(hn_out *out, const char *letters, size_t row, int64_t value)
{
    begin_cell(out, letters, row, HN_XLSX_TEXT);
    hn_put_text(out, " t=\"inlineStr\"><is><t>");
    hn_put_int(out, value);
    hn_put_text(out, "</t></is></c>");
}

static void put_date(hn_out *out, const char *letters, size_t row, int64_t days)
{
    if (days + DAYS_TO_1970 < FIRST_SAFE_DAY) {
        begin_cell(out, letters, row, HN_XLSX_TEXT);
        hn_put_text(out, " t=\"inlineStr\"><is><t>");
        hn_put_date(out, days);
        hn_put_text(out, "</t></is></c>");
        return;
    }
    begin_value(out, letters, row, HN_XLSX_DATE);
    hn_put_int(out, days + DAYS_TO_1970);
    end_value(out);
}

static int decimals_of(const hn_view_column *column)
{
    const int d = column->decimals;

    return d < 0 ? 0 : d > HN_XLSX_MOST_DECIMALS ? HN_XLSX_MOST_DECIMALS : d;
}

static void put_cell(hn_out *out, const hn_view_column *column, const char *letters, size_t row,
                     const hn_cell *cell)
{
    if (cell->is_null)
        return;
    switch (column->kind) {
    case HN_VIEW_TEXT:
        hn_xlsx_put_text(out, letters, row, HN_XLSX_TEXT, cell->text);
        break;
    case HN_VIEW_INT:
        if (cell->i > most_exact_int || cell->i < -most_exact_int)
            put_long_int(out, letters, row, cell->i);
        else
            hn_xlsx_put_int(out, letters, row, cell->i);
        break;
    case HN_VIEW_REAL:
        if (!isfinite(cell->r))
            break;
        begin_value(out, letters, row, HN_XLSX_DECIMALS + decimals_of(column));
        hn_put_fixed(out, cell->r, decimals_of(column));
        end_value(out);
        break;
    case HN_VIEW_BOOL:
        begin_cell(out, letters, row, HN_XLSX_PLAIN);
        hn_put_text(out, cell->i ? " t=\"b\"><v>1" : " t=\"b\"><v>0");
        end_value(out);
        break;
    case HN_VIEW_DATE:
        put_date(out, letters, row, cell->i);
        break;
    }
}

static void put_number_formats(hn_out *out)
{
    hn_put_text(out, "<numFmts count=\"");
    hn_put_int(out, 1 + HN_XLSX_MOST_DECIMALS);
    hn_put_text(out, "\"><numFmt numFmtId=\"164\" formatCode=\"yyyy\\-mm\\-dd\"/>");
    for (int d = 1; d <= HN_XLSX_MOST_DECIMALS; d++) {
        hn_put_text(out, "<numFmt numFmtId=\"");
        hn_put_int(out, CUSTOM_FORMAT + d);
        hn_put_text(out, "\" formatCode=\"0.");
        for (int i = 0; i < d; i++)
            hn_put_char(out, '0');
        hn_put_text(out, "\"/>");
    }
    hn_put_text(out, "</numFmts>");
}

static void put_format(hn_out *out, int number_format, int font, const char *more)
{
    hn_put_text(out, "<xf numFmtId=\"");
    hn_put_int(out, number_format);
    hn_put_text(out, "\" fontId=\"");
    hn_put_int(out, font);
    hn_put_text(out, "\" fillId=\"0\" borderId=\"0\" xfId=\"0\" applyNumberFormat=\"1\"");
    hn_put_text(out, more);
    hn_put_text(out, "/>");
}

/* In the order of the HN_XLSX_ list. */
static void put_cell_formats(hn_out *out)
{
    hn_put_text(out, "<cellXfs count=\"");
    hn_put_int(out, HN_XLSX_DECIMALS + HN_XLSX_MOST_DECIMALS + 1);
    hn_put_text(out, "\">");
    put_format(out, 0, 0, "");
    put_format(out, FORMAT_AS_TEXT, 1, " applyFont=\"1\"");
    put_format(out, FORMAT_AS_TEXT, 0, "");
    put_format(out, FORMAT_AS_TEXT, 0, " quotePrefix=\"1\"");
    put_format(out, CUSTOM_FORMAT, 0, "");
    for (int d = 0; d <= HN_XLSX_MOST_DECIMALS; d++)
        put_format(out, d ? CUSTOM_FORMAT + d : FORMAT_WHOLE, 0, "");
    hn_put_text(out, "</cellXfs>");
}

void hn_xlsx_put_styles(hn_out *out)
{
    hn_put_text(out, "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n"
                     "<styleSheet xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/"
                     "main\">");
    put_number_formats(out);
    hn_put_text(out, "<fonts count=\"2\"><font><sz val=\"11\"/><name val=\"Calibri\"/></font>"
                     "<font><b/><sz val=\"11\"/><name val=\"Calibri\"/></font></fonts>"
                     "<fills count=\"2\"><fill><patternFill patternType=\"none\"/></fill>"
                     "<fill><patternFill patternType=\"gray125\"/></fill></fills>"
                     "<borders count=\"1\"><border><left/><right/><top/><bottom/><diagonal/>"
                     "</border></borders><cellStyleXfs count=\"1\"><xf numFmtId=\"0\" fontId=\"0\""
                     " fillId=\"0\" borderId=\"0\"/></cellStyleXfs>");
    put_cell_formats(out);
    hn_put_text(out, "<cellStyles count=\"1\"><cellStyle name=\"Normal\" xfId=\"0\" "
                     "builtinId=\"0\"/></cellStyles></styleSheet>");
}

void hn_xlsx_begin_sheet(hn_out *out, int frozen_rows)
{
    hn_put_text(out, "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n"
                     "<worksheet xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/"
                     "main\"><sheetViews><sheetView workbookViewId=\"0\">");
    if (frozen_rows) {
        hn_put_text(out, "<pane ySplit=\"");
        hn_put_int(out, frozen_rows);
        hn_put_text(out, "\" topLeftCell=\"A");
        hn_put_int(out, frozen_rows + 1);
        hn_put_text(out, "\" activePane=\"bottomLeft\" state=\"frozen\"/>");
    }
    hn_put_text(out, "</sheetView></sheetViews><sheetFormatPr defaultColWidth=\"16\" "
                     "defaultRowHeight=\"15\"/><sheetData>");
}

void hn_xlsx_end_sheet(hn_out *out)
{
    hn_put_text(out, "</sheetData></worksheet>");
}

static void begin_row(hn_out *out, size_t row)
{
    hn_put_text(out, "<row r=\"");
    hn_put_int(out, (int64_t)row);
    hn_put_text(out, "\">");
}

static void put_header(hn_out *out, const hn_view *view, char (*letters)[HN_XLSX_LETTERS])
{
    begin_row(out, 1);
    for (size_t c = 0; c < view->column_count; c++) {
        hn_xlsx_letters(c, letters[c]);
        hn_xlsx_put_text(out, letters[c], 1, HN_XLSX_HEAD, view->columns[c].name);
    }
    hn_put_text(out, "</row>");
}

hn_status hn_xlsx_put_view(hn_out *out, const hn_view *view, const uint32_t *order, size_t rows,
                           hn_pace *pace, hn_error *err)
{
    hn_status rc;
    hn_scratch scratch = {0};
    hn_cell *cells = hn_alloc(view->column_count, sizeof *cells);
    char(*letters)[HN_XLSX_LETTERS] = hn_alloc(view->column_count, sizeof *letters);

    HN_TRY_ALLOC(cells);
    HN_TRY_ALLOC(letters);
    HN_TRY(hn_scratch_init(&scratch, err));
    hn_xlsx_begin_sheet(out, 1);
    put_header(out, view, letters);
    for (size_t row = 0; row < rows && !out->error; row++) {
        hn_scratch_reset(&scratch);
        view->row(view->context, order ? order[row] : row, cells, &scratch);
        begin_row(out, row + 2);
        for (size_t c = 0; c < view->column_count; c++)
            put_cell(out, &view->columns[c], letters[c], row + 2, &cells[c]);
        hn_put_text(out, "</row>");
        if (hn_pace_is_due(row))
            HN_TRY(hn_pace_step(pace, HN_PACE_ROWS, err));
    }
    HN_TRY(hn_pace_step(pace, rows % HN_PACE_ROWS, err));
    hn_xlsx_end_sheet(out);
out:
    hn_scratch_clear(&scratch);
    hn_free(letters);
    hn_free(cells);
    return rc;
}
