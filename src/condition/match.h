/* condition/match.h - which segment an inspection record belongs to. */
#ifndef HN_CONDITION_MATCH_H
#define HN_CONDITION_MATCH_H

#include "condition/condition.h"

/* row[i]: table row of record i, -1 for none; how[i]: hn_match. Both have
 * inspections->count entries. */
HN_MUST_CHECK hn_status hn_match_inspections(const hn_table *table,
                                             const hn_inspections *inspections,
                                             const hn_plan *plan, const hn_plane *plane,
                                             int32_t *row, uint8_t *how, hn_error *err);

#endif
