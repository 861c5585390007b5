#include "read/role_lists.h"

#include "base/units.h"
#include "table/field_roles.h"

/* A pipe has a width and a length greater than zero; counts, depths and
 * shares are not negative; levels, slopes and groundwater may be. */
#define SENSE_OF_NONE         HN_ANY_NUMBER
#define SENSE_OF_SMALL_LENGTH HN_POSITIVE
#define SENSE_OF_LENGTH       HN_ANY_NUMBER
#define SENSE_OF_SLOPE        HN_ANY_NUMBER
#define SENSE_OF_PERCENT      HN_NOT_NEGATIVE
#define SENSE_OF_FLOW         HN_NOT_NEGATIVE
#define SENSE_OF_ANGLE        HN_NOT_NEGATIVE
#define SENSE_OF_COUNT        HN_NOT_NEGATIVE

#define SENSE_OF_COLUMN(COLUMN, dimension)                                            \
    (HN_COL_##COLUMN == HN_COL_LENGTH_RECORDED_M ? HN_POSITIVE                        \
     : HN_COL_##COLUMN == HN_COL_DEPTH_UP_M || HN_COL_##COLUMN == HN_COL_DEPTH_DOWN_M \
         ? HN_NOT_NEGATIVE                                                            \
         : SENSE_OF_##dimension)

#define SEGMENT_ROW(ROLE, key, COLUMN, dimension, kind) \
    {key, HN_COL_##COLUMN, HN_VALUE_##kind, SENSE_OF_COLUMN(COLUMN, dimension)},
#define OTHER_ROW(ROLE, key, dimension, kind) \
    {key, HN_COL_COUNT, HN_VALUE_##kind, SENSE_OF_##dimension},

const hn_role_spec hn_segment_roles[] = {HN_FIELD_ROLE_LIST(SEGMENT_ROW)};
/* An inspections table may hold what a segment holds, and more. */
const hn_role_spec hn_inspection_roles[] = {HN_FIELD_ROLE_LIST(SEGMENT_ROW)
                                                HN_INSPECTION_ROLE_LIST(OTHER_ROW)};
const hn_role_spec hn_observation_roles[] = {HN_OBSERVATION_ROLE_LIST(OTHER_ROW)};
const hn_role_spec hn_node_roles[] = {HN_NODE_ROLE_LIST(OTHER_ROW)};
const hn_role_spec hn_works_roles[] = {HN_WORKS_ROLE_LIST(OTHER_ROW)};

const size_t hn_segment_role_count = sizeof hn_segment_roles / sizeof hn_segment_roles[0];
const size_t hn_inspection_role_count = sizeof hn_inspection_roles / sizeof hn_inspection_roles[0];
const size_t hn_observation_role_count =
    sizeof hn_observation_roles / sizeof hn_observation_roles[0];
const size_t hn_node_role_count = sizeof hn_node_roles / sizeof hn_node_roles[0];
const size_t hn_works_role_count = sizeof hn_works_roles / sizeof hn_works_roles[0];
