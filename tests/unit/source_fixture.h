/* unit/source_fixture.h - small vector files in a temporary folder, made
 * through GDAL, for the tests of read/. */
#ifndef HN_UNIT_SOURCE_FIXTURE_H
#define HN_UNIT_SOURCE_FIXTURE_H

#include "test_util.h"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <cpl_string.h>
#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static char fixture_folder[64];
static char fixture_no_index[] = "SPATIAL_INDEX=NO";

static int fixture_begin(void **state)
{
    (void)state;
    GDALAllRegister();
    CPLSetErrorHandler(CPLQuietErrorHandler); /* odd files are made on purpose */
    snprintf(fixture_folder, sizeof fixture_folder, "/tmp/hn_test_XXXXXX");
    return mkdtemp(fixture_folder) ? 0 : -1;
}

static int fixture_end(void **state)
{
    char command[128];

    (void)state;
    snprintf(command, sizeof command, "rm -rf '%s'", fixture_folder);
    return system(command);
}

/* Path of a file in the folder; eight may be in use at a time. */
static inline const char *fixture_path(const char *name)
{
    static char paths[8][256];
    static int next;
    char *path = paths[next++ % 8];

    snprintf(path, sizeof paths[0], "%s/%s", fixture_folder, name);
    return path;
}

static inline const char *fixture_text(const char *name, const char *text)
{
    const char *path = fixture_path(name);
    FILE *file = fopen(path, "wb");

    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, strlen(text), file), strlen(text));
    assert_int_equal(fclose(file), 0);
    return path;
}

static inline GDALDatasetH fixture_create(const char *driver, const char *path)
{
    GDALDatasetH dataset =
        GDALCreate(GDALGetDriverByName(driver), path, 0, 0, 0, GDT_Unknown, NULL);

    if (!dataset)
        fail_msg("cannot create %s with %s", path, driver);
    return dataset;
}

/* epsg 0: no CRS. */
static inline OGRLayerH fixture_layer(GDALDatasetH dataset, const char *name, int epsg,
                                      OGRwkbGeometryType type)
{
    /* a spatial index of FlatGeobuf would put the rows in another order */
    char *options[] = {fixture_no_index, NULL};
    OGRSpatialReferenceH crs = NULL;
    OGRLayerH layer;

    if (epsg) {
        crs = OSRNewSpatialReference(NULL);
        assert_int_equal(OSRImportFromEPSG(crs, epsg), OGRERR_NONE);
        OSRSetAxisMappingStrategy(crs, OAMS_TRADITIONAL_GIS_ORDER);
    }
    layer = GDALDatasetCreateLayer(dataset, name, crs, type, options);
    if (crs)
        OSRDestroySpatialReference(crs);
    assert_non_null(layer);
    return layer;
}

static inline void fixture_field(OGRLayerH layer, const char *name, OGRFieldType type)
{
    OGRFieldDefnH field = OGR_Fld_Create(name, type);

    assert_int_equal(OGR_L_CreateField(layer, field, 1), OGRERR_NONE);
    OGR_Fld_Destroy(field);
}

static inline OGRGeometryH fixture_geometry(const char *wkt)
{
    OGRGeometryH geometry = NULL;
    char copy[4096], *rest = copy;

    if (wkt[0] == '!') {
        geometry = OGR_G_CreateGeometry(wkbLineString);
        OGR_G_AddPoint_2D(geometry, 500000, 5500000);
        OGR_G_AddPoint_2D(geometry, strtod(wkt + 1, NULL), 5500000);
        return geometry;
    }
    snprintf(copy, sizeof copy, "%s", wkt);
    assert_int_equal(OGR_G_CreateFromWkt(&rest, NULL, &geometry), OGRERR_NONE);
    return geometry;
}

/* Row from texts, in the order of the fields; a NULL text is a NULL cell, a
 * NULL wkt no geometry. "!nan" is a line to x = nan, which WKT cannot say. */
static inline void fixture_row(OGRLayerH layer, const char *wkt, const char *const *cells)
{
    OGRFeatureH feature = OGR_F_Create(OGR_L_GetLayerDefn(layer));

    for (int i = 0; i < OGR_FD_GetFieldCount(OGR_L_GetLayerDefn(layer)); i++)
        if (cells[i])
            OGR_F_SetFieldString(feature, i, cells[i]);
        else
            OGR_F_SetFieldNull(feature, i);
    if (wkt)
        OGR_F_SetGeometryDirectly(feature, fixture_geometry(wkt));
    assert_int_equal(OGR_L_CreateFeature(layer, feature), OGRERR_NONE);
    OGR_F_Destroy(feature);
}

static inline void fixture_sql(GDALDatasetH dataset, const char *sql)
{
    OGRLayerH answer = GDALDatasetExecuteSQL(dataset, sql, NULL, NULL);

    if (answer)
        GDALDatasetReleaseResultSet(dataset, answer);
}

#endif
