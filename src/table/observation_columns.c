#include "table/observation_columns.h"

#include "base/alloc.h"

#include <string.h>

void hn_observation_columns(hn_observations *o, hn_array out[HN_OBSERVATION_COLUMNS])
{
    const hn_array all[HN_OBSERVATION_COLUMNS] = {{&o->visit, sizeof *o->visit},
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

void *hn_array_of(const hn_array *c)
{
    void *array;

    memcpy(&array, c->array, sizeof array);
    return array;
}

int hn_array_grow(const hn_array *c, size_t count)
{
    void *grown = hn_realloc(hn_array_of(c), count, c->size);

    if (!grown)
        return 0;
    memcpy(c->array, &grown, sizeof grown);
    return 1;
}

void hn_visit_columns(hn_observations *o, hn_array out[HN_VISIT_COLUMNS])
{
    const hn_array all[HN_VISIT_COLUMNS] = {{&o->inspection_id, sizeof *o->inspection_id},
                                            {&o->direction, 1},
                                            {&o->row, sizeof *o->row},
                                            {&o->surveyed_m, sizeof *o->surveyed_m},
                                            {&o->scale, sizeof *o->scale}};

    memcpy(out, all, sizeof all);
}
