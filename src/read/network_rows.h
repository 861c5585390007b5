/* read/network_rows.h - batches of rows into the segment table, in order, with
 * every doubtful row listed. One thread. */
#ifndef HN_READ_NETWORK_ROWS_H
#define HN_READ_NETWORK_ROWS_H

#include "read/network_source.h"
#include "read/row_batch.h"

typedef struct hn_network_rows {
    hn_table *table;
    const hn_role_map *map;
    const char *key; /* of the source, for messages */
    hn_issue_list *issues;
    hn_read_stats *stats;
    int id_role, length_role; /* numbers in map->roles, or -1 */
    size_t had_m, were_curves;
    size_t not_utf8[HN_ROLES_MAX]; /* rows, by role */
    double constant_length_m;      /* NaN unless the plan gives one for all */
    hn_progress_fn progress;
    void *progress_context;
} hn_network_rows;

/* Makes the mapped columns, then takes rows. Errors: HN_ERR_MEMORY, HN_ERR_PLAN
 * for a constant that cannot be read. */
HN_MUST_CHECK hn_status hn_network_rows_begin(hn_network_rows *rows, hn_error *err);
HN_MUST_CHECK hn_status hn_network_rows_take(hn_network_rows *rows, const hn_row_batch *batch,
                                             hn_error *err);
/* A value into a column of any kind but text; NaN leaves it missing. */
void hn_network_store(hn_table *table, hn_column_id column, size_t row, double number);
/* Constants, widths from the two ends, heights of circles, summed-up notes. */
HN_MUST_CHECK hn_status hn_network_rows_end(hn_network_rows *rows, hn_error *err);

#endif
