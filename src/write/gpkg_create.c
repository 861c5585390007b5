/* write/gpkg_create.c - GDAL makes the empty GeoPackage, so that reference
 * systems, table definitions, triggers and extension rows are its work. */
#include "write/gpkg_layer.h"

#include "base/dates.h"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <cpl_string.h>
#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>
#include <stdio.h>

void hn_gpkg_moment(int32_t as_of, char out[HN_GPKG_MOMENT])
{
    char day[HN_DATE_TEXT];

    hn_date_text(as_of, day);
    snprintf(out, HN_GPKG_MOMENT, "%sT00:00:00.000Z", day);
}

static hn_status gdal_fail(const char *path, const char *what, hn_error *err)
{
    const char *why = CPLGetLastErrorMsg();

    return hn_fail(err, HN_ERR_OUTPUT, "cannot write %s: %s%s%.200s", path, what,
                   why && *why ? ": " : "", why ? why : "");
}

/* NULL when the reference system is not known. */
static OGRSpatialReferenceH make_srs(const hn_result_spec *spec)
{
    OGRSpatialReferenceH srs = OSRNewSpatialReference(NULL);
    OGRErr code = OGRERR_FAILURE;

    if (spec->crs_epsg > 0)
        code = OSRImportFromEPSG(srs, spec->crs_epsg);
    if (code != OGRERR_NONE && spec->crs_wkt && *spec->crs_wkt)
        code = OSRSetFromUserInput(srs, spec->crs_wkt);
    if (code == OGRERR_NONE) {
        OSRSetAxisMappingStrategy(srs, OAMS_TRADITIONAL_GIS_ORDER);
        return srs;
    }
    OSRDestroySpatialReference(srs);
    return NULL;
}

static OGRwkbGeometryType geometry_type(const hn_gpkg_layer *layer)
{
    OGRwkbGeometryType type = (OGRwkbGeometryType)layer->survey.type;

    if (!hn_gpkg_has_geometry(layer))
        return wkbNone;
    return layer->survey.has_z ? OGR_GT_SetZ(type) : type;
}

static OGRFieldDefnH make_field(const hn_view_column *column)
{
    static const OGRFieldType types[] = {[HN_VIEW_TEXT] = OFTString,
                                         [HN_VIEW_INT] = OFTInteger64,
                                         [HN_VIEW_REAL] = OFTReal,
                                         [HN_VIEW_BOOL] = OFTInteger,
                                         [HN_VIEW_DATE] = OFTDate};
    OGRFieldDefnH field = OGR_Fld_Create(column->name, types[column->kind]);

    if (column->kind == HN_VIEW_BOOL)
        OGR_Fld_SetSubType(field, OFSTBoolean);
    return field;
}

static int add_fields(OGRLayerH table, const hn_view *view)
{
    OGRErr code = OGRERR_NONE;

    for (size_t c = 0; c < view->column_count && code == OGRERR_NONE; c++) {
        OGRFieldDefnH field = make_field(&view->columns[c]);

        code = OGR_L_CreateField(table, field, FALSE);
        OGR_Fld_Destroy(field);
    }
    return code == OGRERR_NONE;
}

static char **layer_options(const hn_gpkg_layer *layer)
{
    char **options = CSLSetNameValue(NULL, "IDENTIFIER", layer->identifier);

    options = CSLSetNameValue(options, "DESCRIPTION", layer->view->meaning);
    options = CSLSetNameValue(options, "FID", layer->fid_name);
    if (hn_gpkg_has_geometry(layer)) {
        options = CSLSetNameValue(options, "GEOMETRY_NAME", layer->geometry_name);
        options = CSLSetNameValue(options, "SPATIAL_INDEX", "YES");
    } else {
        options = CSLSetNameValue(options, "ASPATIAL_VARIANT", "GPKG_ATTRIBUTES");
    }
    return options;
}

static int add_layer(GDALDatasetH file, OGRSpatialReferenceH srs, const hn_gpkg_layer *layer)
{
    char **options = layer_options(layer);
    OGRLayerH table =
        GDALDatasetCreateLayer(file, layer->view->name, hn_gpkg_has_geometry(layer) ? srs : NULL,
                               geometry_type(layer), options);

    CSLDestroy(options);
    return table && add_fields(table, layer->view);
}

/* GDALClose gives nothing back in GDAL 3.6, so the error state tells. */
static int close_file(GDALDatasetH file)
{
    CPLErrorReset();
    GDALClose(file);
    return CPLGetLastErrorType() < CE_Failure;
}

static hn_status create_file(const char *path, const hn_result_spec *spec,
                             const hn_gpkg_layer *layers, hn_error *err)
{
    GDALDriverH driver = GDALGetDriverByName("GPKG");
    GDALDatasetH file = driver ? GDALCreate(driver, path, 0, 0, 0, GDT_Unknown, NULL) : NULL;
    OGRSpatialReferenceH srs = NULL;
    hn_status rc = HN_OK;

    if (!file)
        return gdal_fail(path, "the GeoPackage cannot be made", err);
    srs = make_srs(spec);
    for (size_t i = 0; i < spec->view_count && rc == HN_OK; i++)
        if (!add_layer(file, srs, &layers[i]))
            rc = gdal_fail(path, layers[i].view->name, err);
    if (rc != HN_OK)
        GDALClose(file);
    else if (!close_file(file))
        rc = gdal_fail(path, "the GeoPackage cannot be closed", err);
    if (srs)
        OSRDestroySpatialReference(srs);
    return rc;
}

hn_status hn_gpkg_create(const char *path, const hn_result_spec *spec, const hn_gpkg_layer *layers,
                         hn_error *err)
{
    char moment[HN_GPKG_MOMENT];
    hn_status rc;

    hn_gpkg_moment(spec->as_of, moment);
    CPLPushErrorHandler(CPLQuietErrorHandler);
    CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", moment);
    CPLSetThreadLocalConfigOption("OGR_SQLITE_SYNCHRONOUS", "OFF");
    CPLErrorReset();
    rc = create_file(path, spec, layers, err);
    CPLSetThreadLocalConfigOption("OGR_SQLITE_SYNCHRONOUS", NULL);
    CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", NULL);
    CPLPopErrorHandler();
    return rc;
}
