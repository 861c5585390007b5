/* The SQLite half: a read-only virtual table over the segment columns, and one
 * statement that selects every expression the column loop declined. */
#include "table/condition_sql.h"

#include "base/alloc.h"
#include "base/arena.h"
#include "base/dates.h"
#include "base/nearest.h"
#include "table/condition_fast.h"

#include <ctype.h>
#include <sqlite3.h>
#include <stdio.h>
#include <string.h>

enum { PHANTOM_MAX = 64, NAME_MAX_BYTES = 64 };

struct hn_condition_set {
    const hn_table *table;
    hn_arena arena;
    size_t count, slow_count;
    hn_fast **fast;      /* [count], NULL: SQLite */
    int *slow_column;    /* [count], result column in the statement */
    sqlite3 *db;
    sqlite3_stmt *statement;
    size_t begin, end;   /* rows of the scan now running */
    char phantom[PHANTOM_MAX][NAME_MAX_BYTES]; /* near_* columns of layers not in the plan */
    size_t phantoms;
    hn_column_seen_fn seen; /* told of each column that an expression reads, or NULL */
    void *seen_context;
    size_t seen_expression;
};

typedef struct segments_vtab {
    sqlite3_vtab base;
    hn_condition_set *set;
} segments_vtab;

typedef struct segments_cursor {
    sqlite3_vtab_cursor base;
    size_t row;
} segments_cursor;

static int vtab_connect(sqlite3 *db, void *context, int argc, const char *const *argv,
                        sqlite3_vtab **out, char **message)
{
    hn_condition_set *set = context;
    sqlite3_str *sql = sqlite3_str_new(db);
    segments_vtab *vtab;
    char *text;
    int rc;

    (void)argc;
    (void)argv;
    (void)message;
    sqlite3_str_appendall(sql, "CREATE TABLE segments(");
    for (int id = 0; id < HN_COL_COUNT; id++)
        sqlite3_str_appendf(sql, "%s\"%w\"", id ? "," : "", hn_column_definition(id)->name);
    for (size_t i = 0; i < set->table->extras; i++)
        sqlite3_str_appendf(sql, ",\"%w\"", set->table->extra[i].name);
    for (size_t i = 0; i < set->phantoms; i++)
        sqlite3_str_appendf(sql, ",\"%w\"", set->phantom[i]);
    sqlite3_str_appendall(sql, ")");
    text = sqlite3_str_finish(sql);
    if (!text)
        return SQLITE_NOMEM;
    rc = sqlite3_declare_vtab(db, text);
    sqlite3_free(text);
    if (rc != SQLITE_OK)
        return rc;
    vtab = sqlite3_malloc(sizeof *vtab);
    if (!vtab)
        return SQLITE_NOMEM;
    memset(vtab, 0, sizeof *vtab);
    vtab->set = set;
    *out = &vtab->base;
    return SQLITE_OK;
}

static int vtab_disconnect(sqlite3_vtab *vtab)
{
    sqlite3_free(vtab);
    return SQLITE_OK;
}

static int vtab_best_index(sqlite3_vtab *vtab, sqlite3_index_info *info)
{
    (void)vtab;
    info->estimatedCost = 1e6;
    return SQLITE_OK;
}

static int vtab_open(sqlite3_vtab *vtab, sqlite3_vtab_cursor **out)
{
    segments_cursor *cursor = sqlite3_malloc(sizeof *cursor);

    (void)vtab;
    if (!cursor)
        return SQLITE_NOMEM;
    memset(cursor, 0, sizeof *cursor);
    *out = &cursor->base;
    return SQLITE_OK;
}

static int vtab_close(sqlite3_vtab_cursor *cursor)
{
    sqlite3_free(cursor);
    return SQLITE_OK;
}

static hn_condition_set *set_of(sqlite3_vtab_cursor *cursor)
{
    return ((segments_vtab *)cursor->pVtab)->set;
}

static int vtab_filter(sqlite3_vtab_cursor *cursor, int number, const char *text, int argc,
                       sqlite3_value **argv)
{
    (void)number;
    (void)text;
    (void)argc;
    (void)argv;
    ((segments_cursor *)cursor)->row = set_of(cursor)->begin;
    return SQLITE_OK;
}

static int vtab_next(sqlite3_vtab_cursor *cursor)
{
    ((segments_cursor *)cursor)->row++;
    return SQLITE_OK;
}

static int vtab_eof(sqlite3_vtab_cursor *cursor)
{
    return ((segments_cursor *)cursor)->row >= set_of(cursor)->end;
}

static int vtab_rowid(sqlite3_vtab_cursor *cursor, sqlite3_int64 *out)
{
    *out = (sqlite3_int64)((segments_cursor *)cursor)->row;
    return SQLITE_OK;
}

static void give_number(sqlite3_context *context, double value)
{
    if (isnan(value))
        sqlite3_result_null(context);
    else
        sqlite3_result_double(context, value);
}

static void give_column(sqlite3_context *context, const hn_table *table, hn_column_id id,
                        size_t row)
{
    double value;
    char date[HN_DATE_TEXT];
    const char *text;

    switch (hn_column_definition(id)->kind) {
    case HN_KIND_STR:
    case HN_KIND_CODE:
        text = hn_table_text(table, id, row);
        if (text[0])
            sqlite3_result_text(context, text, -1, SQLITE_STATIC);
        return;
    case HN_KIND_I32:
    case HN_KIND_BOOL:
        value = hn_table_number(table, id, row);
        if (!isnan(value))
            sqlite3_result_int64(context, (sqlite3_int64)value);
        return;
    case HN_KIND_DATE:
        if (hn_i32(table, id, row) == HN_I32_MISSING)
            return;
        hn_date_text(hn_i32(table, id, row), date);
        sqlite3_result_text(context, date, -1, SQLITE_TRANSIENT);
        return;
    default:
        give_number(context, hn_table_number(table, id, row));
    }
}

static int vtab_column(sqlite3_vtab_cursor *cursor, sqlite3_context *context, int column)
{
    const hn_table *table = set_of(cursor)->table;
    size_t row = ((segments_cursor *)cursor)->row;
    size_t extra = (size_t)column - HN_COL_COUNT;

    if (column < HN_COL_COUNT)
        give_column(context, table, (hn_column_id)column, row);
    else if (extra < table->extras)
        give_number(context, (double)table->extra[extra].f32[row]);
    return SQLITE_OK;
}

static const sqlite3_module segments_module = {
    .iVersion = 1,
    .xConnect = vtab_connect,
    .xCreate = NULL,
    .xBestIndex = vtab_best_index,
    .xDisconnect = vtab_disconnect,
    .xOpen = vtab_open,
    .xClose = vtab_close,
    .xFilter = vtab_filter,
    .xNext = vtab_next,
    .xEof = vtab_eof,
    .xColumn = vtab_column,
    .xRowid = vtab_rowid,
};

static int is_known(const hn_condition_set *set, const char *name)
{
    for (size_t i = 0; i < set->table->extras; i++)
        if (strcmp(set->table->extra[i].name, name) == 0)
            return 1;
    for (size_t i = 0; i < set->phantoms; i++)
        if (strcmp(set->phantom[i], name) == 0)
            return 1;
    return 0;
}

/* Rules may speak of a context layer that this plan does not have: its
 * distance is then unknown, not an error. */
static void note_phantoms(hn_condition_set *set, const char *expression)
{
    for (const char *at = expression; (at = strstr(at, "near_")) != NULL;) {
        char name[NAME_MAX_BYTES];
        size_t n = 0;

        while ((isalnum((unsigned char)at[n]) || at[n] == '_') && n < sizeof name - 1)
            n++;
        memcpy(name, at, n);
        name[n] = '\0';
        if (n > 7 && strcmp(name + n - 2, "_m") == 0 && !is_known(set, name) &&
            set->phantoms < PHANTOM_MAX)
            memcpy(set->phantom[set->phantoms++], name, n + 1);
        at += n;
    }
}

static const char *column_name(size_t i, const void *context)
{
    const hn_table *table = context;

    if (i < HN_COL_COUNT)
        return hn_column_definition((hn_column_id)i)->name;
    return table->extra[i - HN_COL_COUNT].name;
}

static hn_status explain_failure(hn_condition_set *set, const char *expression, const char *where,
                                 hn_error *err)
{
    const char *message = sqlite3_errmsg(set->db);
    const char *unknown = strstr(message, "no such column: ");

    hn_fail(err, HN_ERR_PLAN, "%s: the condition \"%s\" cannot be used: %s", where, expression,
            message);
    if (unknown) {
        const char *near = hn_nearest(unknown + 16, column_name, HN_COL_COUNT + set->table->extras,
                                      set->table);

        hn_hint(err, "%s%s%sconditions are SQL on the columns listed in docs/columns.md",
                near ? "did you mean \"" : "", near ? near : "", near ? "\"? " : "");
    } else {
        hn_hint(err, "write an SQL expression such as: width_mm > 2700 AND shape = 'circle'");
    }
    return HN_ERR_PLAN;
}

/* Every expression is prepared alone first, so that a fault is laid at the
 * right rule and no expression can close another's bracket. */
static hn_status check_one(hn_condition_set *set, const char *expression, const char *where,
                           hn_error *err)
{
    char *sql = sqlite3_mprintf("SELECT (%s\n) FROM segments", expression);
    sqlite3_stmt *statement = NULL;
    const char *tail = NULL;
    hn_status rc = HN_OK;

    if (!sql)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    if (sqlite3_prepare_v2(set->db, sql, -1, &statement, &tail) != SQLITE_OK)
        rc = explain_failure(set, expression, where, err);
    else if (sqlite3_column_count(statement) != 1 || (tail && tail[strspn(tail, " \n\t;")])) {
        rc = hn_fail(err, HN_ERR_PLAN, "%s: \"%s\" is not one expression", where, expression);
        hn_hint(err, "write one SQL expression such as: width_mm > 2700");
    }
    sqlite3_finalize(statement);
    sqlite3_free(sql);
    return rc;
}

/* Set after the table is connected. Only reading of the segments table and of functions is allowed. */
static int authorise(void *context, int action, const char *a, const char *b, const char *c,
                     const char *d)
{
    const hn_condition_set *set = context;

    (void)c;
    (void)d;
    if (set->seen && action == SQLITE_READ && b && b[0])
        set->seen(set->seen_context, set->seen_expression, b);
    if (action == SQLITE_FUNCTION)
        return b && strcmp(b, "load_extension") == 0 ? SQLITE_DENY : SQLITE_OK;
    if (action == SQLITE_SELECT)
        return SQLITE_OK;
    return action == SQLITE_READ && a && strcmp(a, "segments") == 0 ? SQLITE_OK : SQLITE_DENY;
}

static hn_status open_database(hn_condition_set *set, hn_error *err)
{
    if (sqlite3_open_v2(":memory:", &set->db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL) !=
            SQLITE_OK ||
        sqlite3_create_module(set->db, "segments", &segments_module, set) != SQLITE_OK ||
        sqlite3_exec(set->db, "SELECT 1 FROM segments LIMIT 0", NULL, NULL, NULL) != SQLITE_OK)
        return hn_fail(err, HN_ERR_INTERNAL, "could not start SQLite for the rules");
    sqlite3_set_authorizer(set->db, authorise, set);
    return HN_OK;
}

static hn_status prepare_slow(hn_condition_set *set, const char *const *expressions,
                              hn_error *err)
{
    sqlite3_str *sql = sqlite3_str_new(set->db);
    char *text;
    int rc;

    sqlite3_str_appendall(sql, "SELECT ");
    for (size_t i = 0; i < set->count; i++)
        if (!set->fast[i])
            sqlite3_str_appendf(sql, "%s(%s\n)", set->slow_column[i] ? "," : "", expressions[i]);
    sqlite3_str_appendall(sql, " FROM segments");
    text = sqlite3_str_finish(sql);
    if (!text)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    rc = sqlite3_prepare_v2(set->db, text, -1, &set->statement, NULL);
    sqlite3_free(text);
    if (rc != SQLITE_OK)
        return hn_fail(err, HN_ERR_PLAN, "the rules cannot be used together: %s",
                       sqlite3_errmsg(set->db));
    return HN_OK;
}

hn_status hn_condition_compile(const hn_table *table, const char *const *expressions,
                               const char *const *where, size_t count, hn_condition_set **out,
                               hn_error *err)
{
    hn_condition_set *set = hn_alloc(1, sizeof *set);
    hn_status rc = HN_OK;

    *out = NULL;
    HN_TRY_ALLOC(set);
    set->table = table;
    set->count = count;
    set->fast = hn_alloc(count, sizeof *set->fast);
    set->slow_column = hn_alloc(count, sizeof *set->slow_column);
    HN_TRY_ALLOC(set->fast);
    HN_TRY_ALLOC(set->slow_column);
    for (size_t i = 0; i < count; i++)
        note_phantoms(set, expressions[i]);
    HN_TRY(open_database(set, err));
    for (size_t i = 0; i < count; i++) {
        HN_TRY(check_one(set, expressions[i], where[i], err));
        set->fast[i] = hn_fast_compile(table, expressions[i], &set->arena);
        if (!set->fast[i])
            set->slow_column[i] = (int)set->slow_count++;
    }
    if (set->slow_count)
        HN_TRY(prepare_slow(set, expressions, err));
    *out = set;
    set = NULL;
out:
    hn_condition_free(set);
    return rc;
}

hn_status hn_condition_columns(const hn_table *table, const char *const *expressions, size_t count,
                               hn_column_seen_fn seen, void *context, hn_error *err)
{
    hn_condition_set *set = hn_alloc(1, sizeof *set);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(set);
    set->table = table;
    for (size_t i = 0; i < count; i++)
        note_phantoms(set, expressions[i]);
    HN_TRY(open_database(set, err));
    set->seen = seen;
    set->seen_context = context;
    for (; set->seen_expression < count; set->seen_expression++)
        HN_TRY(check_one(set, expressions[set->seen_expression], "rule", err));
out:
    hn_condition_free(set);
    return rc;
}

void hn_condition_free(hn_condition_set *set)
{
    if (!set)
        return;
    sqlite3_finalize(set->statement);
    sqlite3_close(set->db);
    hn_arena_clear(&set->arena);
    hn_free(set->fast);
    hn_free(set->slow_column);
    hn_free(set);
}

size_t hn_condition_fast_count(const hn_condition_set *set)
{
    return set->count - set->slow_count;
}

typedef void (*take_value)(sqlite3_stmt *statement, int column, void *out, size_t at);

static void take_truth(sqlite3_stmt *statement, int column, void *out, size_t at)
{
    ((uint8_t *)out)[at] = sqlite3_column_type(statement, column) == SQLITE_NULL
                               ? (uint8_t)HN_UNKNOWN
                               : (uint8_t)(sqlite3_column_double(statement, column) != 0.0);
}

static void take_number(sqlite3_stmt *statement, int column, void *out, size_t at)
{
    ((double *)out)[at] = sqlite3_column_type(statement, column) == SQLITE_NULL
                              ? (double)NAN
                              : sqlite3_column_double(statement, column);
}

static hn_status run_slow(hn_condition_set *set, size_t begin, size_t end, void *out,
                          size_t stride, take_value take, hn_error *err)
{
    int rc;

    if (!set->slow_count)
        return HN_OK;
    set->begin = begin;
    set->end = end;
    for (size_t row = 0; (rc = sqlite3_step(set->statement)) == SQLITE_ROW; row++)
        for (size_t i = 0; i < set->count; i++)
            if (!set->fast[i])
                take(set->statement, set->slow_column[i], out, i * stride + row);
    sqlite3_reset(set->statement);
    if (rc != SQLITE_DONE)
        return hn_fail(err, HN_ERR_PLAN, "a rule could not be evaluated: %s",
                       sqlite3_errmsg(set->db));
    return HN_OK;
}

static size_t block_rows(size_t at, size_t end)
{
    return end - at < HN_FAST_BLOCK ? end - at : HN_FAST_BLOCK;
}

hn_status hn_condition_truth(hn_condition_set *set, size_t begin, size_t end, uint8_t *out,
                             size_t stride, hn_error *err)
{
    for (size_t at = begin; at < end; at += HN_FAST_BLOCK)
        for (size_t i = 0; i < set->count; i++)
            if (set->fast[i])
                hn_fast_truth(set->fast[i], set->table, at, block_rows(at, end),
                              out + i * stride + (at - begin));
    return run_slow(set, begin, end, out, stride, take_truth, err);
}

hn_status hn_condition_number(hn_condition_set *set, size_t begin, size_t end, double *out,
                              size_t stride, hn_error *err)
{
    for (size_t at = begin; at < end; at += HN_FAST_BLOCK)
        for (size_t i = 0; i < set->count; i++)
            if (set->fast[i])
                hn_fast_number(set->fast[i], set->table, at, block_rows(at, end),
                               out + i * stride + (at - begin));
    return run_slow(set, begin, end, out, stride, take_number, err);
}

const char *hn_sqlite_version(void)
{
    return sqlite3_libversion();
}
