/* read/gpkg_ranges.h - the row numbers of a table cut into equal ranges. */
#ifndef HN_READ_GPKG_RANGES_H
#define HN_READ_GPKG_RANGES_H

#include "read/gpkg_select.h"

typedef struct hn_gpkg_ranges {
    int64_t first, last; /* row numbers */
    int64_t width;       /* of a range: about HN_BATCH_ROWS rows */
    size_t count;
} hn_gpkg_ranges;

/* 0 when the row numbers are too scattered for ranges of equal width (more
 * than SCATTER numbers a row), or the table is a view or has no row numbers. */
int hn_gpkg_ranges_look(hn_gpkg_select *select, const hn_gpkg_table *table, hn_gpkg_ranges *out);
void hn_gpkg_range(const hn_gpkg_ranges *ranges, size_t index, int64_t *first, int64_t *last);

#endif
