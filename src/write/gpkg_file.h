/* write/gpkg_file.h - all views as one GeoPackage.
 *
 * GDAL makes the empty file and SQLite puts in the descriptions; rows and
 * spatial indexes are then added as database pages (write/page_table.h) by
 * spec->threads threads. A file that turns out other than expected is filled by
 * SQL. Same views, same bytes, whatever the number of threads.
 */
#ifndef HN_WRITE_GPKG_FILE_H
#define HN_WRITE_GPKG_FILE_H

#include "write/result_writer.h"
#include "write/write_pace.h"

/* Makes the file, which must not exist, and syncs it to the disk. After an
 * error it is left half written: the caller removes the folder. GDAL's drivers
 * must be registered. */
HN_MUST_CHECK hn_status hn_gpkg_write(const char *path, const hn_result_spec *spec, hn_pace *pace,
                                      hn_error *err);

#endif
