#include "read/context_source.h"

#include "base/alloc.h"
#include "read/context_parts.h"
#include "read/open_source.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

static void add_issue(hn_issue_list *issues, const hn_opened *opened, hn_severity severity,
                      const char *rule, const char *value, const char *message, const char *effect)
{
    hn_issue_add(issues, severity, rule, NULL, opened->key, value, message, effect, NAN, NAN);
}

/* The box in the CRS of the layer. Up to LOOK_AT_ALL features each one is looked at,
 * since a filter of the driver passes over empty and placeless shapes without a word;
 * beyond that the filter saves more than it hides. Source of the number: local rule. */
enum { LOOK_AT_ALL = 100000 };

typedef struct own_box {
    int is_set;
    double at[4];
} own_box;

/* Without a way back to the layer's CRS all is read, which is slower and as right. */
static own_box filter_box(const hn_opened *opened, const char *crs_wkt, const double box[4],
                          size_t features)
{
    own_box own = {0};

    if (!box || !hn_to_crs_box_back(opened->crs, crs_wkt, box, own.at))
        return own;
    own.is_set = features <= LOOK_AT_ALL;
    if (!own.is_set)
        OGR_L_SetSpatialFilterRect(opened->layer, own.at[0], own.at[1], own.at[2], own.at[3]);
    return own;
}

/* A shape with a place, and that outside of the box. */
static int is_far(const own_box *own, OGRGeometryH geometry)
{
    OGREnvelope at;

    if (!own->is_set || !geometry || OGR_G_IsEmpty(geometry))
        return 0;
    OGR_G_GetEnvelope(geometry, &at);
    return at.MinX > own->at[2] || at.MaxX < own->at[0] || at.MinY > own->at[3] ||
           at.MaxY < own->at[1];
}

static void ignore_fields(const hn_opened *opened)
{
    OGRFeatureDefnH fields = OGR_L_GetLayerDefn(opened->layer);
    int count = OGR_FD_GetFieldCount(fields);
    const char **names = hn_alloc((size_t)count + 1, sizeof *names);

    for (int i = 0; names && i < count; i++)
        names[i] = OGR_Fld_GetNameRef(OGR_FD_GetFieldDefn(fields, i));
    if (names && !opened->has_where && OGR_L_TestCapability(opened->layer, OLCIgnoreFields))
        OGR_L_SetIgnoredFields(opened->layer, names);
    hn_free((void *)names);
}

/* A feature that the driver complains about is left out; a complaint without
 * a feature is the end. */
static hn_status read_features(const hn_opened *opened, const own_box *own,
                               hn_context_builder *builder, hn_context_stats *stats, hn_error *err)
{
    OGRFeatureH feature;

    OGR_L_ResetReading(opened->layer);
    for (;;) {
        hn_gdal_log_forget(opened->log);
        feature = OGR_L_GetNextFeature(opened->layer);
        if (!feature)
            return hn_opened_check(opened, err);
        if (is_far(own, OGR_F_GetGeometryRef(feature))) {
            OGR_F_Destroy(feature);
            continue;
        }
        if (builder->shapes->features == UINT32_MAX)
            builder->out_of_memory = 1;
        else if (!hn_context_add(builder, OGR_F_GetGeometryRef(feature)))
            stats->features_left_out++;
        builder->shapes->features++;
        stats->features_read++;
        OGR_F_Destroy(feature);
        if (builder->out_of_memory)
            return hn_fail(err, HN_ERR_MEMORY, "%s: out of memory after %zu features", opened->key,
                           stats->features_read);
    }
}

static void list_findings(const hn_opened *opened, const double *box, const hn_context_stats *stats,
                          hn_issue_list *issues)
{
    char value[96];

    if (stats->features_in_layer == 0) {
        add_issue(issues, opened, HN_SEVERITY_NOTE, "context_empty", opened->layer_name,
                  "the context layer is empty", "nothing is near");
    } else if (stats->features_read == 0) {
        add_issue(issues, opened, HN_SEVERITY_WARNING,
                  box && !opened->has_where ? "context_far_away" : "context_nothing_read",
                  opened->layer_name,
                  box ? "no feature of the context layer lies near the network"
                      : "no feature of the context layer passes `where`",
                  "nothing is near; check `crs` and `where` if that is a surprise");
    }
    if (stats->rings_closed) {
        snprintf(value, sizeof value, "%zu rings", stats->rings_closed);
        add_issue(issues, opened, HN_SEVERITY_WARNING, "context_ring_closed", value,
                  "rings of areas do not end where they begin", "they are closed");
    }
    if (stats->features_left_out == 0)
        return;
    snprintf(value, sizeof value, "%zu of %zu features", stats->features_left_out,
             stats->features_read);
    add_issue(issues, opened, HN_SEVERITY_WARNING, "context_shape_unusable", value,
              "features have no shape, or one with points that have no place", "they are left out");
}

static hn_status need_geometry(const hn_opened *opened, hn_error *err)
{
    if (OGR_L_GetGeomType(opened->layer) != wkbNone)
        return HN_OK;
    hn_fail(err, HN_ERR_INPUT, "%s: layer \"%s\" of \"%s\" is a table without geometry",
            opened->key, opened->layer_name, opened->shown);
    hn_hint(err, "a context layer needs points, lines or areas; give `layer:` when there are several");
    return HN_ERR_INPUT;
}

static hn_status read_layer(const hn_opened *opened, const char *crs_wkt, const double *box,
                            hn_context_shapes *out, hn_context_stats *stats, hn_error *err)
{
    hn_to_crs to = {NULL};
    hn_context_builder builder = {.shapes = out, .to = &to};
    own_box own;
    hn_status rc = HN_OK;

    stats->features_in_layer = opened->rows_in_layer < 0 ? SIZE_MAX : (size_t)opened->rows_in_layer;
    snprintf(stats->driver, sizeof stats->driver, "%s", opened->driver);
    snprintf(stats->layer, sizeof stats->layer, "%s", opened->layer_name);
    HN_TRY(hn_to_crs_init(&to, opened->crs, crs_wkt, opened->key, err));
    own = filter_box(opened, crs_wkt, box, stats->features_in_layer);
    ignore_fields(opened);
    HN_TRY(read_features(opened, &own, &builder, stats, err));
    stats->rings_closed = builder.rings_closed;
    if (!out->start)
        out->start = hn_alloc(1, sizeof *out->start);
    HN_TRY_ALLOC(out->start);
out:
    hn_to_crs_clear(&to);
    return rc;
}

hn_status hn_context_read(const hn_source *source, const char *crs_wkt, const double box[4],
                          hn_issue_list *issues, hn_context_shapes *out, hn_context_stats *stats,
                          hn_error *err)
{
    hn_status rc = HN_OK;
    hn_gdal_log log;
    hn_opened opened = {0};

    memset(out, 0, sizeof *out);
    memset(stats, 0, sizeof *stats);
    hn_gdal_log_begin(&log);
    HN_TRY(hn_open_source(source, &log, &opened, err));
    HN_TRY(need_geometry(&opened, err));
    HN_TRY(hn_opened_need_crs(&opened, err));
    HN_TRY(read_layer(&opened, crs_wkt, box, out, stats, err));
    list_findings(&opened, box, stats, issues);
out:
    hn_opened_close(&opened);
    hn_gdal_log_end();
    if (rc != HN_OK)
        hn_context_shapes_clear(out);
    return rc;
}
