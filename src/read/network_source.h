/* read/network_source.h - the network layer into a new segment table.
 *
 * Reads every row that the plan's `where` lets through, converts units, maps
 * values, turns grades into 1 (best) to 5 (worst), measures each line on the
 * ellipsoid. Bad rows are listed in `issues` and the run goes on.
 */
#ifndef HN_READ_NETWORK_SOURCE_H
#define HN_READ_NETWORK_SOURCE_H

#include "base/status.h"
#include "read/source.h"
#include "table/issues.h"
#include "table/segment_table.h"

#include <stdint.h>

typedef struct hn_crs_info {
    char *wkt;  /* as written to results; owned */
    char *name; /* "ETRS89 / UTM zone 32N" */
    int epsg;   /* 0 when unknown */
    int is_geographic;
    double metres_per_unit; /* projected: 1, 0.3048 ...; geographic: NaN */
} hn_crs_info;

typedef struct hn_read_stats {
    size_t rows_in_layer; /* before `where`; SIZE_MAX when the driver cannot say */
    size_t rows_read, rows_kept, rows_rejected;
    char driver[32], layer[128];
} hn_read_stats;

typedef void (*hn_progress_fn)(void *context, double share_0_1);

/* On success *out is the caller's, one row per kept feature in source order,
 * with length_geometry_m filled. Errors: HN_ERR_INPUT (file, layer, field, CRS:
 * the message lists what is there), HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_network_read(const hn_source *source, int threads, hn_issue_list *issues,
                                        hn_progress_fn progress, void *progress_context,
                                        hn_table **out, hn_crs_info *crs, hn_read_stats *stats,
                                        hn_error *err);
void hn_crs_info_clear(hn_crs_info *crs);

#endif
