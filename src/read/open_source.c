#include "read/open_source.h"

#include "base/arena.h"
#include "base/nearest.h"

#include <cpl_string.h>
#include <cpl_vsi.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

enum { NAMES_SHOWN = 40 };

/* Names of layers or fields, for messages. */
typedef struct name_list {
    const char **names;
    size_t count;
} name_list;

static void print_names(const name_list *list, char *room, size_t size)
{
    size_t used = 0;

    room[0] = '\0';
    for (size_t i = 0; i < list->count && i < NAMES_SHOWN && used < size; i++)
        used += (size_t)snprintf(room + used, size - used, "%s%s", i ? ", " : "", list->names[i]);
    if (list->count > NAMES_SHOWN && used < size)
        snprintf(room + used, size - used, " and %zu more", list->count - NAMES_SHOWN);
}

static name_list layer_names(GDALDatasetH dataset, hn_arena *arena)
{
    int count = GDALDatasetGetLayerCount(dataset);
    name_list list = {hn_arena_alloc(arena, (size_t)count, sizeof *list.names), 0};

    for (int i = 0; list.names && i < count; i++) {
        OGRLayerH layer = GDALDatasetGetLayer(dataset, i);

        if (layer)
            list.names[list.count++] = OGR_L_GetName(layer);
    }
    return list;
}

static name_list field_names(OGRLayerH layer, hn_arena *arena)
{
    OGRFeatureDefnH fields = OGR_L_GetLayerDefn(layer);
    int count = OGR_FD_GetFieldCount(fields);
    name_list list = {hn_arena_alloc(arena, (size_t)count, sizeof *list.names), 0};

    for (int i = 0; list.names && i < count; i++)
        list.names[list.count++] = OGR_Fld_GetNameRef(OGR_FD_GetFieldDefn(fields, i));
    return list;
}

/* Hint of the form: there are: a, b, c; did you mean "b" */
static void hint_names(hn_error *err, const char *what, const char *wanted, const name_list *list)
{
    char shown[HN_ERROR_TEXT_MAX / 2];
    const char *near = wanted ? hn_nearest_of(wanted, list->names, list->count) : NULL;

    print_names(list, shown, sizeof shown);
    if (list->count == 0)
        hn_hint(err, "there are no %ss in it", what);
    else if (near)
        hn_hint(err, "did you mean \"%s\"? the %ss are: %s", near, what, shown);
    else
        hn_hint(err, "the %ss are: %s", what, shown);
}

static int is_text_file(const char *from)
{
    const char *dot = strrchr(from, '.');

    return dot && (strcasecmp(dot, ".csv") == 0 || strcasecmp(dot, ".tsv") == 0 ||
                   strcasecmp(dot, ".txt") == 0);
}

/* Text tables: names in the first row; a WKT column or a pair of coordinate
 * columns may be the geometry. Types are left as text, read by field_value. */
static char **open_options(const char *from)
{
    char **options = NULL;

    if (!is_text_file(from) && strncasecmp(from, "CSV:", 4) != 0)
        return NULL;
    options = CSLSetNameValue(options, "HEADERS", "YES");
    options = CSLSetNameValue(options, "GEOM_POSSIBLE_NAMES", "WKT,geom,geometry,the_geom");
    options = CSLSetNameValue(options, "X_POSSIBLE_NAMES", "x,easting,lon,longitude");
    options = CSLSetNameValue(options, "Y_POSSIBLE_NAMES", "y,northing,lat,latitude");
    return options;
}

static int looks_like_path(const char *from)
{
    return !strstr(from, "://") && !strchr(from, ':') && from[0] != '<' && from[0] != '{';
}

static hn_status fail_open(const hn_opened *opened, const char *from, hn_error *err)
{
    VSIStatBufL info;

    if (looks_like_path(from) && VSIStatL(from, &info) != 0) {
        hn_fail(err, HN_ERR_INPUT, "%s: there is no file \"%s\"", opened->key, opened->shown);
        hn_hint(err, "paths are relative to the folder of the plan");
        return HN_ERR_INPUT;
    }
    hn_fail(err, HN_ERR_INPUT, "%s: \"%s\" cannot be opened as a vector source: %s", opened->key,
            opened->shown, hn_gdal_log_text(opened->log));
    hn_hint(err, "ogrinfo on the same source shows whether this GDAL can read it");
    return HN_ERR_INPUT;
}

static hn_status open_dataset(hn_opened *opened, const char *from, hn_error *err)
{
    char **options = open_options(from);
    unsigned flags = GDAL_OF_VECTOR | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR;

    opened->dataset = GDALOpenEx(from, flags, NULL, (const char *const *)options, NULL);
    CSLDestroy(options);
    if (!opened->dataset)
        return fail_open(opened, from, err);
    opened->driver = GDALGetDriverShortName(GDALGetDatasetDriver(opened->dataset));
    return HN_OK;
}

static hn_status pick_layer(hn_opened *opened, const char *wanted, hn_error *err)
{
    int count = GDALDatasetGetLayerCount(opened->dataset);
    hn_arena arena = {0};
    name_list list;

    if (wanted)
        opened->layer = GDALDatasetGetLayerByName(opened->dataset, wanted);
    else if (count == 1)
        opened->layer = GDALDatasetGetLayer(opened->dataset, 0);
    if (opened->layer) {
        opened->layer_name = OGR_L_GetName(opened->layer);
        return HN_OK;
    }
    if (wanted)
        hn_fail(err, HN_ERR_INPUT, "%s: \"%s\" has no layer \"%s\"", opened->key, opened->shown,
                wanted);
    else
        hn_fail(err, HN_ERR_INPUT, "%s: \"%s\" has %d layers; the plan must name one with `layer:`",
                opened->key, opened->shown, count);
    list = layer_names(opened->dataset, &arena);
    hint_names(err, "layer", wanted, &list);
    hn_arena_clear(&arena);
    return HN_ERR_INPUT;
}

/* Several drivers look at the filter only when the first row is asked for. */
static hn_status apply_where(hn_opened *opened, const char *where, hn_error *err)
{
    OGRErr failed;
    OGRFeatureH first = NULL;
    hn_arena arena = {0};
    name_list list;

    if (!where || !where[0])
        return HN_OK;
    hn_gdal_log_forget(opened->log);
    failed = OGR_L_SetAttributeFilter(opened->layer, where);
    if (failed == OGRERR_NONE) {
        OGR_L_ResetReading(opened->layer);
        first = OGR_L_GetNextFeature(opened->layer);
    }
    OGR_F_Destroy(first);
    OGR_L_ResetReading(opened->layer);
    if (failed == OGRERR_NONE && opened->log->failures == 0)
        return HN_OK;
    hn_fail(err, HN_ERR_INPUT, "%s: the filter `where: %s` is not accepted by \"%s\": %s",
            opened->key, where, opened->shown, hn_gdal_log_text(opened->log));
    list = field_names(opened->layer, &arena);
    hint_names(err, "field", NULL, &list);
    hn_arena_clear(&arena);
    return HN_ERR_INPUT;
}

/* A placeholder that says "unknown" is no CRS. */
static int is_usable_crs(OGRSpatialReferenceH crs)
{
    return crs && (OSRIsGeographic(crs) || OSRIsProjected(crs));
}

/* OSRSetFromUserInput would fetch a URL; a plan names a system, not a site. */
static int is_web_address(const char *text)
{
    return strncasecmp(text, "http", 4) == 0 && !strstr(text, "opengis.net/");
}

static hn_status crs_from_plan(hn_opened *opened, const char *text, hn_error *err)
{
    hn_gdal_log_forget(opened->log);
    opened->crs = OSRNewSpatialReference(NULL);
    if (opened->crs && !is_web_address(text) &&
        OSRSetFromUserInput(opened->crs, text) == OGRERR_NONE && is_usable_crs(opened->crs))
        return HN_OK;
    hn_fail(err, HN_ERR_INPUT, "%s: crs \"%s\" is not a known geographic or projected system",
            opened->key, text);
    hn_hint(err, "write a code such as EPSG:25832, or a WKT text");
    return HN_ERR_INPUT;
}

static hn_status take_crs(hn_opened *opened, const char *from_plan, hn_error *err)
{
    OGRSpatialReferenceH own = OGR_L_GetSpatialRef(opened->layer);
    hn_status rc = HN_OK;

    if (from_plan && from_plan[0])
        rc = crs_from_plan(opened, from_plan, err);
    else if (is_usable_crs(own))
        opened->crs = OSRClone(own);
    if (rc == HN_OK && opened->crs) {
        OSRDemoteTo2D(opened->crs, NULL);
        OSRSetAxisMappingStrategy(opened->crs, OAMS_TRADITIONAL_GIS_ORDER);
    }
    return rc;
}

hn_status hn_open_source(const hn_source *source, hn_gdal_log *log, hn_opened *out, hn_error *err)
{
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out);
    out->log = log;
    out->key = source->key ? source->key : "source";
    hn_source_shown(source->from, out->shown, sizeof out->shown);
    HN_TRY(open_dataset(out, source->from, err));
    HN_TRY(pick_layer(out, source->layer, err));
    HN_TRY(take_crs(out, source->crs, err));
    out->rows_in_layer = OGR_L_GetFeatureCount(out->layer, 0);
    out->has_where = source->where && source->where[0];
    HN_TRY(apply_where(out, source->where, err));
    hn_gdal_log_forget(log);
out:
    if (rc != HN_OK)
        hn_opened_close(out);
    return rc;
}

void hn_opened_close(hn_opened *opened)
{
    if (opened->crs)
        OSRDestroySpatialReference(opened->crs);
    if (opened->dataset)
        GDALClose(opened->dataset);
    opened->crs = NULL;
    opened->dataset = NULL;
    opened->layer = NULL;
}

static int find_field(OGRFeatureDefnH fields, const char *name)
{
    int folded = -1;

    for (int i = 0; i < OGR_FD_GetFieldCount(fields); i++) {
        const char *there = OGR_Fld_GetNameRef(OGR_FD_GetFieldDefn(fields, i));

        if (strcmp(there, name) == 0)
            return i;
        if (folded < 0 && strcasecmp(there, name) == 0)
            folded = i;
    }
    return folded;
}

static int is_fid_name(OGRLayerH layer, const char *name)
{
    const char *fid = OGR_L_GetFIDColumn(layer);

    return strcasecmp(name, "fid") == 0 || (fid[0] && strcasecmp(name, fid) == 0);
}

hn_status hn_opened_field(const hn_opened *opened, const hn_field_map *map, int *index,
                          hn_error *err)
{
    hn_arena arena = {0};
    name_list list;

    *index = HN_FIELD_CONSTANT;
    if (!map->field)
        return HN_OK;
    *index = find_field(OGR_L_GetLayerDefn(opened->layer), map->field);
    if (*index >= 0)
        return HN_OK;
    if (is_fid_name(opened->layer, map->field)) {
        *index = HN_FIELD_FID;
        return HN_OK;
    }
    hn_fail(err, HN_ERR_INPUT, "%s: layer \"%s\" has no field \"%s\" (mapped to %s)", opened->key,
            opened->layer_name, map->field, map->role);
    list = field_names(opened->layer, &arena);
    hint_names(err, "field", map->field, &list);
    hn_arena_clear(&arena);
    return HN_ERR_INPUT;
}

hn_status hn_opened_need_crs(const hn_opened *opened, hn_error *err)
{
    if (opened->crs)
        return HN_OK;
    hn_fail(err, HN_ERR_INPUT, "%s: layer \"%s\" of \"%s\" does not say its coordinate system",
            opened->key, opened->layer_name, opened->shown);
    hn_hint(err, "give it in the plan, for example `crs: EPSG:25832`");
    return HN_ERR_INPUT;
}

hn_status hn_opened_check(const hn_opened *opened, hn_error *err)
{
    if (opened->log->failures == 0)
        return HN_OK;
    return hn_fail(err, HN_ERR_INPUT, "%s: reading \"%s\" failed: %s", opened->key, opened->shown,
                   opened->log->failure);
}
