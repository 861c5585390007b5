/* Visits and their observations into a given order; some of them out. */
#include "table/observation_columns.h"

#include "base/alloc.h"
#include "base/radix.h"

#include <string.h>

enum { INSERTED_MOST = 64 };

/* Cells of 1, 2, 4 and 8 bytes: a size that the compiler knows is a plain move. */
static void copy_cells(char *to, const char *from, const uint32_t *order, size_t count, size_t size)
{
#define COPY(bytes)                                       \
    for (size_t i = 0; size == (bytes) && i < count; i++) \
    memcpy(to + i * (bytes), from + (size_t)order[i] * (bytes), (bytes))
    COPY(1);
    COPY(2);
    COPY(4);
    COPY(8);
#undef COPY
}

static hn_status permute(const hn_array *c, const uint32_t *order, size_t count, hn_error *err)
{
    char *to = hn_alloc(count, c->size);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(to);
    copy_cells(to, hn_array_of(c), order, count, c->size);
    hn_free(hn_array_of(c));
    memcpy(c->array, &to, sizeof to);
out:
    return rc;
}

static hn_status order_visits(hn_observations *o, const uint32_t *order, hn_error *err)
{
    hn_inspections *p = &o->visits;
    const hn_array keys[] = {{&p->segment, sizeof *p->segment},
                             {&p->up_node, sizeof *p->up_node},
                             {&p->down_node, sizeof *p->down_node},
                             {&p->date, sizeof *p->date},
                             {&p->complete, 1},
                             {&p->length_seen_m, sizeof *p->length_seen_m},
                             {&p->source, sizeof *p->source}};
    hn_array own[HN_VISIT_COLUMNS];
    hn_status rc = HN_OK;

    hn_visit_columns(o, own);
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
        HN_TRY(permute(&keys[i], order, p->count, err));
    for (size_t i = 0; i < HN_VISIT_COLUMNS; i++)
        HN_TRY(permute(&own[i], order, p->count, err));
    p->capacity = o->visit_room = p->count;
    hn_free(o->slot); /* the numbers of the visits have changed */
    o->slot = NULL;
    o->slots = 0;
out:
    return rc;
}

static uint32_t place_key(const hn_observations *o, size_t i)
{
    return (uint32_t)(hn_key_of_double((double)o->from_m[i]) >> 32);
}

/* Few rows, mostly in order already; equal ones stay as they are. */
static void insert_places(const hn_observations *o, uint32_t *order, size_t count)
{
    for (size_t k = 1; k < count; k++) {
        const uint32_t row = order[k], key = place_key(o, row);
        size_t at = k;

        for (; at > 0 && place_key(o, order[at - 1]) > key; at--)
            order[at] = order[at - 1];
        order[at] = row;
    }
}

static int sort_places(const hn_observations *o, uint32_t *order, size_t count)
{
    hn_keyed *keys;
    int ok;

    if (count <= INSERTED_MOST) {
        insert_places(o, order, count);
        return 1;
    }
    keys = hn_alloc(count, sizeof *keys);
    for (size_t k = 0; keys && k < count; k++)
        keys[k] = hn_keyed_of(place_key(o, order[k]), order[k]);
    ok = keys && hn_radix_sort(keys, count);
    for (size_t k = 0; ok && k < count; k++)
        order[k] = keys[k].value;
    hn_free(keys);
    return ok;
}

/* Rows counted into their visits, then each visit by itself: 4 bytes a row, where a sort
 * of all would take 28. */
static hn_status place_rows(const hn_observations *o, uint32_t *order, hn_error *err)
{
    uint32_t *next = hn_alloc(o->visits.count, sizeof *next);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(next);
    memcpy(next, o->start, o->visits.count * sizeof *next);
    for (size_t i = 0; i < o->count; i++)
        order[next[o->visit[i]]++] = (uint32_t)i;
    for (size_t v = 0; v < o->visits.count; v++)
        if (!sort_places(o, order + o->start[v], o->start[v + 1] - o->start[v]))
            HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
out:
    hn_free(next);
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

static hn_status order_observations(hn_observations *o, const uint32_t *rank, hn_error *err)
{
    uint32_t *order = hn_alloc(o->count, sizeof *order);
    hn_array columns[HN_OBSERVATION_COLUMNS];
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(order);
    for (size_t i = 0; i < o->count; i++)
        o->visit[i] = rank[o->visit[i]];
    fill_starts(o);
    HN_TRY(place_rows(o, order, err));
    hn_observation_columns(o, columns);
    for (int i = 0; i < HN_OBSERVATION_COLUMNS; i++)
        HN_TRY(permute(&columns[i], order, o->count, err));
    o->room = o->count;
out:
    hn_free(order);
    return rc;
}

hn_status hn_observations_order(hn_observations *o, const uint32_t *rank, hn_error *err)
{
    uint32_t *order = hn_alloc(o->visits.count, sizeof *order);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(order);
    for (size_t v = 0; v < o->visits.count; v++)
        order[rank[v]] = (uint32_t)v;
    hn_free(o->start);
    o->start = hn_alloc(o->visits.count + 1, sizeof *o->start);
    HN_TRY_ALLOC(o->start);
    HN_TRY(order_visits(o, order, err));
    HN_TRY(order_observations(o, rank, err));
    hn_free(o->grade);
    hn_free(o->rank);
    o->grade = hn_alloc(o->count, sizeof *o->grade);
    o->rank = hn_alloc(o->count, sizeof *o->rank);
    HN_TRY_ALLOC(o->grade);
    HN_TRY_ALLOC(o->rank);
    for (size_t i = 0; i < o->count; i++)
        o->grade[i] = NAN;
out:
    hn_free(order);
    return rc;
}

static size_t keep_cells(char *cells, const uint8_t *keep, size_t count, size_t size)
{
    size_t kept = 0;

#define KEEP(bytes)                                                       \
    for (size_t i = 0; size == (bytes) && i < count; i++) {               \
        if (keep[i] && kept < i)                                          \
            memcpy(cells + kept * (bytes), cells + i * (bytes), (bytes)); \
        kept += keep[i] != 0;                                             \
    }
    KEEP(1)
    KEEP(2)
    KEEP(4)
#undef KEEP
    return kept;
}

void hn_observations_keep(hn_observations *o, const uint8_t *keep)
{
    hn_array columns[HN_OBSERVATION_COLUMNS];
    size_t kept = keep_cells((char *)o->rank, keep, o->count, sizeof *o->rank);

    keep_cells((char *)o->grade, keep, o->count, sizeof *o->grade);
    hn_observation_columns(o, columns);
    for (int c = 0; c < HN_OBSERVATION_COLUMNS; c++) {
        keep_cells(hn_array_of(&columns[c]), keep, o->count, columns[c].size);
        if (kept)
            (void)hn_array_grow(&columns[c], kept); /* giving room back may fail; then it stays */
    }
    o->count = kept;
    o->room = kept ? kept : o->room;
    fill_starts(o);
}
