#include "table/observation_columns.h"

#include "base/alloc.h"
#include "base/hash.h"

#include <string.h>

/* Remarks are free texts, most of them distinct: they are kept up to this many bytes
 * (local rule), so that a large file cannot take all memory. */
static const size_t REMARK_BYTES = (size_t)64 << 20;
enum { FIRST_ROOM = 1024, FIRST_SLOTS = 2048 };

hn_status hn_observations_init(hn_observations *o, hn_error *err)
{
    hn_status rc = HN_OK;

    memset(o, 0, sizeof *o);
    o->texts = hn_text_pool_new();
    HN_TRY_ALLOC(o->texts);
out:
    return rc;
}

void hn_observations_clear(hn_observations *o)
{
    void *const arrays[] = {
        o->inspection_id, o->direction, o->row,   o->start,  o->surveyed_m, o->scale,
        o->slot,          o->visit,     o->code,  o->ch1,    o->ch2,        o->remark,
        o->from_m,        o->to_m,      o->q1,    o->q2,     o->clock_from, o->clock_to,
        o->mark,          o->flags,     o->grade, o->driver, o->rank,       o->verdict,
        o->piece};

    for (size_t i = 0; i < sizeof arrays / sizeof arrays[0]; i++)
        hn_free(arrays[i]);
    hn_inspections_clear(&o->visits);
    hn_text_pool_free(o->texts);
    memset(o, 0, sizeof *o);
}

/* ---- room ---- */

static hn_status make_room(hn_observations *o, hn_error *err)
{
    hn_array columns[HN_OBSERVATION_COLUMNS];
    size_t room = o->room ? o->room + o->room / 2 : FIRST_ROOM;

    if (o->count < o->room)
        return HN_OK;
    hn_observation_columns(o, columns);
    for (int i = 0; i < HN_OBSERVATION_COLUMNS; i++)
        if (!hn_array_grow(&columns[i], room))
            return hn_fail(err, HN_ERR_MEMORY, "out of memory for %zu observations", room);
    o->room = room;
    return HN_OK;
}

static hn_status make_visit_room(hn_observations *o, hn_error *err)
{
    hn_array columns[HN_VISIT_COLUMNS];
    size_t room = o->visit_room ? 2 * o->visit_room : FIRST_ROOM;
    hn_status rc = HN_OK;

    if (o->visits.count < o->visit_room)
        return HN_OK;
    HN_TRY(hn_inspections_reserve(&o->visits, room, err));
    hn_visit_columns(o, columns);
    for (int i = 0; i < HN_VISIT_COLUMNS; i++)
        if (!hn_array_grow(&columns[i], room))
            return hn_fail(err, HN_ERR_MEMORY, "out of memory for %zu visits", room);
    o->visit_room = room;
out:
    return rc;
}

/* ---- visits ---- */

static uint64_t hash_of(const hn_observed *k)
{
    uint64_t h = hn_hash_mix((uint64_t)k->segment << 32 | k->inspection_id);

    h = hn_hash_mix(h ^ ((uint64_t)k->up_node << 32 | k->down_node));
    return hn_hash_mix(
        h ^ ((uint64_t)(uint32_t)k->date << 32 | (uint64_t)k->source << 8 | k->direction));
}

static int is_same(const hn_observations *o, size_t v, const hn_observed *k)
{
    return o->visits.segment[v] == k->segment && o->inspection_id[v] == k->inspection_id &&
           o->visits.up_node[v] == k->up_node && o->visits.down_node[v] == k->down_node &&
           o->visits.date[v] == k->date && o->visits.source[v] == k->source &&
           o->direction[v] == k->direction;
}

static hn_observed keys_of(const hn_observations *o, size_t v)
{
    return (hn_observed){.segment = o->visits.segment[v],
                         .up_node = o->visits.up_node[v],
                         .down_node = o->visits.down_node[v],
                         .inspection_id = o->inspection_id[v],
                         .date = o->visits.date[v],
                         .direction = o->direction[v],
                         .source = o->visits.source[v]};
}

static size_t slot_of(const hn_observations *o, const hn_observed *k)
{
    size_t at = (size_t)hash_of(k) & (o->slots - 1);

    while (o->slot[at] && !is_same(o, o->slot[at] - 1, k))
        at = (at + 1) & (o->slots - 1);
    return at;
}

static hn_status grow_slots(hn_observations *o, hn_error *err)
{
    size_t slots = o->slots ? 2 * o->slots : FIRST_SLOTS;
    hn_status rc = HN_OK;

    if (2 * (o->visits.count + 1) <= o->slots)
        return HN_OK;
    hn_free(o->slot);
    o->slot = hn_alloc(slots, sizeof *o->slot);
    HN_TRY_ALLOC(o->slot);
    o->slots = slots;
    for (size_t v = 0; v < o->visits.count; v++) {
        hn_observed k = keys_of(o, v);

        o->slot[slot_of(o, &k)] = (uint32_t)v + 1;
    }
out:
    return rc;
}

static void put_visit(hn_observations *o, size_t v, const hn_observed *k)
{
    hn_inspections *p = &o->visits;

    p->segment[v] = k->segment;
    p->up_node[v] = k->up_node;
    p->down_node[v] = k->down_node;
    p->date[v] = k->date;
    p->source[v] = k->source;
    p->complete[v] = (uint8_t)HN_CODE_MISSING;
    p->length_seen_m[v] = p->x[v] = p->y[v] = (double)NAN;
    o->inspection_id[v] = k->inspection_id;
    o->direction[v] = k->direction;
    o->row[v] = -1;
    o->surveyed_m[v] = (double)NAN;
    o->scale[v] = 1.0;
}

hn_status hn_observations_visit(hn_observations *o, const hn_observed *k, uint32_t *visit,
                                hn_error *err)
{
    size_t at;
    hn_status rc = HN_OK;

    if (o->slots && o->visits.count && is_same(o, o->last, k)) {
        *visit = o->last;
        return HN_OK;
    }
    HN_TRY(grow_slots(o, err));
    at = slot_of(o, k);
    if (!o->slot[at]) {
        HN_TRY(make_visit_room(o, err));
        put_visit(o, o->visits.count, k);
        o->slot[at] = (uint32_t)++o->visits.count;
    }
    *visit = o->last = o->slot[at] - 1;
out:
    return rc;
}

/* ---- observations ---- */

hn_status hn_observations_text(hn_observations *o, const char *text, uint32_t *id, hn_error *err)
{
    *id = text && text[0] ? hn_text_pool_add(o->texts, text, strlen(text)) : 0;
    return *id == UINT32_MAX ? hn_fail(err, HN_ERR_MEMORY, "out of memory for texts") : HN_OK;
}

static uint8_t hour_of(double clock)
{
    if (!(clock >= 0.0) || !(clock <= 12.0))
        return (uint8_t)HN_CODE_MISSING;
    return clock < 1.0 ? 12 : (uint8_t)clock; /* 0 and 12 are the crown */
}

int hn_observations_remark_room(const hn_observations *o)
{
    return hn_text_pool_bytes(o->texts) < REMARK_BYTES;
}

static void take_ids(hn_observations *o, const hn_observed *w, size_t i)
{
    o->code[i] = w->code_id;
    o->ch1[i] = w->ch1_id;
    o->ch2[i] = w->ch2_id;
    o->remark[i] = w->remark_id;
}

static hn_status intern_texts(hn_observations *o, const hn_observed *w, size_t i, hn_error *err)
{
    int has_room = hn_observations_remark_room(o);
    hn_status rc = HN_OK;

    HN_TRY(hn_observations_text(o, w->code, &o->code[i], err));
    HN_TRY(hn_observations_text(o, w->ch1, &o->ch1[i], err));
    HN_TRY(hn_observations_text(o, w->ch2, &o->ch2[i], err));
    HN_TRY(hn_observations_text(o, has_room ? w->remark : NULL, &o->remark[i], err));
    o->remarks_dropped += !has_room && w->remark && w->remark[0];
out:
    return rc;
}

hn_status hn_observations_add(hn_observations *o, const hn_observed *w, hn_error *err)
{
    size_t i = o->count;
    hn_status rc = HN_OK;

    HN_TRY(make_room(o, err));
    HN_TRY(hn_observations_visit(o, w, &o->visit[i], err));
    if (w->has_ids)
        take_ids(o, w, i);
    else
        HN_TRY(intern_texts(o, w, i, err));
    o->from_m[i] = (float)w->from_m;
    o->to_m[i] = (float)w->to_m;
    o->q1[i] = (float)w->q1;
    o->q2[i] = (float)w->q2;
    o->clock_from[i] = hour_of(w->clock_from);
    o->clock_to[i] = hour_of(w->clock_to);
    o->mark[i] = w->mark;
    o->flags[i] = w->at_joint ? HN_OBS_AT_JOINT : 0;
    o->driver[i] = (uint8_t)HN_CODE_MISSING;
    o->count++;
out:
    return rc;
}

/* ---- pieces ---- */

hn_status hn_observations_on_piece(hn_observations *o, hn_visit_piece piece, hn_error *err)
{
    void *grown = o->piece;

    if (!hn_grow(&grown, o->pieces, &o->piece_room, sizeof piece))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for pieces");
    o->piece = grown;
    o->piece[o->pieces++] = piece;
    return HN_OK;
}

const hn_visit_piece *hn_observed_piece(const hn_observations *o, size_t visit)
{
    size_t low = 0, high = o->pieces;

    while (low < high) {
        const size_t middle = low + (high - low) / 2;

        if (o->piece[middle].visit < visit)
            low = middle + 1;
        else
            high = middle;
    }
    return low < o->pieces && o->piece[low].visit == visit ? &o->piece[low] : NULL;
}

size_t hn_observations_bytes(const hn_observations *o)
{
    return o->room * 45 + o->visit_room * 100 + (o->texts ? hn_text_pool_bytes(o->texts) : 0);
}
