#include "run/import.h"

#include "base/alloc.h"
#include "read/role_table.h"

#include <string.h>

/* The columns that matter, found once a source. */
typedef struct observed_columns {
    const hn_role_column *segment, *up, *down, *inspection, *date, *code, *ch1, *ch2, *q1, *q2,
        *from, *to, *mark, *clock_from, *clock_to, *joint, *direction, *remark;
} observed_columns;

/* Texts of the stream's pool that were seen before: a look at an array in place of a
 * search in a pool of millions. Numbers + 1; 0: not yet. */
typedef struct known_texts {
    uint32_t *key, *word; /* in the pool of the segment table, in that of the observations */
    size_t room, pool_number;
} known_texts;

typedef struct import_job {
    hn_state *state;
    uint16_t source;
    size_t rows;
    known_texts known;
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

static hn_status room_for_texts(known_texts *known, size_t count, hn_error *err)
{
    hn_status rc = HN_OK;

    if (count <= known->room)
        return HN_OK;
    hn_free(known->key);
    hn_free(known->word);
    known->room = 2 * count;
    known->word = NULL;
    known->key = hn_alloc(known->room, sizeof *known->key);
    HN_TRY_ALLOC(known->key);
    known->word = hn_alloc(known->room, sizeof *known->word);
    HN_TRY_ALLOC(known->word);
out:
    return rc;
}

/* Empty again when another pool has begun. */
static hn_status look_at_pool(import_job *job, const hn_role_table *rows, const hn_text_pool *texts,
                              hn_error *err)
{
    known_texts *known = &job->known;
    hn_status rc = HN_OK;

    HN_TRY(room_for_texts(known, hn_text_pool_count(texts), err));
    if (known->pool_number != rows->pool_number) {
        memset(known->key, 0, known->room * sizeof *known->key);
        memset(known->word, 0, known->room * sizeof *known->word);
        known->pool_number = rows->pool_number;
    }
out:
    return rc;
}

/* Id of a key in the pool of the segment table. */
static uint32_t key_at(import_job *job, const hn_role_column *c, const hn_text_pool *texts,
                       size_t row)
{
    const uint32_t id = c->is_mapped ? c->text[row] : 0;
    uint32_t *known = &job->known.key[id];

    if (id && !*known) {
        const uint32_t key = hn_text_pool_add(job->state->table->texts, hn_text_pool_get(texts, id),
                                              hn_text_pool_length(texts, id));

        if (key == UINT32_MAX)
            return key;
        *known = key + 1;
    }
    return id ? *known - 1 : 0;
}

/* Id of a code or the like in the pool of the observations. */
static hn_status word_at(import_job *job, const hn_role_column *c, const hn_text_pool *texts,
                         size_t row, uint32_t *out, hn_error *err)
{
    const uint32_t id = c->is_mapped ? c->text[row] : 0;
    uint32_t *known = &job->known.word[id];
    hn_status rc = HN_OK;

    *out = 0;
    if (!id)
        return HN_OK;
    if (!*known) {
        HN_TRY(hn_observations_text(&job->state->observations, hn_text_pool_get(texts, id), known,
                                    err));
        ++*known;
    }
    *out = *known - 1;
out:
    return rc;
}

static hn_status take_words(import_job *job, const observed_columns *c, const hn_text_pool *texts,
                            size_t i, hn_observed *row, hn_error *err)
{
    hn_observations *o = &job->state->observations;
    hn_status rc = HN_OK;

    row->has_ids = 1;
    HN_TRY(word_at(job, c->code, texts, i, &row->code_id, err));
    HN_TRY(word_at(job, c->ch1, texts, i, &row->ch1_id, err));
    HN_TRY(word_at(job, c->ch2, texts, i, &row->ch2_id, err));
    if (hn_observations_remark_room(o))
        HN_TRY(word_at(job, c->remark, texts, i, &row->remark_id, err));
    else
        o->remarks_dropped += text_at(c->remark, texts, i)[0] != '\0';
out:
    return rc;
}

static hn_status take_row(import_job *job, const observed_columns *c, const hn_text_pool *texts,
                          size_t i, hn_error *err)
{
    hn_state *s = job->state;
    const double joint = number_at(c->joint, i);
    hn_observed row = {.segment = key_at(job, c->segment, texts, i),
                       .up_node = key_at(job, c->up, texts, i),
                       .down_node = key_at(job, c->down, texts, i),
                       .inspection_id = key_at(job, c->inspection, texts, i),
                       .date = c->date->is_mapped ? c->date->date[i] : HN_I32_MISSING,
                       .direction = hn_survey_direction(text_at(c->direction, texts, i)),
                       .source = job->source,
                       .from_m = number_at(c->from, i),
                       .to_m = number_at(c->to, i),
                       .q1 = number_at(c->q1, i),
                       .q2 = number_at(c->q2, i),
                       .clock_from = number_at(c->clock_from, i),
                       .clock_to = number_at(c->clock_to, i),
                       .mark = hn_survey_mark_of(text_at(c->mark, texts, i)),
                       .at_joint = joint > 0.0};
    hn_status rc = HN_OK;

    if (row.segment == UINT32_MAX || row.up_node == UINT32_MAX || row.down_node == UINT32_MAX ||
        row.inspection_id == UINT32_MAX)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for texts");
    HN_TRY(take_words(job, c, texts, i, &row, err));
    HN_TRY(hn_observations_add(&s->observations, &row, err));
out:
    return rc;
}

static hn_status take_rows(void *context, const hn_role_table *rows, const hn_text_pool *texts,
                           hn_error *err)
{
    import_job *job = context;
    observed_columns columns;
    hn_status rc = HN_OK;

    find_columns(rows, &columns);
    HN_TRY(look_at_pool(job, rows, texts, err));
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
    import_job job = {.state = s, .source = (uint16_t)number};
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
    hn_free(job.known.key);
    hn_free(job.known.word);
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
