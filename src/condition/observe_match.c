/* Which segment a visit surveyed, and which inspection record tells of the same day. */
#include "condition/match.h"
#include "condition/observe_parts.h"

#include "base/alloc.h"
#include "base/radix.h"

#include <string.h>

/* ---- by the id of the inspection ---- */

/* Inspection id text -> record + 1. */
static hn_status records_by_id(const hn_observing *w, uint32_t **out, hn_error *err)
{
    const hn_inspections *p = w->inspections;
    hn_status rc = HN_OK;

    *out = hn_alloc(hn_text_pool_count(w->table->texts), sizeof **out);
    HN_TRY_ALLOC(*out);
    for (size_t i = p->count; i-- > 0;) /* the first of several wins */
        if (p->inspection_id[i])
            (*out)[p->inspection_id[i]] = (uint32_t)i + 1;
out:
    return rc;
}

/* What the inspection knows better: its segment and its day. */
static void take_from_record(hn_observing *w, size_t v, size_t record, uint8_t *how)
{
    hn_inspections *visits = &w->o->visits;

    if (w->o->row[v] < 0) {
        w->o->row[v] = w->inspection_row[record];
        *how = w->o->row[v] < 0 ? HN_MATCH_NONE : HN_MATCH_ID;
    }
    if (visits->date[v] == HN_I32_MISSING)
        visits->date[v] = w->inspections->date[record];
}

static hn_status link_by_id(hn_observing *w, uint8_t *how, hn_error *err)
{
    uint32_t *by_id = NULL;
    hn_status rc = HN_OK;

    HN_TRY(records_by_id(w, &by_id, err));
    for (size_t v = 0; v < w->o->visits.count; v++) {
        uint32_t id = w->o->inspection_id[v];

        w->record_of[v] = UINT32_MAX;
        if (!id || !by_id[id])
            continue;
        w->record_of[v] = by_id[id] - 1;
        take_from_record(w, v, by_id[id] - 1, &how[v]);
    }
out:
    hn_free(by_id);
    return rc;
}

/* ---- by segment and day ---- */

static uint64_t day_key(int32_t row, int32_t date)
{
    return (uint64_t)(uint32_t)row << 32 | (uint32_t)((int64_t)date - INT32_MIN);
}

/* First of the sorted keys that is not less. */
static size_t first_of(const hn_keyed *keys, size_t count, uint64_t key)
{
    size_t low = 0, high = count;

    while (low < high) {
        size_t middle = low + (high - low) / 2;

        if (hn_key_in(&keys[middle]) < key)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static hn_status link_by_day(hn_observing *w, hn_error *err)
{
    const hn_inspections *p = w->inspections;
    hn_keyed *keys = hn_alloc(p->count, sizeof *keys);
    size_t count = 0;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(keys);
    for (size_t i = 0; i < p->count; i++)
        if (w->inspection_row[i] >= 0)
            keys[count++] = hn_keyed_of(day_key(w->inspection_row[i], p->date[i]), (uint32_t)i);
    if (!hn_radix_sort(keys, count))
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    for (size_t v = 0; v < w->o->visits.count; v++) {
        uint64_t key;
        size_t at;

        if (w->record_of[v] != UINT32_MAX || w->o->row[v] < 0)
            continue;
        key = day_key(w->o->row[v], w->o->visits.date[v]);
        at = first_of(keys, count, key);
        if (at < count && hn_key_in(&keys[at]) == key)
            w->record_of[v] = keys[at].value;
    }
out:
    hn_free(keys);
    return rc;
}

/* ---- direction and order ---- */

/* A pair of nodes that was found the other way round was surveyed against the flow:
 * its distances begin at the lower manhole. */
static void settle_directions(hn_observing *w, const uint8_t *how)
{
    for (size_t v = 0; v < w->o->visits.count; v++) {
        if (w->o->direction[v] != HN_CODE_MISSING)
            continue;
        if (how[v] == HN_MATCH_NODES_REVERSED) {
            w->o->direction[v] = HN_SURVEY_AGAINST;
            continue;
        }
        w->o->direction[v] = HN_SURVEY_WITH_FLOW;
        w->out->direction_assumed++;
    }
}

static hn_status permute_records(hn_observing *w, const uint32_t *rank, hn_error *err)
{
    size_t count = w->o->visits.count;
    uint32_t *moved = hn_alloc(count, sizeof *moved);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(moved);
    for (size_t v = 0; v < count; v++)
        moved[rank[v]] = w->record_of[v];
    hn_free(w->record_of);
    w->record_of = moved;
out:
    return rc;
}

/* By segment, then by day; visits without a segment last. */
static hn_status order(hn_observing *w, hn_error *err)
{
    size_t count = w->o->visits.count;
    hn_keyed *keys = hn_alloc(count, sizeof *keys);
    uint32_t *rank = hn_alloc(count, sizeof *rank);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(keys);
    HN_TRY_ALLOC(rank);
    for (size_t v = 0; v < count; v++)
        keys[v] = hn_keyed_of(day_key(w->o->row[v], w->o->visits.date[v]), (uint32_t)v);
    if (!hn_radix_sort(keys, count))
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    for (size_t k = 0; k < count; k++)
        rank[keys[k].value] = (uint32_t)k;
    HN_TRY(hn_observations_order(w->o, rank, err));
    HN_TRY(permute_records(w, rank, err));
out:
    hn_free(keys);
    hn_free(rank);
    return rc;
}

/* Before the order changes: `how` is by the old numbers of the visits. */
static void count_matches(hn_observing *w, const uint8_t *how)
{
    for (size_t i = 0; i < w->o->count; i++)
        w->out->by[how[w->o->visit[i]]]++;
    for (size_t v = 0; v < w->o->visits.count; v++)
        w->out->visits_unmatched += w->o->row[v] < 0;
    w->o->matched = w->o->visits.count - w->out->visits_unmatched;
}

static void list_unmatched(hn_observing *w)
{
    const hn_observations *o = w->o;

    for (size_t v = 0; v < o->visits.count; v++) {
        const size_t seen = o->start[v + 1] - o->start[v];
        const char *id = hn_text_pool_get(w->table->texts, o->visits.segment[v]);

        if (o->row[v] < 0)
            hn_observe_found(w, HN_FOUND_UNMATCHED, v, seen, id[0] ? id : "(no id)");
        else if (w->record_of[v] == UINT32_MAX && w->plan->inspection_count)
            hn_observe_found(w, HN_FOUND_NO_INSPECTION, v, seen, "");
    }
}

hn_status hn_observe_match(hn_observing *w, hn_error *err)
{
    size_t visits = w->o->visits.count, records = w->inspections->count;
    uint8_t *how = hn_alloc(visits > records ? visits : records, 1);
    hn_status rc = HN_OK;

    w->inspection_row = hn_alloc(records, sizeof *w->inspection_row);
    w->record_of = hn_alloc(visits, sizeof *w->record_of);
    HN_TRY_ALLOC(how);
    HN_TRY_ALLOC(w->inspection_row);
    HN_TRY_ALLOC(w->record_of);
    if (records)
        HN_TRY(hn_match_inspections(w->table, w->inspections, w->plan, w->plane, w->inspection_row,
                                    how, NULL, err));
    HN_TRY(hn_match_inspections(w->table, &w->o->visits, w->plan, w->plane, w->o->row, how, NULL,
                                err));
    HN_TRY(link_by_id(w, how, err));
    HN_TRY(link_by_day(w, err));
    settle_directions(w, how);
    count_matches(w, how);
    HN_TRY(order(w, err));
    list_unmatched(w);
out:
    hn_free(how);
    return rc;
}
