#include "engineering/chain_data.h"

#include "base/alloc.h"
#include "base/hash.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static int is_one_grade(uint8_t grades)
{
    return (grades & (grades - 1)) == 0;
}

/* ---- equal sequences ---- */

static int by_number(double a, double b)
{
    return (a > b) - (a < b);
}

static int compare_step(const hn_chain_step *a, const hn_chain_step *b)
{
    int order = by_number(a->from_years, b->from_years);

    order = order ? order : by_number(a->to_years, b->to_years);
    return order ? order : (int)a->grades - (int)b->grades;
}

static int compare_cell(const hn_chain_step *step, const hn_chain_cell *a, const hn_chain_cell *b)
{
    int order = (int)a->given - (int)b->given;

    if (order == 0)
        order = (a->steps > b->steps) - (a->steps < b->steps);
    for (uint32_t i = 0; order == 0 && i < a->steps; i++)
        order = compare_step(step + a->first + i, step + b->first + i);
    return order;
}

static uint64_t hash_number(uint64_t hash, double number)
{
    uint64_t bits;

    number += 0.0; /* the two zeros are one */
    memcpy(&bits, &number, sizeof bits);
    return hn_hash_mix(hash ^ bits);
}

static uint64_t hash_cell(const hn_chain_data *d, const hn_chain_cell *c)
{
    uint64_t hash = hn_hash_mix((uint64_t)c->steps << 8 | c->given);

    for (uint32_t i = 0; i < c->steps; i++) {
        const hn_chain_step *s = &d->step[c->first + i];

        hash = hash_number(hash_number(hash ^ s->grades, s->from_years), s->to_years);
    }
    return hash;
}

static size_t slot_of(const hn_chain_data *d, const hn_chain_cell *c)
{
    size_t at = (size_t)hash_cell(d, c) & (d->slots - 1);

    while (d->slot[at] && compare_cell(d->step, &d->cell[d->slot[at] - 1], c) != 0)
        at = (at + 1) & (d->slots - 1);
    return at;
}

static hn_status grow_slots(hn_chain_data *d, hn_error *err)
{
    size_t slots = d->slots ? 2 * d->slots : 256;

    if (2 * d->cells <= d->slots)
        return HN_OK;
    hn_free(d->slot);
    d->slot = hn_alloc(slots, sizeof *d->slot);
    if (!d->slot)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for readings");
    d->slots = slots;
    for (size_t i = 0; i + 1 < d->cells; i++)
        d->slot[slot_of(d, &d->cell[i])] = i + 1;
    return HN_OK;
}

/* The last cell is whole: counted with an equal one, or kept. */
static hn_status settle_cell(hn_chain_data *d, hn_error *err)
{
    const hn_chain_cell *last = &d->cell[d->cells - 1];
    size_t at;
    hn_status rc = HN_OK;

    HN_TRY(grow_slots(d, err));
    at = slot_of(d, last);
    if (!d->slot[at]) {
        d->slot[at] = d->cells;
        return HN_OK;
    }
    d->cell[d->slot[at] - 1].weight += last->weight;
    d->steps = last->first;
    d->cells--;
out:
    return rc;
}

/* ---- adding ---- */

static hn_status new_cell(hn_chain_data *d, uint8_t given, double weight, hn_error *err)
{
    if (!hn_grow((void **)&d->cell, d->cells, &d->cell_room, sizeof *d->cell))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for readings");
    d->cell[d->cells++] = (hn_chain_cell){.first = d->steps, .given = given, .weight = weight};
    return HN_OK;
}

static hn_status add_step(hn_chain_data *d, double from, double to, uint8_t grades, hn_error *err)
{
    hn_chain_step step = {.from_years = from, .to_years = to, .grades = grades};

    if (!hn_grow((void **)&d->step, d->steps, &d->step_room, sizeof *d->step))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for readings");
    if (d->grid_years > 0.0) {
        step.from_years = round(from / d->grid_years) * d->grid_years;
        step.to_years = round(to / d->grid_years) * d->grid_years;
        /* time has passed: a worse grade a week later is possible */
        step.to_years = fmax(step.to_years, step.from_years + d->grid_years);
    }
    if (!d->by_age) {
        step.to_years -= step.from_years;
        step.from_years = 0.0;
    }
    if (!d->by_age && d->grid_years > 0.0) {
        step.span = (size_t)(step.to_years / d->grid_years + 0.5);
        step.to_years = (double)step.span * d->grid_years;
    }
    d->step[d->steps++] = step;
    d->cell[d->cells - 1].steps++;
    return HN_OK;
}

hn_status hn_chain_data_add(hn_chain_data *d, const hn_reading *reading, size_t count,
                            int age_known, double weight, hn_error *err)
{
    double from = age_known || count == 0 ? 0.0 : reading[0].age_years;
    size_t at = age_known ? 0 : 1;
    hn_status rc = HN_OK;

    if (count <= at || !(weight > 0.0))
        return HN_OK;
    HN_TRY(new_cell(d, age_known ? 0 : reading[0].grades, weight, err));
    for (; at < count; at++) {
        HN_TRY(add_step(d, from, reading[at].age_years, reading[at].grades, err));
        from = reading[at].age_years;
        if (d->whole || at + 1 == count || !is_one_grade(reading[at].grades))
            continue;
        HN_TRY(settle_cell(d, err));
        HN_TRY(new_cell(d, reading[at].grades, weight, err));
    }
    HN_TRY(settle_cell(d, err));
    d->weight += weight;
out:
    return rc;
}

/* ---- order ---- */

static int order_cells(const void *a, const void *b, void *step)
{
    return compare_cell(step, a, b);
}

/* ---- spans ---- */

static hn_status room_for_spans(hn_chain_data *d, size_t count, hn_error *err)
{
    d->span_from = hn_alloc(count, sizeof *d->span_from);
    d->span_to = hn_alloc(count, sizeof *d->span_to);
    d->span_rows = hn_alloc(count, 1);
    d->spans = count;
    if (!d->span_from || !d->span_to || !d->span_rows)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for readings");
    return HN_OK;
}

/* On a grid each multiple of it is a span, used or not. */
static hn_status grid_spans(hn_chain_data *d, hn_error *err)
{
    size_t most = 0;
    hn_status rc = HN_OK;

    for (size_t i = 0; i < d->steps; i++)
        most = d->step[i].span > most ? d->step[i].span : most;
    HN_TRY(room_for_spans(d, most + 1, err));
    for (size_t i = 0; i < d->spans; i++)
        d->span_to[i] = (double)i * d->grid_years;
out:
    return rc;
}

typedef struct numbered {
    double from, to;
    size_t step;
} numbered;

static int order_numbered(const void *a, const void *b)
{
    const numbered *left = a, *right = b;
    int order = by_number(left->from, right->from);

    order = order ? order : by_number(left->to, right->to);
    return order ? order : (left->step > right->step) - (left->step < right->step);
}

static hn_status free_spans(hn_chain_data *d, hn_error *err)
{
    numbered *list = hn_alloc(d->steps, sizeof *list);
    size_t count = 0;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(list);
    for (size_t i = 0; i < d->steps; i++)
        list[i] = (numbered){d->step[i].from_years, d->step[i].to_years, i};
    qsort(list, d->steps, sizeof *list, order_numbered);
    HN_TRY(room_for_spans(d, d->steps, err));
    for (size_t i = 0; i < d->steps; i++) {
        if (count == 0 || d->span_from[count - 1] != list[i].from ||
            d->span_to[count - 1] != list[i].to) {
            d->span_from[count] = list[i].from;
            d->span_to[count++] = list[i].to;
        }
        d->step[list[i].step].span = count - 1;
    }
    d->spans = count;
out:
    hn_free(list);
    return rc;
}

/* ---- plain cells ---- */

static void mark_plain(const hn_chain_data *d, hn_chain_cell *c)
{
    const hn_chain_step *step = &d->step[c->first];
    unsigned grades = step->grades;

    c->high = 0;
    if (c->steps != 1 || (c->given && !is_one_grade(c->given)) || !(grades & 31u))
        return;
    for (c->from = 0; c->given >> (c->from + 1); c->from++)
        ;
    for (c->low = 1; !(grades >> (c->low - 1) & 1u); c->low++)
        ;
    for (c->high = c->low; c->high < HN_GRADES && grades >> c->high & 1u; c->high++)
        ;
    if (grades >> c->high || step->span > UINT32_MAX)
        c->high = 0; /* with a gap */
    c->span = (uint32_t)step->span;
}

static void mark_cells(hn_chain_data *d)
{
    for (size_t i = 0; i < d->cells; i++) {
        hn_chain_cell *c = &d->cell[i];

        mark_plain(d, c);
        for (uint32_t k = 0; k < c->steps; k++)
            d->span_rows[d->step[c->first + k].span] |= c->high ? (uint8_t)(1u << c->from) : 31u;
    }
    for (size_t i = 0; i < d->spans; i++)
        for (int g = 0; g < HN_GRADES; g++)
            if (d->span_rows[i] >> g & 1u)
                d->row_spans[g] = i + 1;
}

hn_status hn_chain_data_pack(hn_chain_data *d, hn_error *err)
{
    hn_status rc = HN_OK;

    hn_free(d->slot);
    d->slot = NULL;
    d->slots = 0;
    if (d->cells > 1)
        qsort_r(d->cell, d->cells, sizeof *d->cell, order_cells, d->step);
    HN_TRY(!d->by_age && d->grid_years > 0.0 ? grid_spans(d, err) : free_spans(d, err));
    mark_cells(d);
out:
    return rc;
}

void hn_chain_data_scale(hn_chain_data *d, double factor)
{
    for (size_t i = 0; i < d->cells; i++)
        d->cell[i].weight *= factor;
    d->weight *= factor;
}

void hn_chain_data_clear(hn_chain_data *d)
{
    hn_free(d->step);
    hn_free(d->cell);
    hn_free(d->slot);
    hn_free(d->span_from);
    hn_free(d->span_to);
    hn_free(d->span_rows);
    memset(d, 0, sizeof *d);
}
