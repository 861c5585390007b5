/* A read-only virtual table over a list of observations; one statement a rule. */
#include "table/observation_sql.h"

#include "base/alloc.h"
#include "base/dates.h"
#include "base/nearest.h"

#include <sqlite3.h>
#include <stdio.h>
#include <string.h>

typedef enum own_column {
    OBS_CODE,
    OBS_CH1,
    OBS_CH2,
    OBS_Q1,
    OBS_Q2,
    OBS_FROM,
    OBS_TO,
    OBS_LENGTH,
    OBS_CLOCK_FROM,
    OBS_CLOCK_TO,
    OBS_JOINT,
    OBS_CONTINUOUS,
    OBS_DATE,
    OBS_REMARK,
    OBS_COUNT
} own_column;

static const char *const own_names[OBS_COUNT] = {"code",
                                                 "characterisation_1",
                                                 "characterisation_2",
                                                 "quantity_1",
                                                 "quantity_2",
                                                 "distance_m",
                                                 "distance_to_m",
                                                 "defect_length_m",
                                                 "clock_from",
                                                 "clock_to",
                                                 "at_joint",
                                                 "is_continuous",
                                                 "seen_on",
                                                 "remark"};

struct hn_observation_rules {
    const hn_table *table;
    const hn_observations *observations;
    sqlite3 *db;
    sqlite3_stmt **statement; /* NULL: always true */
    size_t count;
    const uint32_t *list; /* of the scan now running */
    size_t length;
};

typedef struct rules_vtab {
    sqlite3_vtab base;
    hn_observation_rules *rules;
} rules_vtab;

typedef struct rules_cursor {
    sqlite3_vtab_cursor base;
    size_t at;
} rules_cursor;

static const char *name_at(size_t i, const void *context)
{
    (void)context;
    return i < OBS_COUNT ? own_names[i] : hn_column_definition((hn_column_id)(i - OBS_COUNT))->name;
}

/* ---- the virtual table ---- */

static int vtab_connect(sqlite3 *db, void *context, int argc, const char *const *argv,
                        sqlite3_vtab **out, char **message)
{
    sqlite3_str *sql = sqlite3_str_new(db);
    rules_vtab *vtab;
    char *text;
    int rc;

    (void)argc;
    (void)argv;
    (void)message;
    sqlite3_str_appendall(sql, "CREATE TABLE observations(");
    for (size_t i = 0; i < (size_t)OBS_COUNT + HN_COL_COUNT; i++)
        sqlite3_str_appendf(sql, "%s\"%w\"", i ? "," : "", name_at(i, NULL));
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
    vtab->rules = context;
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
    rules_cursor *cursor = sqlite3_malloc(sizeof *cursor);

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

static hn_observation_rules *rules_of(sqlite3_vtab_cursor *cursor)
{
    return ((rules_vtab *)cursor->pVtab)->rules;
}

static int vtab_filter(sqlite3_vtab_cursor *cursor, int number, const char *text, int argc,
                       sqlite3_value **argv)
{
    (void)number;
    (void)text;
    (void)argc;
    (void)argv;
    ((rules_cursor *)cursor)->at = 0;
    return SQLITE_OK;
}

static int vtab_next(sqlite3_vtab_cursor *cursor)
{
    ((rules_cursor *)cursor)->at++;
    return SQLITE_OK;
}

static int vtab_eof(sqlite3_vtab_cursor *cursor)
{
    return ((rules_cursor *)cursor)->at >= rules_of(cursor)->length;
}

static int vtab_rowid(sqlite3_vtab_cursor *cursor, sqlite3_int64 *out)
{
    *out = (sqlite3_int64)((rules_cursor *)cursor)->at;
    return SQLITE_OK;
}

static void give_number(sqlite3_context *context, double value)
{
    if (!isnan(value))
        sqlite3_result_double(context, value);
}

static void give_text(sqlite3_context *context, const char *text)
{
    if (text[0])
        sqlite3_result_text(context, text, -1, SQLITE_STATIC);
}

static void give_date(sqlite3_context *context, int32_t days)
{
    char text[HN_DATE_TEXT];

    if (days == HN_I32_MISSING)
        return;
    hn_date_text(days, text);
    sqlite3_result_text(context, text, -1, SQLITE_TRANSIENT);
}

static void give_hour(sqlite3_context *context, uint8_t hour)
{
    if (hour != HN_CODE_MISSING)
        sqlite3_result_int(context, hour);
}

static void give_own(sqlite3_context *context, const hn_observations *o, size_t i, int column)
{
    switch (column) {
    case OBS_CODE:
    case OBS_CH1:
    case OBS_CH2:
        give_text(context, hn_observed_text(o, column == OBS_CODE  ? o->code[i]
                                               : column == OBS_CH1 ? o->ch1[i]
                                                                   : o->ch2[i]));
        break;
    case OBS_Q1:
        give_number(context, (double)o->q1[i]);
        break;
    case OBS_Q2:
        give_number(context, (double)o->q2[i]);
        break;
    case OBS_FROM:
        give_number(context, (double)o->from_m[i]);
        break;
    case OBS_TO:
        give_number(context, (double)o->to_m[i]);
        break;
    case OBS_LENGTH:
        give_number(context, fabs((double)o->to_m[i] - (double)o->from_m[i]));
        break;
    case OBS_CLOCK_FROM:
        give_hour(context, o->clock_from[i]);
        break;
    case OBS_CLOCK_TO:
        give_hour(context, o->clock_to[i]);
        break;
    case OBS_JOINT:
        sqlite3_result_int(context, (o->flags[i] & HN_OBS_AT_JOINT) != 0);
        break;
    case OBS_CONTINUOUS:
        sqlite3_result_int(context, !isnan((double)o->to_m[i]));
        break;
    case OBS_DATE:
        give_date(context, o->visits.date[o->visit[i]]);
        break;
    default:
        give_text(context, hn_observed_text(o, o->remark[i]));
    }
}

static void give_segment(sqlite3_context *context, const hn_table *table, hn_column_id id,
                         size_t row)
{
    switch (hn_column_definition(id)->kind) {
    case HN_KIND_STR:
    case HN_KIND_CODE:
        give_text(context, hn_table_text(table, id, row));
        break;
    case HN_KIND_DATE:
        give_date(context, hn_i32(table, id, row));
        break;
    default:
        give_number(context, hn_table_number(table, id, row));
    }
}

static int vtab_column(sqlite3_vtab_cursor *cursor, sqlite3_context *context, int column)
{
    const hn_observation_rules *r = rules_of(cursor);
    const hn_observations *o = r->observations;
    size_t i = r->list[((rules_cursor *)cursor)->at];
    int32_t row = o->row[o->visit[i]];

    if (column < OBS_COUNT)
        give_own(context, o, i, column);
    else if (row >= 0)
        give_segment(context, r->table, (hn_column_id)(column - OBS_COUNT), (size_t)row);
    return SQLITE_OK;
}

static const sqlite3_module rules_module = {
    .iVersion = 1,
    .xConnect = vtab_connect,
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

/* ---- compiling ---- */

/* Only reading of the one table and of functions is allowed. */
static int authorise(void *context, int action, const char *a, const char *b, const char *c,
                     const char *d)
{
    (void)context;
    (void)c;
    (void)d;
    if (action == SQLITE_FUNCTION)
        return b && strcmp(b, "load_extension") == 0 ? SQLITE_DENY : SQLITE_OK;
    if (action == SQLITE_SELECT)
        return SQLITE_OK;
    return action == SQLITE_READ && a && strcmp(a, "observations") == 0 ? SQLITE_OK : SQLITE_DENY;
}

static hn_status open_database(hn_observation_rules *r, hn_error *err)
{
    if (sqlite3_open_v2(":memory:", &r->db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL) !=
            SQLITE_OK ||
        sqlite3_create_module(r->db, "observations", &rules_module, r) != SQLITE_OK ||
        sqlite3_exec(r->db, "SELECT 1 FROM observations LIMIT 0", NULL, NULL, NULL) != SQLITE_OK)
        return hn_fail(err, HN_ERR_INTERNAL, "could not start SQLite for the grading rules");
    sqlite3_set_authorizer(r->db, authorise, NULL);
    return HN_OK;
}

static hn_status explain_failure(hn_observation_rules *r, const char *expression, const char *where,
                                 hn_error *err)
{
    const char *message = sqlite3_errmsg(r->db), *unknown = strstr(message, "no such column: ");
    const char *near =
        unknown ? hn_nearest(unknown + 16, name_at, (size_t)OBS_COUNT + HN_COL_COUNT, NULL) : NULL;

    hn_fail(err, HN_ERR_PLAN, "%s: the condition \"%s\" cannot be used: %s", where, expression,
            message);
    hn_hint(err,
            "%s%s%sconditions are SQL on the columns of an observation and of its segment, such "
            "as: quantity_1 >= 10 (docs/config.md)",
            near ? "did you mean \"" : "", near ? near : "", near ? "\"? " : "");
    return HN_ERR_PLAN;
}

static hn_status compile_one(hn_observation_rules *r, size_t i, const char *expression,
                             const char *where, hn_error *err)
{
    char *sql = sqlite3_mprintf("SELECT (%s\n) FROM observations", expression);
    const char *tail = NULL;
    hn_status rc = HN_OK;

    if (!sql)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    if (sqlite3_prepare_v2(r->db, sql, -1, &r->statement[i], &tail) != SQLITE_OK) {
        rc = explain_failure(r, expression, where, err);
    } else if (sqlite3_column_count(r->statement[i]) != 1 ||
               (tail && tail[strspn(tail, " \n\t;")])) {
        rc = hn_fail(err, HN_ERR_PLAN, "%s: \"%s\" is not one expression", where, expression);
        hn_hint(err, "write one SQL expression such as: quantity_1 >= 10");
    }
    sqlite3_free(sql);
    return rc;
}

hn_status hn_observation_rules_compile(const hn_table *table, const hn_observations *observations,
                                       const char *const *expressions, const char *const *where,
                                       size_t count, hn_observation_rules **out, hn_error *err)
{
    hn_observation_rules *r = hn_alloc(1, sizeof *r);
    hn_status rc = HN_OK;

    *out = NULL;
    HN_TRY_ALLOC(r);
    r->table = table;
    r->observations = observations;
    r->statement = hn_alloc(count, sizeof *r->statement);
    HN_TRY_ALLOC(r->statement);
    r->count = count;
    HN_TRY(open_database(r, err));
    for (size_t i = 0; i < count; i++)
        if (expressions[i])
            HN_TRY(compile_one(r, i, expressions[i], where[i], err));
    *out = r;
    r = NULL;
out:
    hn_observation_rules_free(r);
    return rc;
}

void hn_observation_rules_free(hn_observation_rules *r)
{
    if (!r)
        return;
    for (size_t i = 0; i < r->count; i++)
        sqlite3_finalize(r->statement[i]);
    sqlite3_close(r->db);
    hn_free(r->statement);
    hn_free(r);
}

static uint8_t truth_of(sqlite3_stmt *statement)
{
    if (sqlite3_column_type(statement, 0) == SQLITE_NULL)
        return HN_UNKNOWN;
    return (uint8_t)(sqlite3_column_double(statement, 0) != 0.0);
}

hn_status hn_observation_truth(hn_observation_rules *r, size_t rule, const uint32_t *list,
                               size_t count, uint8_t *truth, hn_error *err)
{
    sqlite3_stmt *statement = r->statement[rule];
    int rc = SQLITE_DONE;

    if (!statement) {
        memset(truth, HN_TRUE, count);
        return HN_OK;
    }
    r->list = list;
    r->length = count;
    for (size_t k = 0; (rc = sqlite3_step(statement)) == SQLITE_ROW; k++)
        truth[k] = truth_of(statement);
    sqlite3_reset(statement);
    if (rc != SQLITE_DONE)
        return hn_fail(err, HN_ERR_PLAN, "a grading rule could not be evaluated: %s",
                       sqlite3_errmsg(r->db));
    return HN_OK;
}
