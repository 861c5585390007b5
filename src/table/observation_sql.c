/* A list of observations as a table for SQL; one statement a rule. */
#include "table/observation_sql.h"

#include "base/alloc.h"
#include "table/sql_rows.h"

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
    hn_sql_rows rows;
};

static const char *name_at(size_t i, const void *context)
{
    (void)context;
    return i < OBS_COUNT ? own_names[i] : hn_column_definition((hn_column_id)(i - OBS_COUNT))->name;
}

/* ---- cells ---- */

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
        hn_sql_give_text(context, hn_observed_text(o, column == OBS_CODE  ? o->code[i]
                                                      : column == OBS_CH1 ? o->ch1[i]
                                                                          : o->ch2[i]));
        break;
    case OBS_Q1:
        hn_sql_give_number(context, (double)o->q1[i]);
        break;
    case OBS_Q2:
        hn_sql_give_number(context, (double)o->q2[i]);
        break;
    case OBS_FROM:
        hn_sql_give_number(context, (double)o->from_m[i]);
        break;
    case OBS_TO:
        hn_sql_give_number(context, (double)o->to_m[i]);
        break;
    case OBS_LENGTH:
        hn_sql_give_number(context, fabs((double)o->to_m[i] - (double)o->from_m[i]));
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
        hn_sql_give_date(context, o->visits.date[o->visit[i]]);
        break;
    default:
        hn_sql_give_text(context, hn_observed_text(o, o->remark[i]));
    }
}

static void give_cell(const void *context, size_t at, size_t column, sqlite3_context *cell)
{
    const hn_observation_rules *r = context;
    const hn_observations *o = r->observations;
    const size_t i = r->list[at];
    const int32_t row = o->row[o->visit[i]];

    if (column < OBS_COUNT)
        give_own(cell, o, i, (int)column);
    else if (row >= 0)
        hn_sql_give_segment(cell, r->table, (hn_column_id)(column - OBS_COUNT), (size_t)row);
}

/* ---- compiling ---- */

static hn_status open_database(hn_observation_rules *r, hn_error *err)
{
    const size_t columns = (size_t)OBS_COUNT + HN_COL_COUNT;

    r->rows = (hn_sql_rows){.table = "observations",
                            .columns = columns,
                            .suggested = columns,
                            .column_name = name_at,
                            .give = give_cell,
                            .context = r,
                            .example = "quantity_1 >= 10",
                            .about = "conditions are SQL on the columns of an observation and of "
                                     "its segment, such as: quantity_1 >= 10 (docs/config.md)"};
    return hn_sql_rows_open(&r->rows, &r->db, err);
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
            HN_TRY(hn_sql_rows_prepare(&r->rows, r->db, expressions[i], where[i], &r->statement[i],
                                       err));
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
    r->rows.end = count;
    for (size_t k = 0; (rc = sqlite3_step(statement)) == SQLITE_ROW; k++)
        truth[k] = truth_of(statement);
    sqlite3_reset(statement);
    if (rc != SQLITE_DONE)
        return hn_fail(err, HN_ERR_PLAN, "a grading rule could not be evaluated: %s",
                       sqlite3_errmsg(r->db));
    return HN_OK;
}
