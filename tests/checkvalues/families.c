/* checkvalues/families.c - the list of check families. The first one that
 * claims a row works it out. */
#include "checkvalues.h"

const check_family *const check_families[] = {
    &check_section,       &check_capacity,  &check_structural,
    &check_wall_matrix,   &check_economics, &check_grading,
    &check_deterioration, &check_panel,     &check_risk,
    NULL,
};
