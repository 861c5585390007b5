/* write/csv_file.h - a view as a text table for any spreadsheet.
 *
 * RFC 4180: comma, CRLF, header row, quotes only where needed. UTF-8 without
 * byte order mark, decimal point on every locale, ISO dates, true/false; an
 * empty cell is unknown. A text that a spreadsheet would run as a formula gets
 * an apostrophe in front. Beside PATH lies PATH + "t" (.csvt) with the types.
 * Sources: Y. Shafranovich, RFC 4180 (2005), section 2; .csvt as read by
 * GDAL/OGR (driver page "CSV").
 */
#ifndef HN_WRITE_CSV_FILE_H
#define HN_WRITE_CSV_FILE_H

#include "table/view.h"
#include "write/write_pace.h"

/* Neither file may exist before. Geometry is left out. The bytes do not depend
 * on the number of threads. */
HN_MUST_CHECK hn_status hn_csv_write(const char *path, const hn_view *view, int threads,
                                     hn_pace *pace, hn_error *err);

#endif
