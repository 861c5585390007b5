/* tests/bench/fast_gpkg.h - fills a GeoPackage quickly.
 *
 * GDAL makes the empty file, so that it is right; rows then go in by prepared
 * statements in one transaction, and the spatial index is packed from boxes in
 * the order given, without sorting: hand them over neighbour by neighbour. Any
 * failure ends the program with a message.
 */
#ifndef HN_BENCH_FAST_GPKG_H
#define HN_BENCH_FAST_GPKG_H

#include <sqlite3.h>
#include <stdint.h>

enum gpkg_type { GPKG_TEXT, GPKG_INTEGER, GPKG_REAL, GPKG_DATE };
enum gpkg_shape { GPKG_TABLE, GPKG_LINES, GPKG_POINTS };
enum { GPKG_EPSG = 25832, GPKG_BLOB_MAX = 64 + 16 * 16 };

typedef struct gpkg_field {
    const char *name;
    enum gpkg_type type;
} gpkg_field;

typedef struct gpkg_layer_def {
    const char *name;
    enum gpkg_shape shape;
    const gpkg_field *fields;
    int field_count;
    int index; /* spatial index */
} gpkg_layer_def;

typedef struct gpkg_layer gpkg_layer;

/* An empty file with these layers, in place of what was there. */
void gpkg_create(const char *path, const gpkg_layer_def *layers, int count);

/* One transaction from open to close. */
sqlite3 *gpkg_open(const char *path);
void gpkg_close(sqlite3 *db);

/* Rows of one layer. For every row: bind the fields with gpkg_text, _integer,
 * _real in the order of the definition, then gpkg_add. Missing values: NULL,
 * a negative integer, NaN. Texts must live until gpkg_add. */
gpkg_layer *gpkg_begin(sqlite3 *db, const gpkg_layer_def *def);
void gpkg_text(gpkg_layer *layer, const char *text);
void gpkg_integer(gpkg_layer *layer, int value);
void gpkg_real(gpkg_layer *layer, double value);
/* Adds the row with its geometry (`points` 0: none); returns its fid. */
int64_t gpkg_add(gpkg_layer *layer, const double *xy, int points);
/* Puts the box of a row into the spatial index. Does nothing without one. */
void gpkg_index(gpkg_layer *layer, int64_t fid, const double *xy, int points);
void gpkg_end(gpkg_layer *layer);

_Noreturn void bench_die(const char *format, ...) __attribute__((format(printf, 1, 2)));

#endif
