/* table/inspections.h - inspection records as read, before they are joined.
 * Text ids belong to the segment table's pool. Missing as everywhere. */
#ifndef HN_TABLE_INSPECTIONS_H
#define HN_TABLE_INSPECTIONS_H

#include "table/segment_table.h"

typedef struct hn_inspections {
    size_t count, capacity;
    uint32_t *segment, *up_node, *down_node;
    uint32_t *inspection_id; /* as recorded; 0 */
    int32_t *date;          /* days, HN_I32_MISSING */
    uint8_t *complete;      /* 0, 1, 255 */
    double *length_seen_m;
    double *x, *y;          /* place in the network's CRS; NaN */
    uint16_t *source;       /* number of the inspections source */
    double *number[HN_COL_COUNT];  /* observed columns that a source maps, else NULL */
    uint32_t *text[HN_COL_COUNT];
} hn_inspections;

/* The columns an inspection can carry. */
extern const hn_column_id hn_inspected_numbers[];
extern const size_t hn_inspected_number_count;
extern const hn_column_id hn_inspected_texts[];
extern const size_t hn_inspected_text_count;

void hn_inspections_clear(hn_inspections *inspections);
/* Room for `count` records in all; columns already there grow along. */
HN_MUST_CHECK hn_status hn_inspections_reserve(hn_inspections *inspections, size_t count,
                                               hn_error *err);
HN_MUST_CHECK hn_status hn_inspections_want(hn_inspections *inspections, hn_column_id id,
                                            hn_error *err);

#endif
