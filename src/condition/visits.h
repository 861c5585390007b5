/* condition/visits.h - records of one day on one segment are one inspection:
 * lengths seen add up, the worst of what they saw counts. It is complete when a
 * record says so, or when nothing says otherwise and at least 90 % of the length
 * was seen (local rule). */
#ifndef HN_CONDITION_VISITS_H
#define HN_CONDITION_VISITS_H

#include "table/inspections.h"

typedef struct hn_record_key {
    int32_t row, date;
    uint32_t record;
} hn_record_key;

typedef struct hn_visit {
    size_t from, to; /* keys of one day */
    int complete;
    double structural;
} hn_visit;

/* Keys of the records that have a row, sorted by row, then latest date first;
 * keys has room for all records. */
HN_MUST_CHECK hn_status hn_visit_sort(const hn_inspections *inspections, const int32_t *row,
                                      hn_record_key *keys, size_t *count, hn_error *err);

/* The inspection whose first key is `from`; `end` is one behind the last key. */
hn_visit hn_visit_take(const hn_table *table, const hn_inspections *inspections,
                       const hn_record_key *keys, size_t from, size_t end);

/* Greatest value of an observed column in the records of one inspection; NaN. */
double hn_visit_worst(const hn_inspections *inspections, hn_column_id id, const hn_record_key *keys,
                      const hn_visit *visit);

#endif
