/* read/role_lists.h - the roles that each kind of source can fill, typed, from
 * table/field_roles.h. */
#ifndef HN_READ_ROLE_LISTS_H
#define HN_READ_ROLE_LISTS_H

#include "read/field_value.h"
#include "table/segment_table.h"

typedef struct hn_role_spec {
    const char *key;
    hn_column_id column; /* of the segment table; HN_COL_COUNT: none */
    hn_value_kind kind;
    hn_sense sense;
} hn_role_spec;

extern const hn_role_spec hn_segment_roles[], hn_inspection_roles[], hn_node_roles[],
    hn_works_roles[], hn_observation_roles[];
extern const size_t hn_segment_role_count, hn_inspection_role_count, hn_node_role_count,
    hn_works_role_count, hn_observation_role_count;

#endif
