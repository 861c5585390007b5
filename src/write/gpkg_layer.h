/* write/gpkg_layer.h - what the parts of the GeoPackage writer share. */
#ifndef HN_WRITE_GPKG_LAYER_H
#define HN_WRITE_GPKG_LAYER_H

#include "write/gpkg_shape.h"
#include "write/gpkg_sql.h"
#include "write/result_writer.h"
#include "write/write_pace.h"

enum { HN_GPKG_NAME = 32 };

/* One view on its way into the file. */
typedef struct hn_gpkg_layer {
    const hn_view *view;
    char *identifier;                 /* title, unlike that of all others; owned */
    char fid_name[HN_GPKG_NAME];      /* "fid" unless a column is called so */
    char geometry_name[HN_GPKG_NAME]; /* "geom" unless a column is called so */
    hn_shape_survey survey;           /* of a view with geometry */
    int32_t srs_id;
} hn_gpkg_layer;

static inline int hn_gpkg_has_geometry(const hn_gpkg_layer *layer)
{
    return layer->view->geometry != HN_GEOMETRY_NONE;
}

/* The empty file with all its tables, by GDAL. */
HN_MUST_CHECK hn_status hn_gpkg_create(const char *path, const hn_result_spec *spec,
                                       const hn_gpkg_layer *layers, hn_error *err);

/* All rows of a layer or table, by SQL. fid is the row number from 1. */
HN_MUST_CHECK hn_status hn_gpkg_rows(sqlite3 *db, const hn_gpkg_layer *layer, hn_pace *pace,
                                     hn_error *err);

/* Test hook: 1 fills all tables by SQL, the oracle of the page writer; 0, the
 * rule, does so only in a file that the page writer does not know. */
void hn_gpkg_use_sql(int always);
/* Test hook: 1 when the last file was filled by pages. */
int hn_gpkg_used_pages(void);

/* Titles, meanings and coded values of all columns (GeoPackage schema
 * extension) and the data set's metadata record (metadata extension). */
HN_MUST_CHECK hn_status hn_gpkg_describe(sqlite3 *db, const hn_result_spec *spec, hn_error *err);

/* ISO 19139 record of the result: title, what it holds, lineage. NUL-terminated,
 * free with hn_free; NULL when out of memory. */
char *hn_gpkg_metadata_xml(const hn_result_spec *spec);

/* The moment that stands for every "now": midnight of as_of, ISO 8601. */
enum { HN_GPKG_MOMENT = 48 };
void hn_gpkg_moment(int32_t as_of, char out[HN_GPKG_MOMENT]);

#endif
