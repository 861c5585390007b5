#include "write/gpkg_file.h"

#include "base/alloc.h"
#include "write/gpkg_layer.h"
#include "write/gpkg_rtree.h"
#include "write/output_file.h"
#include "write/page_layer.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

/* The SQL of a table's triggers, to be run again. */
typedef struct trigger_list {
    char **sql;
    size_t count, capacity;
} trigger_list;

static void trigger_list_clear(trigger_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        hn_free(list->sql[i]);
    hn_free(list->sql);
    *list = (trigger_list){0};
}

static hn_status read_triggers(sqlite3 *db, const char *table, trigger_list *list, hn_error *err)
{
    sqlite3_stmt *query = NULL;
    hn_status rc;
    int code = SQLITE_DONE;

    HN_TRY(hn_sql_prepare(db, &query, err,
                          "SELECT sql FROM sqlite_master WHERE type = 'trigger'"
                          " AND lower(tbl_name) = lower(%Q) ORDER BY rowid",
                          table));
    while ((code = sqlite3_step(query)) == SQLITE_ROW) {
        HN_TRY_ALLOC(hn_grow((void **)&list->sql, list->count, &list->capacity, sizeof *list->sql)
                         ? list->sql
                         : NULL);
        list->sql[list->count] = hn_copy_text((const char *)sqlite3_column_text(query, 0));
        HN_TRY_ALLOC(list->sql[list->count]);
        list->count++;
    }
    if (code != SQLITE_DONE)
        rc = hn_sql_fail(db, err);
out:
    sqlite3_finalize(query);
    return rc;
}

/* Names are taken one at a time: a table cannot be read while it changes. */
static hn_status drop_triggers(sqlite3 *db, const char *table, size_t count, hn_error *err)
{
    hn_status rc = HN_OK;

    for (size_t i = 0; i < count; i++) {
        sqlite3_stmt *query = NULL;
        char *name = NULL;

        HN_TRY(hn_sql_prepare(db, &query, err,
                              "SELECT name FROM sqlite_master WHERE type = 'trigger'"
                              " AND lower(tbl_name) = lower(%Q) ORDER BY rowid LIMIT 1",
                              table));
        if (sqlite3_step(query) == SQLITE_ROW)
            name = hn_copy_text((const char *)sqlite3_column_text(query, 0));
        sqlite3_finalize(query);
        HN_TRY_ALLOC(name);
        rc = hn_sql_run(db, err, "DROP TRIGGER \"%w\"", name);
        hn_free(name);
        HN_TRY(rc);
    }
out:
    return rc;
}

static hn_status restore_triggers(sqlite3 *db, const trigger_list *list, hn_error *err)
{
    hn_status rc = HN_OK;

    for (size_t i = 0; i < list->count && rc == HN_OK; i++)
        rc = hn_sql_run(db, err, "%s", list->sql[i]);
    return rc;
}

/* An unknown reference system is "undefined Cartesian" (-1): a sewer network
 * is never laid out in degrees. */
static hn_status settle_srs(sqlite3 *db, hn_gpkg_layer *layer, hn_error *err)
{
    const char *name = layer->view->name;
    sqlite3_int64 srs_id = 0;
    hn_status rc;

    HN_TRY(hn_sql_number(db, &srs_id, err,
                         "SELECT srs_id FROM gpkg_geometry_columns WHERE table_name = %Q", name));
    if (srs_id == 0) {
        srs_id = -1;
        HN_TRY(hn_sql_run(db, err,
                          "UPDATE gpkg_geometry_columns SET srs_id = -1 WHERE table_name = %Q;"
                          "UPDATE gpkg_contents SET srs_id = -1 WHERE table_name = %Q",
                          name, name));
    }
    layer->srs_id = (int32_t)srs_id;
out:
    return rc;
}

/* What the file says about a layer, known before its rows are in. */
static hn_status settle_layer(sqlite3 *db, hn_gpkg_layer *layer, hn_error *err)
{
    const hn_shape_survey *survey = &layer->survey;
    const char *name = layer->view->name;
    const hn_box *e = &survey->extent;
    hn_status rc = HN_OK;

    if (hn_gpkg_has_geometry(layer))
        HN_TRY(settle_srs(db, layer, err));
    if (survey->has_z && !survey->all_have_z) /* 2: a row may have heights */
        HN_TRY(hn_sql_run(db, err, "UPDATE gpkg_geometry_columns SET z = 2 WHERE table_name = %Q",
                          name));
    if (survey->shapes)
        HN_TRY(hn_sql_run(db, err,
                          "UPDATE gpkg_contents SET min_x = %!.17g, min_y = %!.17g,"
                          " max_x = %!.17g, max_y = %!.17g WHERE table_name = %Q",
                          e->min_x, e->min_y, e->max_x, e->max_y, name));
    HN_TRY(hn_sql_run(db, err,
                      "UPDATE gpkg_ogr_contents SET feature_count = %lld WHERE table_name = %Q",
                      (sqlite3_int64)layer->view->rows, name));
out:
    return rc;
}

/* By SQL. Without triggers: what they would count is known. */
static hn_status fill_layer(sqlite3 *db, const hn_gpkg_layer *layer, hn_pace *pace, hn_error *err)
{
    const char *name = layer->view->name;
    trigger_list triggers = {0};
    hn_status rc;

    HN_TRY(read_triggers(db, name, &triggers, err));
    HN_TRY(drop_triggers(db, name, triggers.count, err));
    HN_TRY(hn_gpkg_rows(db, layer, pace, err));
    if (hn_gpkg_has_geometry(layer))
        HN_TRY(hn_gpkg_rtree_pack(db, name, layer->geometry_name, layer->survey.boxes,
                                  layer->view->rows, err));
    HN_TRY(restore_triggers(db, &triggers, err));
out:
    trigger_list_clear(&triggers);
    return rc;
}

/* A file on its way; `fits` says that pages can be added to it. */
typedef struct filling {
    const char *path;
    const hn_result_spec *spec;
    hn_gpkg_layer *layers;
    hn_page_plan *plans; /* one a layer */
    int fits;
    hn_pace *pace;
} filling;

/* The file is private and worthless until it is whole, so nothing guards
 * against a crash in the middle; it is synced at the end. */
static hn_status run_sql(filling *f, sqlite3 *db, hn_error *err)
{
    const size_t count = f->spec->view_count;
    hn_status rc;

    HN_TRY(hn_sql_run(db, err,
                      "PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF;"
                      "PRAGMA locking_mode = EXCLUSIVE; PRAGMA cache_size = -16384; BEGIN"));
    for (size_t i = 0; i < count; i++)
        HN_TRY(settle_layer(db, &f->layers[i], err));
    HN_TRY(hn_gpkg_describe(db, f->spec, err));
    for (size_t i = 0; i < count && f->fits; i++)
        HN_TRY(hn_page_plan_make(db, &f->layers[i], &f->plans[i], &f->fits, err));
    for (size_t i = 0; i < count; i++)
        if (f->fits)
            HN_TRY(hn_page_plan_settle(db, &f->layers[i], err));
        else
            HN_TRY(fill_layer(db, &f->layers[i], f->pace, err));
    HN_TRY(hn_sql_run(db, err, "COMMIT"));
out:
    return rc;
}

static hn_status fill_by_sql(filling *f, hn_error *err)
{
    const char *path = f->path;
    sqlite3 *db = NULL;
    hn_status rc;

    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL) != SQLITE_OK)
        rc = hn_sql_fail(db, err);
    else
        rc = run_sql(f, db, err);
    if (sqlite3_close(db) != SQLITE_OK && rc == HN_OK)
        rc = hn_fail(err, HN_ERR_OUTPUT, "cannot write %s: it does not close", path);
    return rc;
}

static hn_status fill_by_pages(const filling *f, hn_error *err)
{
    hn_page_file file;
    hn_status rc = hn_page_file_open(&file, f->path, err);

    if (rc != HN_OK)
        return rc;
    for (size_t i = 0; i < f->spec->view_count; i++) {
        hn_gpkg_layer *layer = &f->layers[i];

        HN_TRY(hn_page_layer_rows(&file, layer, &f->plans[i], f->spec->threads, f->pace, err));
        HN_TRY(hn_page_layer_index(&file, layer, &f->plans[i], f->spec->threads, err));
        hn_shape_survey_clear(&layer->survey);
    }
    return hn_page_file_close(&file, err);
out:
    hn_page_file_discard(&file);
    return rc;
}

static int always_sql, used_pages; /* for tests */

void hn_gpkg_use_sql(int always)
{
    always_sql = always;
}

int hn_gpkg_used_pages(void)
{
    return used_pages;
}

static hn_status fill(const char *path, const hn_result_spec *spec, hn_gpkg_layer *layers,
                      hn_pace *pace, hn_error *err)
{
    filling f = {.path = path, .spec = spec, .layers = layers, .pace = pace};
    hn_status rc;

    f.plans = hn_alloc(spec->view_count, sizeof *f.plans);
    HN_TRY_ALLOC(f.plans);
    f.fits = !always_sql && hn_page_file_fits(path);
    HN_TRY(fill_by_sql(&f, err));
    used_pages = f.fits;
    rc = f.fits ? fill_by_pages(&f, err) : hn_output_sync(path, err);
out:
    hn_free(f.plans);
    return rc;
}

static int has_column(const hn_view *view, const char *name)
{
    for (size_t c = 0; c < view->column_count; c++)
        if (strcasecmp(view->columns[c].name, name) == 0)
            return 1;
    return 0;
}

/* "fid", else "fid_1", "fid_2" ... */
static void free_name(const hn_view *view, const char *wish, char out[HN_GPKG_NAME])
{
    snprintf(out, HN_GPKG_NAME, "%s", wish);
    for (int i = 1; has_column(view, out); i++)
        snprintf(out, HN_GPKG_NAME, "%s_%d", wish, i);
}

/* The format wants each title once; a doubled one gets the table's name. */
static char *make_identifier(const hn_result_spec *spec, const hn_view *view)
{
    const char *title = view->title && *view->title ? view->title : view->name;
    size_t room = strlen(title) + strlen(view->name) + 4;
    char *text = hn_alloc(room, 1);
    int uses = 0;

    for (size_t v = 0; v < spec->view_count; v++)
        uses += strcmp(spec->views[v]->title ? spec->views[v]->title : "", title) == 0 ||
                strcmp(spec->views[v]->name, title) == 0;
    if (text && uses > 1)
        snprintf(text, room, "%s (%s)", title, view->name);
    else if (text)
        snprintf(text, room, "%s", title);
    return text;
}

static hn_status start_layer(const hn_result_spec *spec, const hn_view *view, hn_gpkg_layer *layer,
                             hn_error *err)
{
    layer->view = view;
    layer->identifier = make_identifier(spec, view);
    if (!layer->identifier)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    free_name(view, "fid", layer->fid_name);
    free_name(view, "geom", layer->geometry_name);
    return hn_gpkg_has_geometry(layer) ? hn_shape_survey_make(view, &layer->survey, err) : HN_OK;
}

/* Layers first, then tables; each group in the order given. */
static hn_status start_layers(const hn_result_spec *spec, hn_gpkg_layer *layers, hn_error *err)
{
    hn_status rc = HN_OK;
    size_t next = 0;

    for (int with_geometry = 1; with_geometry >= 0; with_geometry--)
        for (size_t v = 0; v < spec->view_count && rc == HN_OK; v++)
            if ((spec->views[v]->geometry != HN_GEOMETRY_NONE) == with_geometry)
                rc = start_layer(spec, spec->views[v], &layers[next++], err);
    return rc;
}

hn_status hn_gpkg_write(const char *path, const hn_result_spec *spec, hn_pace *pace, hn_error *err)
{
    hn_gpkg_layer *layers = hn_alloc(spec->view_count, sizeof *layers);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(layers);
    HN_TRY(start_layers(spec, layers, err));
    HN_TRY(hn_gpkg_create(path, spec, layers, err));
    HN_TRY(fill(path, spec, layers, pace, err));
out:
    for (size_t i = 0; layers && i < spec->view_count; i++) {
        hn_shape_survey_clear(&layers[i].survey);
        hn_free(layers[i].identifier);
    }
    hn_free(layers);
    return rc;
}
