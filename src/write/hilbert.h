/* write/hilbert.h - order of boxes along a Hilbert curve. */
#ifndef HN_WRITE_HILBERT_H
#define HN_WRITE_HILBERT_H

#include "base/status.h"
#include "write/gpkg_shape.h"

/* Numbers of the rows that have a box, sorted by the place of the box's middle
 * on a Hilbert curve of 2^16 by 2^16 cells over all boxes; equal places keep
 * row order. `order` has room for `rows`; *count is set to how many there are.
 * At most 2^32 - 1 rows. */
HN_MUST_CHECK hn_status hn_hilbert_order(const hn_small_box *boxes, size_t rows, uint32_t *order,
                                         size_t *count, hn_error *err);

#endif
