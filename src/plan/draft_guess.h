/* plan/draft_guess.h - which field of a layer may fill which role. */
#ifndef HN_PLAN_DRAFT_GUESS_H
#define HN_PLAN_DRAFT_GUESS_H

#include "read/dataset_look.h"

#include <stddef.h>

/* Roles that a draft guesses, in the order in which they choose their field
 * and are written. X(ID, key of table/field_roles.h). */
#define HN_GUESS_ROLE_LIST(X)               \
    X(SEGMENT_ID, "segment_id")             \
    X(UP_NODE, "up_node")                   \
    X(DOWN_NODE, "down_node")               \
    X(LENGTH, "length")                     \
    X(WIDTH_UP, "width_up")                 \
    X(WIDTH_DOWN, "width_down")             \
    X(WIDTH, "width")                       \
    X(HEIGHT, "height")                     \
    X(SHAPE, "shape")                       \
    X(MATERIAL, "material")                 \
    X(DUTY, "duty")                         \
    X(YEAR_BUILT, "year_built")             \
    X(YEAR_LINED, "year_lined")             \
    X(INVERT_UP, "invert_up")               \
    X(INVERT_DOWN, "invert_down")           \
    X(GROUND_UP, "ground_up")               \
    X(GROUND_DOWN, "ground_down")           \
    X(DEPTH_UP, "depth_up")                 \
    X(DEPTH_DOWN, "depth_down")             \
    X(SLOPE, "slope")                       \
    X(GRADE_STRUCTURAL, "grade_structural") \
    X(GRADE_SERVICE, "grade_service")       \
    X(INSPECTED_ON, "inspected_on")         \
    X(LATERALS, "laterals")                 \
    X(STATUS, "status")                     \
    X(OWNER, "owner")                       \
    X(DISTRICT, "district")                 \
    X(STREET, "street")                     \
    X(SURFACE, "surface")                   \
    X(SOIL, "soil")

#define HN_GUESS_ENUM(ID, key) HN_GUESS_##ID,
typedef enum hn_guess_role { HN_GUESS_ROLE_LIST(HN_GUESS_ENUM) HN_GUESS_COUNT } hn_guess_role;
#undef HN_GUESS_ENUM

const char *hn_guess_role_key(hn_guess_role role);

typedef struct hn_guesses {
    const hn_field_look *field[HN_GUESS_COUNT]; /* NULL: none found */
    size_t found;
} hn_guesses;

/* Each field is given to one role at most. */
void hn_guess_fields(const hn_layer_look *layer, hn_guesses *out);

/* Unit of an opening: from the name, else from the values: 100 and more mm,
 * 4 and more inches, else m. Local rule. */
const char *hn_guess_size_unit(const hn_field_look *field);
/* Unit of a length: ft when the numbers are 3.28 times the drawn lengths, m
 * when they are equal to them; NULL when they are neither. */
const char *hn_guess_length_unit(const hn_field_look *field);
const char *hn_guess_slope_unit(const hn_field_look *field);
/* "year", "epoch_ms", or NULL when the plan's `auto` reads it. */
const char *hn_guess_date_format(hn_guess_role role, const hn_field_look *field);

/* 1 when the marked value (dataset_look) means "missing" in this role. */
int hn_guess_is_missing(hn_guess_role role, const hn_field_look *field, const char *mark);

/* Our name for a value of a field in the role, or NULL: MATERIAL, SHAPE and DUTY
 * only. A code that may mean two things is told by the others of the field. */
const char *hn_guess_our_value(hn_guess_role role, const hn_field_look *field, const char *value);
int hn_guess_has_values(hn_guess_role role);

#endif
