/* network/merge_lines.h - the drawn line of a reach from its pieces. */
#ifndef HN_NETWORK_MERGE_LINES_H
#define HN_NETWORK_MERGE_LINES_H

#include "base/status.h"
#include "table/segment_table.h"

/* Rebuilds the lines: each kept row (order[0..kept), one per chain) gets the
 * points of its whole chain, the first point of a later piece left out where
 * it repeats the last one, else a new part begins; absorbed rows get none. */
HN_MUST_CHECK hn_status hn_merge_lines(hn_lines *lines, size_t rows, const int32_t *next,
                                       const int32_t *head_of, const uint32_t *order, size_t kept,
                                       hn_error *err);

#endif
