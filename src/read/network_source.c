#include "read/network_source.h"

#include "base/alloc.h"
#include "read/crs_area.h"
#include "read/crs_info.h"
#include "read/ellipsoid_length.h"
#include "read/gpkg_batches.h"
#include "read/line_store.h"
#include "read/network_rows.h"
#include "read/ogr_batches.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double TOUCH_M = 0.001;              /* parts nearer than this meet */
static const double TOUCH_DEG = 0.001 / 111000.0; /* a degree of latitude is about 111 km */

static hn_status check_geometry(const hn_opened *opened, hn_error *err)
{
    if (OGR_L_GetGeomType(opened->layer) != wkbNone)
        return HN_OK;
    hn_fail(err, HN_ERR_INPUT, "%s: layer \"%s\" of \"%s\" is a table without geometry",
            opened->key, opened->layer_name, opened->shown);
    hn_hint(err, "the network needs lines; a CSV file may hold them as WKT in a column named WKT");
    return HN_ERR_INPUT;
}

static hn_line_rules rules_of(const hn_opened *opened, const hn_crs_info *crs)
{
    char *unit = NULL;
    double radians = OSRGetAngularUnits(opened->crs, &unit);
    hn_line_rules rules = {.touch = TOUCH_M / crs->metres_per_unit};

    if (crs->is_geographic) {
        rules.touch = TOUCH_DEG;
        rules.is_geographic = fabs(radians - 0.017453292519943295) < 1e-9;
    }
    return rules;
}

static void fill_stats(const hn_opened *opened, hn_read_stats *stats)
{
    memset(stats, 0, sizeof *stats);
    stats->rows_in_layer = opened->rows_in_layer < 0 ? SIZE_MAX : (size_t)opened->rows_in_layer;
    snprintf(stats->driver, sizeof stats->driver, "%s", opened->driver);
    snprintf(stats->layer, sizeof stats->layer, "%s", opened->layer_name);
}

static hn_status take(void *context, const hn_row_batch *batch, hn_error *err)
{
    return hn_network_rows_take(context, batch, err);
}

static hn_status read_rows(const hn_source *source, const hn_opened *opened, const hn_crs_info *crs,
                           int threads, hn_network_rows *rows, hn_error *err)
{
    hn_line_rules rules = rules_of(opened, crs);
    hn_status rc = HN_OK;
    int done = 0;

    HN_TRY(hn_network_rows_begin(rows, err));
    HN_TRY(hn_gpkg_batches(source, opened, rows->map, &rules, threads, take, rows, &done, err));
    if (!done)
        HN_TRY(hn_ogr_batches(opened, rows->map, &rules, take, rows, err));
    HN_TRY(hn_network_rows_end(rows, err));
out:
    return rc;
}

static hn_status check_count(const hn_opened *opened, const hn_read_stats *stats, hn_error *err)
{
    if (stats->rows_kept > 0)
        return HN_OK;
    if (stats->rows_read == 0) {
        hn_fail(err, HN_ERR_INPUT, "%s: no row of layer \"%s\" is read", opened->key,
                opened->layer_name);
        hn_hint(err, opened->has_where ? "look at `where` in the plan" : "the layer is empty");
    } else {
        hn_fail(err, HN_ERR_INPUT,
                "%s: none of the %zu rows of layer \"%s\" has a usable line or a recorded length",
                opened->key, stats->rows_read, opened->layer_name);
        hn_hint(err, "look at the geometry of the layer, and whether its CRS is the right one: "
                     "metres read as degrees, or degrees as metres, lie nowhere (`crs:` in the "
                     "plan says otherwise)");
    }
    return HN_ERR_INPUT;
}

/* ---- lines that the CRS cannot place ---- */

static int is_placed(const hn_table *table, size_t row)
{
    return hn_line_points(&table->lines, row) == 0 || !isnan(HN_F64(table, LENGTH_GEOMETRY_M)[row]);
}

static void list_unplaced(const hn_table *table, size_t row, int stays, hn_issue_list *issues)
{
    const double *p = table->lines.xy + 2 * table->lines.start[row];
    char text[64];

    snprintf(text, sizeof text, "%.10g %.10g", p[0], p[1]);
    hn_issue_add(issues, stays ? HN_SEVERITY_WARNING : HN_SEVERITY_ERROR, "coordinates_off_crs",
                 hn_table_text(table, HN_COL_SEGMENT_ID, row), "geometry", text,
                 "the coordinate system cannot place a point of the line",
                 stays ? "kept with its recorded length, not drawn"
                       : "row left out: no usable line and no recorded length",
                 NAN, NAN);
}

/* Rare: so the whole table is put in order again without the lost rows. */
static hn_status drop_unplaced(hn_table *table, hn_issue_list *issues, hn_read_stats *stats,
                               hn_error *err)
{
    uint32_t *order = hn_alloc(table->rows, sizeof *order);
    uint8_t *marked = hn_alloc(table->rows, 1);
    size_t kept = 0, unplaced = 0;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(order);
    HN_TRY_ALLOC(marked);
    for (size_t row = 0; row < table->rows; row++) {
        int stays = hn_f64(table, HN_COL_LENGTH_RECORDED_M, row) > 0;

        marked[row] = !is_placed(table, row);
        unplaced += marked[row];
        if (marked[row])
            list_unplaced(table, row, stays, issues);
        if (!marked[row] || stays)
            order[kept++] = (uint32_t)row;
    }
    if (unplaced)
        hn_lines_drop(&table->lines, table->rows, marked);
    stats->rows_rejected += table->rows - kept;
    stats->rows_kept = kept;
    if (kept < table->rows)
        HN_TRY(hn_table_reorder(table, order, kept, err));
out:
    hn_free(order);
    hn_free(marked);
    return rc;
}

static hn_status measure(hn_table *table, const hn_crs_info *crs, int threads,
                         hn_issue_list *issues, hn_read_stats *stats, hn_error *err)
{
    hn_status rc = HN_OK;
    int all_placed = 1;

    HN_TRY(hn_table_want(table, HN_COL_LENGTH_GEOMETRY_M, err));
    HN_TRY(hn_ellipsoid_lengths(crs->wkt, &table->lines, table->rows, threads,
                                HN_F64(table, LENGTH_GEOMETRY_M), err));
    for (size_t row = 0; row < table->rows && all_placed; row++)
        all_placed = is_placed(table, row);
    if (!all_placed)
        HN_TRY(drop_unplaced(table, issues, stats, err));
    HN_TRY(hn_crs_area_check(crs->wkt, table, issues, err));
out:
    return rc;
}

hn_status hn_network_read(const hn_source *source, int threads, hn_issue_list *issues,
                          hn_progress_fn progress, void *progress_context, hn_table **out,
                          hn_crs_info *crs, hn_read_stats *stats, hn_error *err)
{
    hn_status rc = HN_OK;
    hn_gdal_log log;
    hn_opened opened = {0};
    hn_role_map map;
    hn_network_rows rows = {.map = &map,
                            .key = source->key,
                            .issues = issues,
                            .stats = stats,
                            .progress = progress,
                            .progress_context = progress_context};

    *out = NULL;
    memset(crs, 0, sizeof *crs);
    memset(stats, 0, sizeof *stats);
    hn_gdal_log_begin(&log);
    HN_TRY(hn_open_source(source, &log, &opened, err));
    HN_TRY(check_geometry(&opened, err));
    HN_TRY(hn_opened_need_crs(&opened, err));
    HN_TRY(hn_role_map_init(&map, source, &opened, hn_segment_roles, hn_segment_role_count, err));
    HN_TRY(hn_crs_info_set(opened.crs, crs, err));
    fill_stats(&opened, stats);
    HN_TRY(hn_table_new(&rows.table, err));
    HN_TRY(read_rows(source, &opened, crs, threads, &rows, err));
    HN_TRY(check_count(&opened, stats, err));
    HN_TRY(measure(rows.table, crs, threads, issues, stats, err));
    HN_TRY(check_count(&opened, stats, err));
    if (progress)
        progress(progress_context, 1.0);
    *out = rows.table;
    rows.table = NULL;
out:
    hn_opened_close(&opened);
    hn_gdal_log_end();
    hn_table_free(rows.table);
    if (rc != HN_OK)
        hn_crs_info_clear(crs);
    return rc;
}
