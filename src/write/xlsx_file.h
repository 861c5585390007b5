/* write/xlsx_file.h - the views as one workbook, a sheet each, with a sheet
 * `readme` in front that says what they are and which were cut.
 *
 * Numbers are numbers, dates are dates, texts are texts (a text that looks
 * like a formula is marked so that a spreadsheet never runs it). Rows are
 * streamed: memory does not grow with the table. See docs/decisions/xlsx.md.
 * Source: ISO/IEC 29500-1:2016, part 18 (SpreadsheetML), from memory.
 */
#ifndef HN_WRITE_XLSX_FILE_H
#define HN_WRITE_XLSX_FILE_H

#include "write/result_writer.h"
#include "write/write_pace.h"

enum { HN_XLSX_MOST_ROWS = 1048575 }; /* of a sheet, the header not counted */

/* Makes the file, which must not exist, checks and syncs it. Views
 * longer than spec->xlsx_row_limit are cut (0: only at the format's limit); with
 * a limit, views of more than 100,000 rows at 5,000. */
HN_MUST_CHECK hn_status hn_xlsx_write(const char *path, const hn_result_spec *spec, hn_pace *pace,
                                      hn_error *err);

/* Rows of a view that go into its sheet. */
size_t hn_xlsx_rows(const hn_result_spec *spec, const hn_view *view);

#endif
