/* run/position.h - is the position of segments in the network asked for? */
#ifndef HN_RUN_POSITION_H
#define HN_RUN_POSITION_H

#include "plan/plan.h"
#include "table/segment_table.h"

/* 1 when a rule or a factor names a column cut_off_*, when the plan maps people or
 * flow_added, or when the network has up to 100 000 segments: beyond that columns
 * that nobody asks for are left out. Source of the number: local rule. */
int hn_position_is_asked(const hn_plan *plan, const hn_table *table);

#endif
