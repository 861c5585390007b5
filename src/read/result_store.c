#include "read/result_store.h"

#include "base/alloc.h"
#include "base/arena.h"

#include <math.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { MANIFEST_MAX = 4 << 20, SQL_MAX = 256 };

struct hn_result_store {
    hn_arena arena;
    const char *folder, *gpkg;
    char *manifest;
    sqlite3 *json; /* in memory, only to ask for parts of run.json */
    sqlite3 *rows; /* result.gpkg */
};

static int is_folder(const char *path)
{
    struct stat st;

    return stat(path, &st) == 0 && S_ISDIR(st.st_mode);
}

/* Opening a pipe would wait for ever. */
static int is_file(const char *path)
{
    struct stat st;

    return stat(path, &st) == 0 && S_ISREG(st.st_mode);
}

/* The folder of what was named: the folder itself or one of two of its files. */
static const char *folder_of(hn_arena *arena, const char *path)
{
    const char *slash = strrchr(path, '/'), *name = slash ? slash + 1 : path;

    if (is_folder(path))
        return hn_arena_text(arena, path);
    if (strcmp(name, "result.gpkg") != 0 && strcmp(name, "run.json") != 0)
        return NULL;
    if (!slash)
        return hn_arena_text(arena, ".");
    return hn_arena_text_n(arena, path, slash == path ? 1 : (size_t)(slash - path));
}

static hn_status broken(hn_error *err, const char *path, const char *why)
{
    hn_status rc = hn_fail(err, HN_ERR_INPUT, "%s: %s", path, why);

    hn_hint(err, "name a result folder of haunch run; run the plan again if the folder is damaged");
    return rc;
}

static hn_status read_manifest(hn_result_store *store, const char *path, hn_error *err)
{
    FILE *file = is_file(path) ? fopen(path, "rb") : NULL;
    size_t n;
    int is_whole;

    if (!file)
        return broken(err, path, "cannot be read: this is no result of haunch run");
    store->manifest = hn_alloc(MANIFEST_MAX + 1, 1);
    n = store->manifest ? fread(store->manifest, 1, MANIFEST_MAX, file) : 0;
    is_whole =
        !ferror(file) && n < MANIFEST_MAX && !memchr(store->manifest ? store->manifest : "", 0, n);
    fclose(file);
    if (!store->manifest)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    if (!is_whole)
        return broken(err, path, "is not readable text of a sensible size");
    return HN_OK;
}

/* One text or number out of the manifest by a statement with two values. */
static const char *ask(hn_result_store *store, const char *sql, const char *json_path)
{
    sqlite3_stmt *q = NULL;
    const char *out = NULL;

    if (sqlite3_prepare_v2(store->json, sql, -1, &q, NULL) == SQLITE_OK &&
        sqlite3_bind_text(q, 1, store->manifest, -1, SQLITE_STATIC) == SQLITE_OK &&
        sqlite3_bind_text(q, 2, json_path, -1, SQLITE_STATIC) == SQLITE_OK &&
        sqlite3_step(q) == SQLITE_ROW && sqlite3_column_type(q, 0) != SQLITE_NULL)
        out = hn_arena_text(&store->arena, (const char *)sqlite3_column_text(q, 0));
    sqlite3_finalize(q);
    return out;
}

const char *hn_result_store_text(hn_result_store *store, const char *json_path)
{
    return ask(store, "SELECT json_extract(?1, ?2)", json_path);
}

size_t hn_result_store_count(hn_result_store *store, const char *json_path)
{
    const char *text = ask(store, "SELECT json_array_length(?1, ?2)", json_path);
    long n = text ? strtol(text, NULL, 10) : 0;

    return n > 0 ? (size_t)n : 0;
}

const char *hn_result_store_folder(const hn_result_store *store)
{
    return store->folder;
}

static hn_status open_both(hn_result_store *store, const char *path, hn_error *err)
{
    const char *manifest, *kind;
    hn_status rc = HN_OK;

    store->folder = folder_of(&store->arena, path);
    if (!store->folder)
        return broken(err, path, "is neither a folder nor a result.gpkg or run.json");
    manifest = hn_arena_printf(&store->arena, "%s/run.json", store->folder);
    store->gpkg = hn_arena_printf(&store->arena, "%s/result.gpkg", store->folder);
    HN_TRY_ALLOC(manifest);
    HN_TRY_ALLOC(store->gpkg);
    HN_TRY(read_manifest(store, manifest, err));
    if (sqlite3_open_v2(":memory:", &store->json, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    kind = hn_result_store_text(store, "$.result");
    if (!kind || strcmp(kind, "haunch") != 0)
        return broken(err, manifest, "is no run.json of haunch");
    if (!is_file(store->gpkg) ||
        sqlite3_open_v2(store->gpkg, &store->rows, SQLITE_OPEN_READONLY, NULL) != SQLITE_OK)
        return broken(err, store->gpkg, "cannot be read");
    sqlite3_exec(store->rows, "PRAGMA trusted_schema = OFF", NULL, NULL, NULL);
out:
    return rc;
}

hn_status hn_result_store_open(const char *path, hn_result_store **out, hn_error *err)
{
    hn_result_store *store = hn_alloc(1, sizeof *store);
    hn_status rc = HN_OK;

    *out = NULL;
    HN_TRY_ALLOC(store);
    HN_TRY(open_both(store, path, err));
    *out = store;
    store = NULL;
out:
    hn_result_store_close(store);
    return rc;
}

void hn_result_store_close(hn_result_store *store)
{
    if (!store)
        return;
    sqlite3_close(store->json);
    sqlite3_close(store->rows);
    hn_free(store->manifest);
    hn_arena_clear(&store->arena);
    hn_free(store);
}

static void tell_cell(sqlite3_stmt *q, int c, hn_result_cell_fn fn, void *context)
{
    const char *name = sqlite3_column_name(q, c);
    hn_cell cell = {.is_null = 0};

    switch (sqlite3_column_type(q, c)) {
    case SQLITE_INTEGER:
        cell.i = sqlite3_column_int64(q, c);
        fn(context, name, HN_VIEW_INT, &cell);
        break;
    case SQLITE_FLOAT:
        cell.r = sqlite3_column_double(q, c);
        fn(context, name, HN_VIEW_REAL, &cell);
        break;
    case SQLITE_TEXT:
        cell.text = (const char *)sqlite3_column_text(q, c);
        fn(context, name, HN_VIEW_TEXT, &cell);
        break;
    default:
        cell.is_null = 1;
        fn(context, name, HN_VIEW_TEXT, &cell);
    }
}

hn_status hn_result_store_row(hn_result_store *store, const char *layer, const char *id,
                              hn_result_cell_fn fn, void *context, hn_error *err)
{
    char sql[SQL_MAX];
    sqlite3_stmt *q = NULL;
    hn_status rc = HN_OK;
    int step;

    sqlite3_snprintf(sizeof sql, sql, "SELECT * FROM \"%w\" WHERE segment_id = ?1", layer);
    if (sqlite3_prepare_v2(store->rows, sql, -1, &q, NULL) != SQLITE_OK ||
        sqlite3_bind_text(q, 1, id, -1, SQLITE_STATIC) != SQLITE_OK) {
        rc = broken(err, store->gpkg, sqlite3_errmsg(store->rows));
        goto out;
    }
    step = sqlite3_step(q);
    if (step == SQLITE_DONE) {
        rc = hn_fail(err, HN_ERR_INPUT, "%s: layer %s has no segment \"%s\"", store->gpkg, layer,
                     id);
        hn_hint(err, "the layer was changed after the run; run the plan again");
    } else if (step != SQLITE_ROW) {
        rc = broken(err, store->gpkg, sqlite3_errmsg(store->rows));
    }
    for (int c = 0; rc == HN_OK && c < sqlite3_column_count(q); c++)
        tell_cell(q, c, fn, context);
out:
    sqlite3_finalize(q);
    return rc;
}

int hn_result_store_has(hn_result_store *store, const char *layer, const char *column)
{
    return sqlite3_table_column_metadata(store->rows, NULL, layer, column, NULL, NULL, NULL, NULL,
                                         NULL) == SQLITE_OK;
}

static hn_cell cell_of(sqlite3_stmt *q, int c)
{
    hn_cell cell = {.is_null = sqlite3_column_type(q, c) == SQLITE_NULL};

    cell.i = sqlite3_column_int64(q, c);
    cell.r = cell.is_null ? (double)NAN : sqlite3_column_double(q, c);
    cell.text = (const char *)sqlite3_column_text(q, c);
    return cell;
}

static const char *select_of(hn_result_store *store, const char *layer, const char *const *columns,
                             size_t column_count)
{
    char quoted[SQL_MAX];
    const char *sql = "SELECT ";

    for (size_t c = 0; sql && c < column_count; c++) {
        sqlite3_snprintf(sizeof quoted, quoted, "\"%w\"", columns[c]);
        sql = hn_arena_printf(&store->arena, "%s%s%s", sql, c ? ", " : "",
                              hn_result_store_has(store, layer, columns[c]) ? quoted : "NULL");
    }
    sqlite3_snprintf(sizeof quoted, quoted, "\"%w\"", layer);
    return sql ? hn_arena_printf(&store->arena, "%s FROM %s", sql, quoted) : NULL;
}

hn_status hn_result_store_rows(hn_result_store *store, const char *layer,
                               const char *const *columns, size_t column_count,
                               hn_result_row_fn fn, void *context, hn_error *err)
{
    const char *sql = select_of(store, layer, columns, column_count);
    hn_arena arena = {NULL};
    hn_cell *cells = hn_arena_alloc(&arena, column_count, sizeof *cells);
    sqlite3_stmt *q = NULL;
    hn_status rc = HN_OK;
    int step;

    HN_TRY_ALLOC(sql);
    HN_TRY_ALLOC(cells);
    if (sqlite3_prepare_v2(store->rows, sql, -1, &q, NULL) != SQLITE_OK) {
        rc = broken(err, store->gpkg, sqlite3_errmsg(store->rows));
        goto out;
    }
    while ((step = sqlite3_step(q)) == SQLITE_ROW) {
        for (size_t c = 0; c < column_count; c++)
            cells[c] = cell_of(q, (int)c);
        HN_TRY(fn(context, cells, err));
    }
    if (step != SQLITE_DONE)
        rc = broken(err, store->gpkg, sqlite3_errmsg(store->rows));
out:
    sqlite3_finalize(q);
    hn_arena_clear(&arena);
    return rc;
}
