/* table/field_roles.h - what a plan can map from a source layer.
 *
 * X(ROLE, key, COLUMN, dimension, kind)
 *   key        name in the plan's `fields:`; the unit is declared there
 *   COLUMN     HN_COL_* that receives the value
 *   dimension  hn_dimension of base/units.h
 *   kind       TEXT, NUMBER, YEAR, DATE, GRADE, FLAG, SHAPE
 */
#ifndef HN_TABLE_FIELD_ROLES_H
#define HN_TABLE_FIELD_ROLES_H

#define HN_FIELD_ROLE_LIST(X)                                              \
    X(SEGMENT_ID, "segment_id", SEGMENT_ID, NONE, TEXT)                    \
    X(UP_NODE, "up_node", UP_NODE, NONE, TEXT)                             \
    X(DOWN_NODE, "down_node", DOWN_NODE, NONE, TEXT)                       \
    X(OWNER, "owner", OWNER, NONE, TEXT)                                   \
    X(STATUS, "status", STATUS, NONE, TEXT)                                \
    X(DISTRICT, "district", DISTRICT, NONE, TEXT)                          \
    X(STREET, "street", STREET, NONE, TEXT)                                \
    X(DUTY, "duty", DUTY, NONE, TEXT)                                      \
    X(SURFACE, "surface", SURFACE, NONE, TEXT)                             \
    X(SOIL, "soil", SOIL, NONE, TEXT)                                      \
    X(MATERIAL, "material", MATERIAL, NONE, TEXT)                          \
    X(SHAPE, "shape", SHAPE, NONE, SHAPE)                                  \
    X(WIDTH, "width", WIDTH_MM, SMALL_LENGTH, NUMBER)                      \
    X(HEIGHT, "height", HEIGHT_MM, SMALL_LENGTH, NUMBER)                   \
    X(WIDTH_UP, "width_up", WIDTH_UP_MM, SMALL_LENGTH, NUMBER)             \
    X(WIDTH_DOWN, "width_down", WIDTH_DOWN_MM, SMALL_LENGTH, NUMBER)       \
    X(YEAR_BUILT, "year_built", YEAR_BUILT, NONE, YEAR)                    \
    X(YEAR_LINED, "year_lined", YEAR_LINED, NONE, YEAR)                    \
    X(LINED_BY, "lined_by", LINED_BY, NONE, TEXT)                          \
    X(LENGTH, "length", LENGTH_RECORDED_M, LENGTH, NUMBER)                 \
    X(INVERT_UP, "invert_up", INVERT_UP_M, LENGTH, NUMBER)                 \
    X(INVERT_DOWN, "invert_down", INVERT_DOWN_M, LENGTH, NUMBER)           \
    X(GROUND_UP, "ground_up", GROUND_UP_M, LENGTH, NUMBER)                 \
    X(GROUND_DOWN, "ground_down", GROUND_DOWN_M, LENGTH, NUMBER)           \
    X(DEPTH_UP, "depth_up", DEPTH_UP_M, LENGTH, NUMBER)                    \
    X(DEPTH_DOWN, "depth_down", DEPTH_DOWN_M, LENGTH, NUMBER)              \
    X(SLOPE, "slope", SLOPE_RECORDED, SLOPE, NUMBER)                       \
    X(FLOW_REQUIRED, "flow_required", FLOW_REQUIRED, FLOW, NUMBER)         \
    X(PEOPLE, "people", PEOPLE, COUNT, NUMBER)                             \
    X(FLOW_ADDED, "flow_added", FLOW_ADDED, FLOW, NUMBER)                  \
    X(BEND, "bend", BEND_RECORDED_DEG, ANGLE, NUMBER)                      \
    X(JOINT_OFFSET, "joint_offset", OFFSET_PCT, PERCENT, NUMBER)           \
    X(OVALITY, "ovality", OVALITY_PCT, PERCENT, NUMBER)                    \
    X(SAG, "sag", SAG_PCT, PERCENT, NUMBER)                                \
    X(DEPOSITS, "deposits", DEPOSITS_PCT, PERCENT, NUMBER)                 \
    X(LATERALS, "laterals", LATERALS, COUNT, NUMBER)                       \
    X(GROUNDWATER, "groundwater_above_invert", GROUNDWATER_M, LENGTH, NUMBER) \
    X(ACCESS, "access_opening", ACCESS_MM, SMALL_LENGTH, NUMBER)           \
    X(SPOT_DEFECTS, "spot_defects", SPOT_DEFECTS, COUNT, NUMBER)           \
    X(INFILTRATION, "infiltration", INFILTRATION, NONE, TEXT)              \
    X(INFILTRATION_FLOW, "infiltration_flow", INFILTRATION_FLOW, FLOW, NUMBER) \
    X(ROOTS, "roots", ROOTS, NONE, TEXT)                                   \
    X(COLLAPSED, "collapsed", COLLAPSED, NONE, FLAG)                       \
    X(GRADE_STRUCTURAL, "grade_structural", GRADE_STRUCTURAL, NONE, GRADE) \
    X(GRADE_SERVICE, "grade_service", GRADE_SERVICE, NONE, GRADE)          \
    X(GRADE_TIGHTNESS, "grade_tightness", GRADE_TIGHTNESS, NONE, GRADE)    \
    X(INSPECTED_ON, "inspected_on", INSPECTED_ON, NONE, DATE)

/* Roles that only an inspections table has, beside segment_id, up_node,
 * down_node, inspected_on, the grades and the defect columns above. */
#define HN_INSPECTION_ROLE_LIST(X)                     \
    X(COMPLETE, "complete", NONE, FLAG)                \
    X(LENGTH_SEEN, "length_seen", LENGTH, NUMBER)      \
    X(INSPECTION_ID, "inspection_id", NONE, TEXT)

/* Roles of an observations table: what was seen, place by place. Quantities are in the
 * unit that their code asks for. */
#define HN_OBSERVATION_ROLE_LIST(X)                    \
    X(SEGMENT_ID, "segment_id", NONE, TEXT)            \
    X(UP_NODE, "up_node", NONE, TEXT)                  \
    X(DOWN_NODE, "down_node", NONE, TEXT)              \
    X(INSPECTION_ID, "inspection_id", NONE, TEXT)      \
    X(INSPECTED_ON, "inspected_on", NONE, DATE)        \
    X(CODE, "code", NONE, TEXT)                        \
    X(CH1, "characterisation_1", NONE, TEXT)           \
    X(CH2, "characterisation_2", NONE, TEXT)           \
    X(Q1, "quantity_1", NONE, NUMBER)                  \
    X(Q2, "quantity_2", NONE, NUMBER)                  \
    X(DISTANCE, "distance", LENGTH, NUMBER)            \
    X(DISTANCE_TO, "distance_to", LENGTH, NUMBER)      \
    X(CONTINUOUS, "continuous", NONE, TEXT)            \
    X(CLOCK_FROM, "clock_from", NONE, NUMBER)          \
    X(CLOCK_TO, "clock_to", NONE, NUMBER)              \
    X(AT_JOINT, "at_joint", NONE, FLAG)                \
    X(DIRECTION, "direction", NONE, TEXT)              \
    X(REMARK, "remark", NONE, TEXT)

/* Roles of the nodes layer (manholes as points). */
#define HN_NODE_ROLE_LIST(X)                           \
    X(NODE_ID, "node_id", NONE, TEXT)                  \
    X(GROUND, "ground", LENGTH, NUMBER)                \
    X(ACCESS, "access_opening", SMALL_LENGTH, NUMBER)

/* Roles of the works layer (linked works and commitments). */
#define HN_WORKS_ROLE_LIST(X)                          \
    X(SEGMENT_ID, "segment_id", NONE, TEXT)            \
    X(STREET, "street", NONE, TEXT)                    \
    X(YEAR, "year", NONE, YEAR)                        \
    X(KIND, "kind", NONE, TEXT)                        \
    X(METHOD, "method", NONE, TEXT)                    \
    X(COST, "cost", NONE, NUMBER)

#endif
