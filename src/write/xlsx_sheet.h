/* write/xlsx_sheet.h - cells and rows of a sheet as SpreadsheetML. */
#ifndef HN_WRITE_XLSX_SHEET_H
#define HN_WRITE_XLSX_SHEET_H

#include "table/view.h"
#include "write/text_out.h"
#include "write/write_pace.h"

/* Numbers of the cell formats in xl/styles.xml; a REAL column with d decimals
 * has HN_XLSX_DECIMALS + d. */
enum {
    HN_XLSX_PLAIN,
    HN_XLSX_HEAD,
    HN_XLSX_TEXT,
    HN_XLSX_GUARDED, /* text with the "quote prefix" mark */
    HN_XLSX_DATE,
    HN_XLSX_DECIMALS,
    HN_XLSX_MOST_DECIMALS = 15
};

enum { HN_XLSX_LETTERS = 8 };

/* "A", "B" ... "AA" for a column from 0. */
void hn_xlsx_letters(size_t column, char out[HN_XLSX_LETTERS]);

/* One cell; `row` counts from 1. */
void hn_xlsx_put_text(hn_out *out, const char *letters, size_t row, int style, const char *text);
void hn_xlsx_put_int(hn_out *out, const char *letters, size_t row, int64_t value);

/* xl/styles.xml. */
void hn_xlsx_put_styles(hn_out *out);

void hn_xlsx_begin_sheet(hn_out *out, int frozen_rows);
void hn_xlsx_end_sheet(hn_out *out);

/* A whole sheet: header row with the column names, then `rows` rows: the first
 * of the view, or (order not NULL) those that it names. */
HN_MUST_CHECK hn_status hn_xlsx_put_view(hn_out *out, const hn_view *view, const uint32_t *order,
                                         size_t rows, hn_pace *pace, hn_error *err);

#endif
