/* The SQLite half: the segment columns as a table, and one statement that selects every
 * expression the column loop declined. */
#include "table/condition_sql.h"

#include "base/alloc.h"
#include "base/arena.h"
#include "table/condition_fast.h"
#include "table/sql_rows.h"

#include <ctype.h>
#include <string.h>

enum { PHANTOM_MAX = 64, NAME_MAX_BYTES = 64 };

struct hn_condition_set {
    const hn_table *table;
    hn_arena arena;
    size_t count, slow_count;
    hn_fast **fast;   /* [count], NULL: SQLite */
    int *slow_column; /* [count], result column in the statement */
    sqlite3 *db;
    sqlite3_stmt *statement;
    hn_sql_rows rows;
    char phantom[PHANTOM_MAX][NAME_MAX_BYTES]; /* near_* columns of layers not in the plan */
    size_t phantoms;
};

static const char *column_name(size_t i, const void *context)
{
    const hn_condition_set *set = context;
    const size_t extras = set->table->extras;

    if (i < HN_COL_COUNT)
        return hn_column_definition((hn_column_id)i)->name;
    i -= HN_COL_COUNT;
    return i < extras ? set->table->extra[i].name : set->phantom[i - extras];
}

static void give_cell(const void *context, size_t row, size_t column, sqlite3_context *cell)
{
    const hn_table *table = ((const hn_condition_set *)context)->table;

    if (column < HN_COL_COUNT)
        hn_sql_give_segment(cell, table, (hn_column_id)column, row);
    else if (column - HN_COL_COUNT < table->extras)
        hn_sql_give_number(cell, (double)table->extra[column - HN_COL_COUNT].f32[row]);
}

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

/* Every expression is prepared alone first, so that a fault is laid at the right rule. */
static hn_status check_one(hn_condition_set *set, const char *expression, const char *where,
                           hn_error *err)
{
    sqlite3_stmt *statement;
    hn_status rc = hn_sql_rows_prepare(&set->rows, set->db, expression, where, &statement, err);

    sqlite3_finalize(statement);
    return rc;
}

static hn_status open_database(hn_condition_set *set, hn_error *err)
{
    const size_t known = HN_COL_COUNT + set->table->extras;

    set->rows =
        (hn_sql_rows){.table = "segments",
                      .columns = known + set->phantoms,
                      .suggested = known,
                      .column_name = column_name,
                      .give = give_cell,
                      .context = set,
                      .example = "width_mm > 2700 AND shape = 'circle'",
                      .about = "conditions are SQL on the columns listed in docs/columns.md"};
    return hn_sql_rows_open(&set->rows, &set->db, err);
}

static hn_status prepare_slow(hn_condition_set *set, const char *const *expressions, hn_error *err)
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
    set->rows.seen = seen;
    set->rows.seen_context = context;
    for (; set->rows.seen_expression < count; set->rows.seen_expression++)
        HN_TRY(check_one(set, expressions[set->rows.seen_expression], "rule", err));
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
    int type = sqlite3_column_type(statement, column);

    /* a word is no number: SQLite would read it as 0 */
    ((double *)out)[at] = type == SQLITE_INTEGER || type == SQLITE_FLOAT
                              ? sqlite3_column_double(statement, column)
                              : (double)NAN;
}

static hn_status run_slow(hn_condition_set *set, size_t begin, size_t end, void *out, size_t stride,
                          take_value take, hn_error *err)
{
    int rc;

    if (!set->slow_count)
        return HN_OK;
    set->rows.begin = begin;
    set->rows.end = end;
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
