/* read/gpkg_batches.h - rows of a plain GeoPackage table straight from
 * SQLite, in ranges of row numbers shared out to threads.
 *
 * Measured against feature by feature reading of a million rows it takes
 * three quarters of the time with one thread and half with two; a test holds
 * both to the same table.
 */
#ifndef HN_READ_GPKG_BATCHES_H
#define HN_READ_GPKG_BATCHES_H

#include "read/batch_queue.h"
#include "read/line_points.h"

/* Sets *done to 0 and reads nothing when the source is not a plain table of a
 * GeoPackage file (a view, a file in write-ahead mode, scattered row numbers,
 * a filter with functions of GDAL): then feature by feature reading must do
 * it. No geometry when rules is NULL. Errors: HN_ERR_INPUT, HN_ERR_MEMORY, what
 * take returns. */
HN_MUST_CHECK hn_status hn_gpkg_batches(const hn_source *source, const hn_opened *opened,
                                        const hn_role_map *map, const hn_line_rules *rules,
                                        int threads, hn_batch_take_fn take_fn, void *context,
                                        int *done, hn_error *err);

#endif
