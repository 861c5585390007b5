/* write/page_plan.c - is the file as the page writer knows it, and where do
 * the pages go. Whatever is not known is left to SQL. */
#include "write/page_layer.h"

#include "write/gpkg_rtree.h"

#include <string.h>
#include <strings.h>

/* A column as the table must have it. */
typedef struct expected {
    const char *name, *type;
} expected;

/* The columns of a layer's table, one by one; NULL behind the last. */
static expected layer_column(const hn_gpkg_layer *layer, size_t at)
{
    static const char *const types[] = {[HN_VIEW_TEXT] = "TEXT",
                                        [HN_VIEW_INT] = "INTEGER",
                                        [HN_VIEW_REAL] = "REAL",
                                        [HN_VIEW_BOOL] = "BOOLEAN",
                                        [HN_VIEW_DATE] = "DATE"};
    const size_t first = 1 + (size_t)hn_gpkg_has_geometry(layer);

    if (at == 0)
        return (expected){layer->fid_name, "INTEGER"};
    if (at < first)
        return (expected){layer->geometry_name, NULL};
    if (at - first >= layer->view->column_count)
        return (expected){NULL, NULL};
    return (expected){layer->view->columns[at - first].name,
                      types[layer->view->columns[at - first].kind]};
}

/* Row of PRAGMA table_xinfo: number, name, type, not null, default, place in
 * the primary key, hidden. */
static int is_column(sqlite3_stmt *query, const expected *e, int is_key)
{
    const char *name = (const char *)sqlite3_column_text(query, 1);
    const char *type = (const char *)sqlite3_column_text(query, 2);

    return e->name && name && strcmp(name, e->name) == 0 &&
           (!e->type || (type && strcasecmp(type, e->type) == 0)) &&
           sqlite3_column_int(query, 5) == is_key && sqlite3_column_int(query, 6) == 0;
}

/* A table's columns one by one against a list that is asked by number. */
typedef expected (*column_fn)(const void *context, size_t at);

static hn_status has_columns(sqlite3 *db, const char *table, column_fn column, const void *context,
                             int *fits, hn_error *err)
{
    sqlite3_stmt *query = NULL;
    size_t at = 0;
    hn_status rc;
    int code;

    HN_TRY(hn_sql_prepare(db, &query, err, "PRAGMA table_xinfo(%Q)", table));
    while ((code = sqlite3_step(query)) == SQLITE_ROW) {
        const expected e = column(context, at);

        *fits = *fits && is_column(query, &e, at == 0);
        at++;
    }
    *fits = *fits && column(context, at).name == NULL;
    if (code != SQLITE_DONE)
        rc = hn_sql_fail(db, err);
out:
    sqlite3_finalize(query);
    return rc;
}

/* A table without rows and without any index, so also with a rowid: the key of
 * a WITHOUT ROWID table counts as an index. */
static hn_status is_bare(sqlite3 *db, const char *table, int *fits, hn_error *err)
{
    sqlite3_int64 indexes = 1, has_row = 1;
    hn_status rc;

    HN_TRY(hn_sql_number(db, &indexes, err, "SELECT count(*) FROM pragma_index_list(%Q)", table));
    HN_TRY(hn_sql_number(db, &has_row, err, "SELECT EXISTS (SELECT 1 FROM \"%w\")", table));
    *fits = *fits && indexes == 0 && has_row == 0;
out:
    return rc;
}

static hn_status root_page(sqlite3 *db, const char *table, uint32_t *root, int *fits, hn_error *err)
{
    sqlite3_int64 page = 0;
    hn_status rc = hn_sql_number(db, &page, err,
                                 "SELECT coalesce(max(rootpage), 0) FROM sqlite_master"
                                 " WHERE type = 'table' AND name = %Q",
                                 table);

    *root = (uint32_t)page;
    *fits = *fits && page > 1 && page < UINT32_MAX;
    return rc;
}

static expected layer_column_of(const void *context, size_t at)
{
    return layer_column(context, at);
}

/* `context` is the names, NULL behind the last; the first is the rowid. */
static expected shadow_column_of(const void *context, size_t at)
{
    const char *const *names = context;

    return (expected){names[at], at == 0 ? "INTEGER" : ""};
}

static hn_status plan_shadow(sqlite3 *db, const hn_gpkg_layer *layer, const char *suffix,
                             const char *const *names, uint32_t *root, int *fits, hn_error *err)
{
    char *table =
        sqlite3_mprintf("rtree_%s_%s_%s", layer->view->name, layer->geometry_name, suffix);
    hn_status rc;

    HN_TRY_ALLOC(table);
    HN_TRY(has_columns(db, table, shadow_column_of, names, fits, err));
    HN_TRY(root_page(db, table, root, fits, err));
    if (*fits && strcmp(suffix, "node") != 0) /* that one holds an empty root */
        rc = is_bare(db, table, fits, err);
out:
    sqlite3_free(table);
    return rc;
}

static hn_status plan_index(sqlite3 *db, const hn_gpkg_layer *layer, hn_page_plan *plan, int *fits,
                            hn_error *err)
{
    static const char *const nodes[] = {"nodeno", "data", NULL};
    static const char *const rowids[] = {"rowid", "nodeno", NULL};
    static const char *const parents[] = {"nodeno", "parentnode", NULL};
    hn_status rc;

    HN_TRY(plan_shadow(db, layer, "node", nodes, &plan->nodes, fits, err));
    HN_TRY(plan_shadow(db, layer, "rowid", rowids, &plan->rowids, fits, err));
    HN_TRY(plan_shadow(db, layer, "parent", parents, &plan->parents, fits, err));
    if (*fits)
        rc = hn_gpkg_rtree_node_bytes(db, layer->view->name, layer->geometry_name,
                                      &plan->node_bytes, err);
out:
    return rc;
}

static hn_status plan_file(sqlite3 *db, int *fits, hn_error *err)
{
    sqlite3_int64 vacuum = 1, free_pages = 1;
    hn_status rc;

    HN_TRY(hn_sql_number(db, &vacuum, err, "PRAGMA auto_vacuum"));
    HN_TRY(hn_sql_number(db, &free_pages, err, "PRAGMA freelist_count"));
    *fits = *fits && vacuum == 0 && free_pages == 0;
out:
    return rc;
}

hn_status hn_page_plan_make(sqlite3 *db, const hn_gpkg_layer *layer, hn_page_plan *plan, int *fits,
                            hn_error *err)
{
    const char *name = layer->view->name;
    hn_status rc;

    *plan = (hn_page_plan){0};
    HN_TRY(plan_file(db, fits, err));
    HN_TRY(has_columns(db, name, layer_column_of, layer, fits, err));
    HN_TRY(root_page(db, name, &plan->rows, fits, err));
    if (*fits)
        HN_TRY(is_bare(db, name, fits, err));
    if (*fits && hn_gpkg_has_geometry(layer))
        HN_TRY(plan_index(db, layer, plan, fits, err));
out:
    return rc;
}

hn_status hn_page_plan_settle(sqlite3 *db, const hn_gpkg_layer *layer, hn_error *err)
{
    const hn_view *view = layer->view;
    hn_status rc = HN_OK;

    if (view->rows)
        HN_TRY(hn_sql_run(db, err, "INSERT INTO sqlite_sequence (name, seq) VALUES (%Q, %lld)",
                          view->name, (sqlite3_int64)view->rows));
    if (hn_gpkg_has_geometry(layer) && layer->survey.shapes)
        HN_TRY(hn_sql_run(db, err, "DELETE FROM \"rtree_%w_%w_node\" WHERE nodeno = 1", view->name,
                          layer->geometry_name));
out:
    return rc;
}
