/* A text in the exchange form of EN 13508-2: its inspections and their observations. */
#include "run/import.h"

#include "read/exchange_text.h"

#include <stdio.h>
#include <string.h>

typedef struct exchange_job {
    hn_state *state;
    const hn_source *source;
    hn_observed keys; /* of the inspection that is being read */
    size_t rows;
} exchange_job;

static hn_status key_of(hn_state *s, const char *text, uint32_t *id, hn_error *err)
{
    *id = text[0] ? hn_text_pool_add(s->table->texts, text, strlen(text)) : 0;
    return *id == UINT32_MAX ? hn_fail(err, HN_ERR_MEMORY, "out of memory for texts") : HN_OK;
}

/* Said by the header, else by the node where the survey began. */
static uint8_t direction_of(const hn_exchange_header *h)
{
    const uint8_t said = hn_survey_direction(h->direction);

    if (said != HN_CODE_MISSING || !h->start_node[0])
        return said;
    if (strcmp(h->start_node, h->up_node) == 0)
        return HN_SURVEY_WITH_FLOW;
    if (strcmp(h->start_node, h->down_node) == 0)
        return HN_SURVEY_AGAINST;
    return said;
}

static hn_status add_inspection(hn_state *s, const hn_observed *k, hn_error *err)
{
    hn_inspections *p = &s->inspections;
    const size_t i = p->count;
    hn_status rc = HN_OK;

    HN_TRY(hn_inspections_reserve(p, i + 1, err));
    p->segment[i] = k->segment;
    p->up_node[i] = k->up_node;
    p->down_node[i] = k->down_node;
    p->inspection_id[i] = 0;
    p->date[i] = k->date;
    p->complete[i] = (uint8_t)HN_CODE_MISSING;
    p->length_seen_m[i] = p->x[i] = p->y[i] = (double)NAN;
    p->source[i] = k->source;
    for (int id = 0; id < HN_COL_COUNT; id++) {
        if (p->number[id])
            p->number[id][i] = (double)NAN;
        if (p->text[id])
            p->text[id][i] = 0;
    }
    p->count++;
out:
    return rc;
}

static hn_status take_inspection(void *context, const hn_exchange_header *h, hn_error *err)
{
    exchange_job *job = context;
    hn_observed *k = &job->keys;
    uint32_t visit;
    hn_status rc = HN_OK;

    k->date = h->date;
    k->direction = direction_of(h);
    HN_TRY(key_of(job->state, h->pipe, &k->segment, err));
    HN_TRY(key_of(job->state, h->up_node, &k->up_node, err));
    HN_TRY(key_of(job->state, h->down_node, &k->down_node, err));
    HN_TRY(hn_observations_visit(&job->state->observations, k, &visit, err));
    HN_TRY(add_inspection(job->state, k, err));
out:
    return rc;
}

static hn_status take_observation(void *context, const hn_exchange_row *r, hn_error *err)
{
    exchange_job *job = context;
    hn_observed row = job->keys;

    row.code = r->code;
    row.ch1 = r->ch1;
    row.ch2 = r->ch2;
    row.remark = r->remark;
    row.from_m = r->distance_m;
    row.to_m = (double)NAN;
    row.q1 = r->q1;
    row.q2 = r->q2;
    row.clock_from = r->clock_from;
    row.clock_to = r->clock_to;
    row.mark = hn_survey_mark_of(r->mark);
    row.at_joint = r->at_joint;
    job->rows++;
    return hn_observations_add(&job->state->observations, &row, err);
}

static void take_fault(void *context, size_t line, const char *field, const char *value)
{
    exchange_job *job = context;
    char effect[128];

    snprintf(effect, sizeof effect, "the value is not used; %.60s, line %zu", job->source->key,
             line);
    hn_issue_add(&job->state->issues, HN_SEVERITY_WARNING, "exchange_value", "", field, value,
                 "a value that cannot be read", effect, (double)NAN, (double)NAN);
}

hn_status hn_import_exchange(hn_state *s, const hn_source *source, size_t number, size_t *rows,
                             hn_error *err)
{
    exchange_job job = {.state = s, .source = source, .keys = {.source = (uint16_t)number}};
    const hn_exchange_takers takers = {take_inspection, take_observation, take_fault, &job};
    hn_status rc = hn_exchange_text_read(source->from, &takers, err);

    *rows = job.rows;
    return rc;
}
