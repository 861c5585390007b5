#include "run/import.h"

#include "read/role_table.h"

#include <string.h>

/* The columns that matter, found once a source. */
typedef struct observed_columns {
    const hn_role_column *segment, *up, *down, *inspection, *date, *code, *ch1, *ch2, *q1, *q2,
        *from, *to, *mark, *clock_from, *clock_to, *joint, *direction, *remark;
} observed_columns;

typedef struct import_job {
    hn_state *state;
    uint16_t source;
    size_t rows;
} import_job;

static void find_columns(const hn_role_table *t, observed_columns *c)
{
    c->segment = hn_role_table_column(t, "segment_id");
    c->up = hn_role_table_column(t, "up_node");
    c->down = hn_role_table_column(t, "down_node");
    c->inspection = hn_role_table_column(t, "inspection_id");
    c->date = hn_role_table_column(t, "inspected_on");
    c->code = hn_role_table_column(t, "code");
    c->ch1 = hn_role_table_column(t, "characterisation_1");
    c->ch2 = hn_role_table_column(t, "characterisation_2");
    c->q1 = hn_role_table_column(t, "quantity_1");
    c->q2 = hn_role_table_column(t, "quantity_2");
    c->from = hn_role_table_column(t, "distance");
    c->to = hn_role_table_column(t, "distance_to");
    c->mark = hn_role_table_column(t, "continuous");
    c->clock_from = hn_role_table_column(t, "clock_from");
    c->clock_to = hn_role_table_column(t, "clock_to");
    c->joint = hn_role_table_column(t, "at_joint");
    c->direction = hn_role_table_column(t, "direction");
    c->remark = hn_role_table_column(t, "remark");
}

static const char *text_at(const hn_role_column *c, const hn_text_pool *texts, size_t row)
{
    return c->is_mapped ? hn_text_pool_get(texts, c->text[row]) : "";
}

static double number_at(const hn_role_column *c, size_t row)
{
    return c->is_mapped ? c->number[row] : (double)NAN;
}

/* Id of a key in the pool of the segment table. */
static uint32_t key_at(hn_state *s, const hn_role_column *c, const hn_text_pool *texts, size_t row)
{
    uint32_t id = c->is_mapped ? c->text[row] : 0;

    return id ? hn_text_pool_add(s->table->texts, hn_text_pool_get(texts, id),
                                 hn_text_pool_length(texts, id))
              : 0;
}

static hn_status take_row(import_job *job, const observed_columns *c, const hn_text_pool *texts,
                          size_t i, hn_error *err)
{
    hn_state *s = job->state;
    const double joint = number_at(c->joint, i);
    const hn_observed row = {.segment = key_at(s, c->segment, texts, i),
                             .up_node = key_at(s, c->up, texts, i),
                             .down_node = key_at(s, c->down, texts, i),
                             .inspection_id = key_at(s, c->inspection, texts, i),
                             .date = c->date->is_mapped ? c->date->date[i] : HN_I32_MISSING,
                             .direction = hn_survey_direction(text_at(c->direction, texts, i)),
                             .source = job->source,
                             .code = text_at(c->code, texts, i),
                             .ch1 = text_at(c->ch1, texts, i),
                             .ch2 = text_at(c->ch2, texts, i),
                             .remark = text_at(c->remark, texts, i),
                             .from_m = number_at(c->from, i),
                             .to_m = number_at(c->to, i),
                             .q1 = number_at(c->q1, i),
                             .q2 = number_at(c->q2, i),
                             .clock_from = number_at(c->clock_from, i),
                             .clock_to = number_at(c->clock_to, i),
                             .mark = hn_survey_mark_of(text_at(c->mark, texts, i)),
                             .at_joint = joint > 0.0};

    if (row.segment == UINT32_MAX || row.up_node == UINT32_MAX || row.down_node == UINT32_MAX ||
        row.inspection_id == UINT32_MAX)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for texts");
    return hn_observations_add(&s->observations, &row, err);
}

static hn_status take_rows(void *context, const hn_role_table *rows, const hn_text_pool *texts,
                           hn_error *err)
{
    import_job *job = context;
    observed_columns columns;
    hn_status rc = HN_OK;

    find_columns(rows, &columns);
    for (size_t i = 0; i < rows->rows; i++)
        HN_TRY(take_row(job, &columns, texts, i, err));
    job->rows += rows->rows;
out:
    return rc;
}

static hn_status import_one(hn_state *s, size_t number, hn_error *err)
{
    const hn_source *source = &s->plan->observations[number];
    hn_source_note *note = hn_state_note_source(s, source);
    import_job job = {s, (uint16_t)number, 0};
    hn_role_table from = {0};
    hn_status rc = HN_OK;

    if (source->format == HN_FORMAT_EXCHANGE_TEXT)
        HN_TRY(hn_import_exchange(s, source, number, &job.rows, err));
    else
        HN_TRY(hn_role_table_stream(source, hn_observation_roles, hn_observation_role_count,
                                    s->threads, take_rows, &job, &s->issues, &from, err));
    if (note) {
        note->rows_read = note->rows_kept = job.rows;
        memcpy(note->layer, from.layer, sizeof note->layer);
    }
out:
    hn_role_table_clear(&from);
    return rc;
}

hn_status hn_import_observations(hn_state *s, hn_error *err)
{
    hn_status rc = HN_OK;

    if (!s->plan->observation_count)
        return HN_OK;
    HN_TRY(hn_observations_init(&s->observations, err));
    for (size_t i = 0; i < s->plan->observation_count; i++)
        HN_TRY(import_one(s, i, err));
out:
    return rc;
}
