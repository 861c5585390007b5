#include "table/observations.h"

#include "base/alloc.h"
#include "base/hash.h"
#include "base/radix.h"

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

/* ---- the columns, listed once ---- */

typedef struct column {
    void *array; /* address of the pointer */
    size_t size;
} column;

enum { COLUMNS = 14, VISIT_COLUMNS = 5 };

static void columns_of(hn_observations *o, column out[COLUMNS])
{
    const column all[COLUMNS] = {{&o->visit, sizeof *o->visit},
                                 {&o->code, sizeof *o->code},
                                 {&o->ch1, sizeof *o->ch1},
                                 {&o->ch2, sizeof *o->ch2},
                                 {&o->remark, sizeof *o->remark},
                                 {&o->from_m, sizeof *o->from_m},
                                 {&o->to_m, sizeof *o->to_m},
                                 {&o->q1, sizeof *o->q1},
                                 {&o->q2, sizeof *o->q2},
                                 {&o->clock_from, 1},
                                 {&o->clock_to, 1},
                                 {&o->mark, 1},
                                 {&o->flags, 1},
                                 {&o->driver, 1}};

    memcpy(out, all, sizeof all);
}

static void *array_of(const column *c)
{
    void *array;

    memcpy(&array, c->array, sizeof array);
    return array;
}

static int grow(const column *c, size_t count)
{
    void *grown = hn_realloc(array_of(c), count, c->size);

    if (!grown)
        return 0;
    memcpy(c->array, &grown, sizeof grown);
    return 1;
}

static hn_status make_room(hn_observations *o, hn_error *err)
{
    column columns[COLUMNS];
    size_t room = o->room ? o->room + o->room / 2 : FIRST_ROOM;

    if (o->count < o->room)
        return HN_OK;
    columns_of(o, columns);
    for (int i = 0; i < COLUMNS; i++)
        if (!grow(&columns[i], room))
            return hn_fail(err, HN_ERR_MEMORY, "out of memory for %zu observations", room);
    o->room = room;
    return HN_OK;
}

static void visit_columns_of(hn_observations *o, column out[VISIT_COLUMNS])
{
    const column all[VISIT_COLUMNS] = {{&o->inspection_id, sizeof *o->inspection_id},
                                       {&o->direction, 1},
                                       {&o->row, sizeof *o->row},
                                       {&o->surveyed_m, sizeof *o->surveyed_m},
                                       {&o->scale, sizeof *o->scale}};

    memcpy(out, all, sizeof all);
}

static hn_status make_visit_room(hn_observations *o, hn_error *err)
{
    column columns[VISIT_COLUMNS];
    size_t room = o->visit_room ? 2 * o->visit_room : FIRST_ROOM;
    hn_status rc = HN_OK;

    if (o->visits.count < o->visit_room)
        return HN_OK;
    HN_TRY(hn_inspections_reserve(&o->visits, room, err));
    visit_columns_of(o, columns);
    for (int i = 0; i < VISIT_COLUMNS; i++)
        if (!grow(&columns[i], room))
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

    HN_TRY(grow_slots(o, err));
    at = slot_of(o, k);
    if (!o->slot[at]) {
        HN_TRY(make_visit_room(o, err));
        put_visit(o, o->visits.count, k);
        o->slot[at] = (uint32_t)++o->visits.count;
    }
    *visit = o->slot[at] - 1;
out:
    return rc;
}

/* ---- observations ---- */

static hn_status intern(hn_observations *o, const char *text, uint32_t *id, hn_error *err)
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

static hn_status intern_texts(hn_observations *o, const hn_observed *w, size_t i, hn_error *err)
{
    int has_room = hn_text_pool_bytes(o->texts) < REMARK_BYTES;
    hn_status rc = HN_OK;

    HN_TRY(intern(o, w->code, &o->code[i], err));
    HN_TRY(intern(o, w->ch1, &o->ch1[i], err));
    HN_TRY(intern(o, w->ch2, &o->ch2[i], err));
    HN_TRY(intern(o, has_room ? w->remark : NULL, &o->remark[i], err));
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

/* ---- order ---- */

static hn_status permute(const column *c, const uint32_t *order, size_t count, hn_error *err)
{
    const char *from = array_of(c);
    char *to = hn_alloc(count, c->size);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(to);
    for (size_t i = 0; i < count; i++)
        memcpy(to + i * c->size, from + order[i] * c->size, c->size);
    hn_free(array_of(c));
    memcpy(c->array, &to, sizeof to);
out:
    return rc;
}

static hn_status order_visits(hn_observations *o, const uint32_t *order, hn_error *err)
{
    hn_inspections *p = &o->visits;
    const column keys[] = {{&p->segment, sizeof *p->segment},
                           {&p->up_node, sizeof *p->up_node},
                           {&p->down_node, sizeof *p->down_node},
                           {&p->date, sizeof *p->date},
                           {&p->complete, 1},
                           {&p->length_seen_m, sizeof *p->length_seen_m},
                           {&p->source, sizeof *p->source}};
    column own[VISIT_COLUMNS];
    hn_status rc = HN_OK;

    visit_columns_of(o, own);
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
        HN_TRY(permute(&keys[i], order, p->count, err));
    for (size_t i = 0; i < VISIT_COLUMNS; i++)
        HN_TRY(permute(&own[i], order, p->count, err));
    p->capacity = o->visit_room = p->count;
    hn_free(o->slot); /* the numbers of the visits have changed */
    o->slot = NULL;
    o->slots = 0;
out:
    return rc;
}

static uint64_t place_key(const hn_observations *o, size_t i, uint32_t visit)
{
    uint64_t place = hn_key_of_double((double)o->from_m[i]);

    return (uint64_t)visit << 32 | (uint32_t)(place >> 32);
}

static hn_status order_observations(hn_observations *o, const uint32_t *rank, hn_error *err)
{
    hn_keyed *keys = hn_alloc(o->count, sizeof *keys);
    uint32_t *order = hn_alloc(o->count, sizeof *order);
    column columns[COLUMNS];
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(keys);
    HN_TRY_ALLOC(order);
    for (size_t i = 0; i < o->count; i++) {
        o->visit[i] = rank[o->visit[i]];
        keys[i] = hn_keyed_of(place_key(o, i, o->visit[i]), (uint32_t)i);
    }
    if (!hn_radix_sort(keys, o->count))
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    for (size_t i = 0; i < o->count; i++)
        order[i] = keys[i].value;
    hn_free(keys);
    keys = NULL;
    columns_of(o, columns);
    for (int i = 0; i < COLUMNS; i++)
        HN_TRY(permute(&columns[i], order, o->count, err));
    o->room = o->count;
out:
    hn_free(keys);
    hn_free(order);
    return rc;
}

static void fill_starts(hn_observations *o)
{
    memset(o->start, 0, (o->visits.count + 1) * sizeof *o->start);
    for (size_t i = 0; i < o->count; i++)
        o->start[o->visit[i] + 1]++;
    for (size_t v = 0; v < o->visits.count; v++)
        o->start[v + 1] += o->start[v];
}

hn_status hn_observations_order(hn_observations *o, const uint32_t *rank, hn_error *err)
{
    uint32_t *order = hn_alloc(o->visits.count, sizeof *order);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(order);
    for (size_t v = 0; v < o->visits.count; v++)
        order[rank[v]] = (uint32_t)v;
    HN_TRY(order_visits(o, order, err));
    HN_TRY(order_observations(o, rank, err));
    hn_free(o->start);
    o->start = hn_alloc(o->visits.count + 1, sizeof *o->start);
    hn_free(o->grade);
    hn_free(o->rank);
    o->grade = hn_alloc(o->count, sizeof *o->grade);
    o->rank = hn_alloc(o->count, sizeof *o->rank);
    HN_TRY_ALLOC(o->start);
    HN_TRY_ALLOC(o->grade);
    HN_TRY_ALLOC(o->rank);
    for (size_t i = 0; i < o->count; i++)
        o->grade[i] = NAN;
    fill_starts(o);
out:
    hn_free(order);
    return rc;
}

void hn_observations_keep(hn_observations *o, const uint8_t *keep)
{
    column columns[COLUMNS];
    size_t kept = 0;

    columns_of(o, columns);
    for (size_t i = 0; i < o->count; i++) {
        if (!keep[i])
            continue;
        for (int c = 0; kept < i && c < COLUMNS; c++) {
            char *array = array_of(&columns[c]);

            memcpy(array + kept * columns[c].size, array + i * columns[c].size, columns[c].size);
        }
        o->rank[kept] = o->rank[i];
        o->grade[kept++] = o->grade[i];
    }
    o->count = kept;
    for (int c = 0; kept && c < COLUMNS; c++)
        (void)grow(&columns[c], kept); /* giving room back may fail; then it stays */
    o->room = kept ? kept : o->room;
    fill_starts(o);
}

size_t hn_observations_bytes(const hn_observations *o)
{
    return o->room * 45 + o->visit_room * 100 + (o->texts ? hn_text_pool_bytes(o->texts) : 0);
}
