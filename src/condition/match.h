/* condition/match.h - which segment an inspection record belongs to. */
#ifndef HN_CONDITION_MATCH_H
#define HN_CONDITION_MATCH_H

#include "condition/condition.h"

/* A record that fits two segments. */
typedef struct hn_fits_two {
    uint32_t record;
    int32_t one, other; /* rows */
} hn_fits_two;

typedef struct hn_match_notes {
    hn_fits_two *list; /* in the order of records */
    size_t count, room;
    float *apart_m; /* per record: distance from the line; NULL: none matched by place */
    double reach_m; /* of the search by place */
} hn_match_notes;

void hn_match_notes_clear(hn_match_notes *notes);

/* The next row between the same nodes; `row` itself when there is none. A walk over the
 * table: for listing only. */
int32_t hn_match_twin(const hn_table *table, int32_t row);

/* row[i]: table row of record i, -1 for none; how[i]: hn_match. Both have
 * inspections->count entries. notes may be NULL. */
HN_MUST_CHECK hn_status hn_match_inspections(const hn_table *table,
                                             const hn_inspections *inspections, const hn_plan *plan,
                                             const hn_plane *plane, int32_t *row, uint8_t *how,
                                             hn_match_notes *notes, hn_error *err);

#endif
