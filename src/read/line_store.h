/* read/line_store.h - points of a batch behind the lines of the table. */
#ifndef HN_READ_LINE_STORE_H
#define HN_READ_LINE_STORE_H

#include "read/row_batch.h"

/* Appends points [begin, end) of the batch as the line of `row`, the last one
 * so far. Heights and part marks get memory with the first row that has them;
 * a part mark is never set on a row's first point. Errors: HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_lines_append(hn_lines *lines, size_t row, const hn_row_batch *batch,
                                        size_t begin, size_t end, hn_error *err);

/* Takes the lines of the marked rows away, as if they had no geometry. */
void hn_lines_drop(hn_lines *lines, size_t rows, const uint8_t *marked);

#endif
