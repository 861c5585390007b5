#include "table/inspections.h"

#include "base/alloc.h"

#include <string.h>

const hn_column_id hn_inspected_numbers[] = {
    HN_COL_GRADE_STRUCTURAL, HN_COL_GRADE_SERVICE, HN_COL_GRADE_TIGHTNESS,
    HN_COL_OFFSET_PCT,       HN_COL_OVALITY_PCT,   HN_COL_SAG_PCT,
    HN_COL_DEPOSITS_PCT,     HN_COL_SPOT_DEFECTS,  HN_COL_COLLAPSED,
    HN_COL_BEND_RECORDED_DEG, HN_COL_LATERALS};
const size_t hn_inspected_number_count = sizeof hn_inspected_numbers / sizeof hn_inspected_numbers[0];
const hn_column_id hn_inspected_texts[] = {HN_COL_INFILTRATION, HN_COL_ROOTS};
const size_t hn_inspected_text_count = sizeof hn_inspected_texts / sizeof hn_inspected_texts[0];

void hn_inspections_clear(hn_inspections *p)
{
    hn_free(p->segment);
    hn_free(p->up_node);
    hn_free(p->down_node);
    hn_free(p->inspection_id);
    hn_free(p->date);
    hn_free(p->complete);
    hn_free(p->length_seen_m);
    hn_free(p->x);
    hn_free(p->y);
    hn_free(p->source);
    for (int id = 0; id < HN_COL_COUNT; id++) {
        hn_free(p->number[id]);
        hn_free(p->text[id]);
    }
    memset(p, 0, sizeof *p);
}

static int grow(void *array, size_t count, size_t size)
{
    void *old, *grown;

    memcpy(&old, array, sizeof old);
    grown = hn_realloc(old, count, size);
    if (!grown)
        return 0;
    memcpy(array, &grown, sizeof grown);
    return 1;
}

hn_status hn_inspections_reserve(hn_inspections *p, size_t count, hn_error *err)
{
    size_t wanted = p->capacity ? p->capacity : 1024;
    int ok;

    if (count <= p->capacity)
        return HN_OK;
    while (wanted < count)
        wanted += wanted / 2;
    ok = grow(&p->segment, wanted, sizeof *p->segment) &&
         grow(&p->up_node, wanted, sizeof *p->up_node) &&
         grow(&p->down_node, wanted, sizeof *p->down_node) &&
         grow(&p->inspection_id, wanted, sizeof *p->inspection_id) &&
         grow(&p->date, wanted, sizeof *p->date) &&
         grow(&p->complete, wanted, sizeof *p->complete) &&
         grow(&p->length_seen_m, wanted, sizeof *p->length_seen_m) &&
         grow(&p->x, wanted, sizeof *p->x) && grow(&p->y, wanted, sizeof *p->y) &&
         grow(&p->source, wanted, sizeof *p->source);
    for (int id = 0; ok && id < HN_COL_COUNT; id++) {
        ok = !p->number[id] || grow(&p->number[id], wanted, sizeof(double));
        ok = ok && (!p->text[id] || grow(&p->text[id], wanted, sizeof(uint32_t)));
    }
    if (!ok)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for %zu inspections", count);
    p->capacity = wanted;
    return HN_OK;
}

hn_status hn_inspections_want(hn_inspections *p, hn_column_id id, hn_error *err)
{
    int is_text = hn_column_definition(id)->kind == HN_KIND_STR;

    if (is_text ? p->text[id] != NULL : p->number[id] != NULL)
        return HN_OK;
    if (is_text)
        p->text[id] = hn_alloc(p->capacity, sizeof(uint32_t));
    else
        p->number[id] = hn_alloc(p->capacity, sizeof(double));
    if (!p->text[id] && !p->number[id])
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for inspections");
    for (size_t i = 0; !is_text && i < p->capacity; i++)
        p->number[id][i] = (double)NAN;
    return HN_OK;
}
