/* Works of others and commitments: paving years by street, committed segments
 * by id. */
#include "run/import.h"

#include "base/alloc.h"
#include "read/role_table.h"
#include "run/overrides.h"
#include "run/sensitivity.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct works {
    const hn_role_column *segment, *street, *year, *kind, *method, *cost;
    size_t rows;
} works;

static uint32_t text_at(const hn_role_column *column, size_t row)
{
    return column && column->is_mapped ? column->text[row] : 0;
}

static double number_at(const hn_role_column *column, size_t row)
{
    return column && column->is_mapped ? column->number[row] : (double)NAN;
}

static void doubt(hn_state *s, const char *segment, const char *field, const char *value,
                  const char *message)
{
    hn_issue_add(&s->issues, HN_SEVERITY_WARNING, "work_not_used", segment, field, value, message,
                 "the work is not used", (double)NAN, (double)NAN);
}

static int method_named(const hn_config *config, const char *id)
{
    for (size_t m = 0; m < config->method_count; m++)
        if (strcmp(config->methods[m].id, id) == 0)
            return (int)m;
    return -1;
}

/* The work that can be done here and whose estimate is nearest in proportion
 * to the contract; -1 when there is none. */
static int work_nearest(const hn_state *s, size_t row, double contract)
{
    const hn_config *config = &s->plan->config;
    double least = (double)INFINITY;
    int nearest = -1;

    for (size_t m = 0; m < config->method_count; m++) {
        hn_option option;
        double apart;

        if (config->methods[m].kind == HN_METHOD_WATCH)
            continue;
        hn_option_evaluate(s->judged, row, (int)m, &option);
        apart = fabs(log(option.cost / contract));
        if (option.verdict <= HN_VERDICT_AFTER_WORKS && apart < least) {
            least = apart;
            nearest = (int)m;
        }
    }
    return nearest;
}

/* Committed work is work: where the engine would only watch, the method nearest
 * to the contract stands for what has been committed, or the next choice where
 * no sum is given. */
static void put_work_in_place_of_watching(hn_state *s, size_t row, double contract)
{
    uint8_t chosen = hn_code(s->table, HN_COL_METHOD, row);
    uint8_t next = hn_code(s->table, HN_COL_RUNNER_UP, row);
    int nearest;

    if (chosen == HN_CODE_MISSING || s->plan->config.methods[chosen].kind != HN_METHOD_WATCH)
        return;
    nearest = contract > 0 ? work_nearest(s, row, contract) : -1;
    if (nearest >= 0)
        hn_options_force(s->judged, row, nearest);
    else if (next != HN_CODE_MISSING)
        hn_options_force(s->judged, row, next);
}

static void commit(hn_state *s, const works *w, size_t i, const int32_t *row_of)
{
    const char *id = hn_text_pool_get(s->table->texts, text_at(w->segment, i));
    const char *method = hn_text_pool_get(s->table->texts, text_at(w->method, i));
    double year = number_at(w->year, i);
    int32_t row = row_of[text_at(w->segment, i)];
    char value[32];

    snprintf(value, sizeof value, "%.0f", year);
    if (row < 0) {
        doubt(s, id, "segment_id", id, "a committed work names a segment that is not there");
        return;
    }
    if (!(year >= s->plan->first_year && year < s->plan->first_year + s->plan->years)) {
        doubt(s, id, "year", value, "the year of a committed work lies outside the programme");
        return;
    }
    if (method[0] && method_named(&s->plan->config, method) >= 0)
        hn_options_force(s->judged, (size_t)row, method_named(&s->plan->config, method));
    else if (!method[0])
        put_work_in_place_of_watching(s, (size_t)row, number_at(w->cost, i));
    else
        doubt(s, id, "method", method, "the method of a committed work is not in the catalogue");
    s->commitments[s->commitment_count++] =
        (hn_commitment){(uint32_t)row, (int32_t)year, number_at(w->cost, i)};
}

static hn_status pave(hn_state *s, const works *w, const char *paved, hn_error *err)
{
    uint32_t texts = hn_text_pool_count(s->table->texts);
    int32_t *year_of = hn_alloc(texts, sizeof *year_of);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(year_of);
    HN_TRY(hn_table_want(s->table, HN_COL_PAVING_YEAR, err));
    for (size_t i = 0; i < w->rows; i++) {
        double year = number_at(w->year, i);

        /* a street paved twice: the next time counts */
        if (strcmp(hn_text_pool_get(s->table->texts, text_at(w->kind, i)), paved) == 0 &&
            year >= s->plan->first_year && text_at(w->street, i) &&
            (year_of[text_at(w->street, i)] == 0 || year < year_of[text_at(w->street, i)]))
            year_of[text_at(w->street, i)] = (int32_t)year;
    }
    for (size_t row = 0; row < s->table->rows; row++) {
        uint32_t street = hn_str(s->table, HN_COL_STREET, row);

        if (street && year_of[street])
            HN_I32(s->table, PAVING_YEAR)[row] = year_of[street];
    }
out:
    hn_free(year_of);
    return rc;
}

static hn_status use_works(hn_state *s, const works *w, hn_error *err)
{
    uint32_t texts = hn_text_pool_count(s->table->texts);
    int32_t *row_of = hn_alloc(texts, sizeof *row_of);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(row_of);
    memset(row_of, 0xff, texts * sizeof *row_of);
    for (size_t row = s->table->rows; row-- > 0;)
        row_of[hn_str(s->table, HN_COL_SEGMENT_ID, row)] = (int32_t)row;
    for (size_t i = 0; i < w->rows; i++) {
        const char *kind = hn_text_pool_get(s->table->texts, text_at(w->kind, i));

        if (strncmp(kind, "commit", 6) == 0)
            commit(s, w, i, row_of);
        else if (strcmp(kind, "paving") != 0)
            doubt(s, "", "kind", kind, "the kind of work is neither paving nor commitment");
    }
    HN_TRY(pave(s, w, "paving", err));
out:
    hn_free(row_of);
    return rc;
}

static hn_status read_works(hn_state *s, hn_error *err)
{
    hn_source_note *note = hn_state_note_source(s, &s->plan->works);
    hn_status rc = HN_OK;

    s->works = hn_alloc(1, sizeof *s->works);
    HN_TRY_ALLOC(s->works);
    HN_TRY(hn_role_table_read(&s->plan->works, hn_works_roles, hn_works_role_count,
                              HN_ROLE_NO_GEOMETRY, NULL, s->threads, s->table->texts, &s->issues,
                              s->works, err));
    if (note)
        note->rows_read = note->rows_kept = s->works->rows;
out:
    return rc;
}

static works roles_of(const hn_role_table *table)
{
    return (works){hn_role_table_column(table, "segment_id"),
                   hn_role_table_column(table, "street"),
                   hn_role_table_column(table, "year"),
                   hn_role_table_column(table, "kind"),
                   hn_role_table_column(table, "method"),
                   hn_role_table_column(table, "cost"),
                   table->rows};
}

void hn_works_forget(hn_state *s)
{
    if (s->works)
        hn_role_table_clear(s->works);
    hn_free(s->works);
    s->works = NULL;
}

hn_status hn_import_works(hn_state *s, hn_error *err)
{
    hn_status rc = HN_OK;

    if (s->plan->has_works && !s->works)
        HN_TRY(read_works(s, err));
    s->commitments = hn_alloc((s->works ? s->works->rows : 0) + s->plan->config.override_count,
                              sizeof *s->commitments);
    HN_TRY_ALLOC(s->commitments);
    if (s->works) {
        const works w = roles_of(s->works);

        HN_TRY(use_works(s, &w, err));
    }
    HN_TRY(hn_overrides_add_years(s, err));
out:
    if (!s->varies_from && !hn_sensitivity_is_on(s))
        hn_works_forget(s);
    return rc;
}
