/* read/dataset_look.c */
#include "read/dataset_look.h"

#include "base/alloc.h"
#include "base/nearest.h"
#include "read/field_tally.h"
#include "read/gdal_errors.h"
#include "read/source.h"

#include <gdal.h>
#include <math.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>
#include <stdio.h>
#include <string.h>

enum { LAYERS_MAX = 500, SHOWN = 512 };

/* Mean radius of the Earth, IUGG, in m: good enough to tell feet from metres. */
#define EARTH_RADIUS_M 6371008.8

typedef struct looking {
    hn_dataset_look *out;
    hn_error *err;
    hn_gdal_log log;
    char shown[SHOWN]; /* the source without secrets */
    int geographic, without_crs;
    double metres_per_unit;
} looking;

static hn_status no_memory(hn_error *err)
{
    return hn_fail(err, HN_ERR_MEMORY, "out of memory");
}

/* ---- drawn length ---- */

static double part_length(const looking *l, OGRGeometryH line)
{
    double total = 0, degree_m = EARTH_RADIUS_M * acos(-1.0) / 180;
    int points = OGR_G_GetPointCount(line);
    int geographic =
        l->geographic || (l->without_crs && points > 0 && fabs(OGR_G_GetX(line, 0)) <= 180 &&
                          fabs(OGR_G_GetY(line, 0)) <= 90);

    for (int i = 1; i < points; i++) {
        double y = OGR_G_GetY(line, i), y0 = OGR_G_GetY(line, i - 1);
        double dx = OGR_G_GetX(line, i) - OGR_G_GetX(line, i - 1), dy = y - y0;

        if (geographic) {
            dx *= degree_m * cos((y + y0) / 2 / EARTH_RADIUS_M * degree_m);
            dy *= degree_m;
        } else {
            dx *= l->metres_per_unit;
            dy *= l->metres_per_unit;
        }
        total += hypot(dx, dy);
    }
    return total;
}

static double drawn_length(const looking *l, OGRGeometryH geometry)
{
    int parts = OGR_G_GetGeometryCount(geometry);
    double total = 0;

    if (parts == 0)
        return part_length(l, geometry);
    for (int i = 0; i < parts; i++)
        total += part_length(l, OGR_G_GetGeometryRef(geometry, i));
    return total;
}

/* Counts the kind of geometry; the drawn length in m of a line, else NaN. */
static double look_at_geometry(const looking *l, OGRGeometryH geometry, hn_layer_look *layer)
{
    OGRwkbGeometryType type;

    if (!geometry || OGR_G_IsEmpty(geometry)) {
        layer->no_geometry++;
        return NAN;
    }
    type = OGR_GT_Flatten(OGR_G_GetGeometryType(geometry));
    if (type == wkbLineString || type == wkbMultiLineString) {
        layer->lines++;
        return drawn_length(l, geometry);
    }
    if (type == wkbPoint || type == wkbMultiPoint)
        layer->points++;
    else if (type == wkbPolygon || type == wkbMultiPolygon)
        layer->polygons++;
    else
        layer->other_geometry++;
    return NAN;
}

/* ---- CRS ---- */

static hn_status look_at_crs(looking *l, OGRLayerH layer, hn_layer_look *out)
{
    OGRSpatialReferenceH crs = OGR_L_GetSpatialRef(layer);
    const char *authority, *code, *name;

    l->geographic = 0;
    l->without_crs = 1; /* then small numbers are taken for degrees, see part_length */
    l->metres_per_unit = 1;
    name = crs ? OSRGetName(crs) : NULL;
    /* how GeoPackage says that there is none */
    if (!crs || (name && strncmp(name, "Undefined ", 10) == 0))
        return HN_OK;
    l->without_crs = 0;
    l->geographic = OSRIsGeographic(crs);
    l->metres_per_unit = OSRGetLinearUnits(crs, NULL);
    authority = OSRGetAuthorityName(crs, NULL);
    code = OSRGetAuthorityCode(crs, NULL);
    if (authority && code)
        out->crs = hn_arena_printf(&l->out->arena, "%s:%s", authority, code);
    else
        out->crs = hn_arena_text(&l->out->arena, name ? name : "unnamed");
    return out->crs ? HN_OK : no_memory(l->err);
}

/* ---- fields and rows ---- */

static hn_look_type type_of(OGRFieldType type)
{
    switch (type) {
    case OFTInteger:
    case OFTInteger64:
        return HN_LOOK_WHOLE;
    case OFTReal:
        return HN_LOOK_REAL;
    case OFTDate:
    case OFTDateTime:
        return HN_LOOK_DATE;
    case OFTString:
        return HN_LOOK_TEXT;
    default:
        return HN_LOOK_OTHER;
    }
}

static hn_status begin_fields(looking *l, OGRFeatureDefnH defn, hn_layer_look *out,
                              hn_field_tally *tallies)
{
    hn_status rc = HN_OK;

    for (size_t i = 0; i < out->field_count; i++) {
        OGRFieldDefnH field = OGR_FD_GetFieldDefn(defn, (int)i);

        out->fields[i].name = hn_arena_text(&l->out->arena, OGR_Fld_GetNameRef(field));
        out->fields[i].type = type_of(OGR_Fld_GetType(field));
        if (!out->fields[i].name)
            return no_memory(l->err);
        HN_TRY(hn_field_tally_begin(&tallies[i], &out->fields[i], &l->out->arena, l->err));
    }
out:
    return rc;
}

static hn_status look_at_row(looking *l, OGRFeatureH feature, OGRFeatureDefnH defn,
                             hn_layer_look *out, hn_field_tally *tallies)
{
    double length_m = look_at_geometry(l, OGR_F_GetGeometryRef(feature), out);
    hn_status rc = HN_OK;

    out->rows++;
    for (size_t i = 0; i < out->field_count; i++) {
        hn_raw raw;

        if (out->fields[i].type == HN_LOOK_OTHER)
            continue;
        hn_raw_from_feature(feature, (int)i, OGR_Fld_GetType(OGR_FD_GetFieldDefn(defn, (int)i)),
                            &raw);
        HN_TRY(hn_field_tally_add(&tallies[i], &raw, length_m, &l->out->arena, l->err));
    }
out:
    return rc;
}

static hn_status look_at_rows(looking *l, OGRLayerH layer, OGRFeatureDefnH defn, hn_layer_look *out,
                              hn_field_tally *tallies)
{
    OGRFeatureH feature;
    hn_status rc = HN_OK;

    OGR_L_ResetReading(layer);
    while (rc == HN_OK && out->rows < HN_LOOK_ROWS && (feature = OGR_L_GetNextFeature(layer))) {
        rc = look_at_row(l, feature, defn, out, tallies);
        OGR_F_Destroy(feature);
    }
    return rc;
}

static hn_status look_at_layer(looking *l, OGRLayerH layer, hn_layer_look *out)
{
    OGRFeatureDefnH defn = OGR_L_GetLayerDefn(layer);
    hn_field_tally *tallies = NULL;
    hn_status rc;

    out->name = hn_arena_text(&l->out->arena, OGR_L_GetName(layer));
    out->features = OGR_L_GetFeatureCount(layer, 0);
    out->field_count = (size_t)OGR_FD_GetFieldCount(defn);
    out->fields = hn_arena_alloc(&l->out->arena, out->field_count, sizeof *out->fields);
    tallies = hn_alloc(out->field_count, sizeof *tallies);
    if (!out->name || !out->fields || !tallies) {
        rc = no_memory(l->err);
        goto out;
    }
    HN_TRY(look_at_crs(l, layer, out));
    HN_TRY(begin_fields(l, defn, out, tallies));
    HN_TRY(look_at_rows(l, layer, defn, out, tallies));
    for (size_t i = 0; i < out->field_count; i++)
        hn_field_tally_end(&tallies[i]);
out:
    for (size_t i = 0; tallies && i < out->field_count; i++)
        hn_field_tally_clear(&tallies[i]);
    hn_free(tallies);
    return rc;
}

/* ---- the dataset ---- */

static hn_status fail_layer(looking *l, GDALDatasetH dataset, const char *wanted)
{
    int count = GDALDatasetGetLayerCount(dataset);
    char all[HN_ERROR_TEXT_MAX - 100];
    size_t used = 0;

    all[0] = '\0';
    for (int i = 0; i < count && used < sizeof all; i++)
        used += (size_t)snprintf(all + used, sizeof all - used, "%s%s", i ? ", " : "",
                                 OGR_L_GetName(GDALDatasetGetLayer(dataset, i)));
    if (wanted)
        hn_fail(l->err, HN_ERR_INPUT, "`%s` has no layer `%.100s`", l->shown, wanted);
    else
        hn_fail(l->err, HN_ERR_INPUT, "`%s` has %d layers; it takes up to %d", l->shown, count,
                LAYERS_MAX);
    hn_hint(l->err, count ? "name one of its layers: %s" : "it has no layers%s", all);
    return HN_ERR_INPUT;
}

static hn_status look_at_layers(looking *l, GDALDatasetH dataset, const char *wanted)
{
    int count = GDALDatasetGetLayerCount(dataset);
    hn_dataset_look *out = l->out;
    hn_status rc = HN_OK;

    if (count < 1 || (count > LAYERS_MAX && !wanted))
        return fail_layer(l, dataset, NULL);
    out->driver = hn_arena_text(&out->arena, GDALGetDriverShortName(GDALGetDatasetDriver(dataset)));
    out->layers = hn_arena_alloc(&out->arena, (size_t)count, sizeof *out->layers);
    if (!out->driver || !out->layers)
        return no_memory(l->err);
    for (int i = 0; i < count; i++) {
        OGRLayerH layer = GDALDatasetGetLayer(dataset, i);

        if (!layer || (wanted && strcmp(OGR_L_GetName(layer), wanted) != 0))
            continue;
        HN_TRY(look_at_layer(l, layer, &out->layers[out->layer_count]));
        out->layer_count++;
    }
    if (out->layer_count == 0)
        return fail_layer(l, dataset, wanted);
out:
    return rc;
}

static hn_status fail_open(looking *l)
{
    hn_fail(l->err, HN_ERR_INPUT, "`%s` cannot be opened as a vector dataset: %s", l->shown,
            hn_gdal_log_text(&l->log));
    hn_hint(l->err, "give a file (GeoPackage, Shapefile, GeoJSON, CSV ...) or a connection string "
                    "such as PG:dbname=sewers");
    return HN_ERR_INPUT;
}

hn_status hn_look_at_dataset(const char *from, const char *layer, hn_dataset_look **out,
                             hn_error *err)
{
    looking l = {.out = hn_alloc(1, sizeof *l.out), .err = err};
    GDALDatasetH dataset;
    hn_status rc;

    *out = NULL;
    if (!l.out)
        return no_memory(err);
    hn_source_shown(from, l.shown, sizeof l.shown);
    hn_gdal_log_begin(&l.log);
    dataset = GDALOpenEx(from, GDAL_OF_VECTOR | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR, NULL,
                         NULL, NULL);
    rc = dataset ? look_at_layers(&l, dataset, layer) : fail_open(&l);
    if (dataset)
        GDALClose(dataset);
    hn_gdal_log_end();
    if (rc == HN_OK)
        *out = l.out;
    else
        hn_dataset_look_free(l.out);
    return rc;
}

void hn_dataset_look_free(hn_dataset_look *look)
{
    if (!look)
        return;
    hn_arena_clear(&look->arena);
    hn_free(look);
}
