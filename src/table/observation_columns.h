/* table/observation_columns.h - the arrays of observations and visits, listed once; inside
 * of table/ only. */
#ifndef HN_TABLE_OBSERVATION_COLUMNS_H
#define HN_TABLE_OBSERVATION_COLUMNS_H

#include "table/observations.h"

typedef struct hn_array {
    void *array; /* address of the pointer */
    size_t size; /* of a cell, bytes */
} hn_array;

enum { HN_OBSERVATION_COLUMNS = 14, HN_VISIT_COLUMNS = 5 };

void hn_observation_columns(hn_observations *o, hn_array out[HN_OBSERVATION_COLUMNS]);
/* Those beside `visits`. */
void hn_visit_columns(hn_observations *o, hn_array out[HN_VISIT_COLUMNS]);
void *hn_array_of(const hn_array *c);
/* 0: out of memory, the array then as before. */
int hn_array_grow(const hn_array *c, size_t count);

#endif
