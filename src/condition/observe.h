/* condition/observe.h - observations to grades.
 *
 *   hn_observe   matches visits to segments, puts observations in order along the
 *                pipe, grades them by every scheme, and fills the inspections
 *
 * A visit is one survey of one segment. What a scheme makes of it is kept for every
 * scheme, so that two can be compared; the plan's scheme alone fills inspections.
 */
#ifndef HN_CONDITION_OBSERVE_H
#define HN_CONDITION_OBSERVE_H

#include "condition/condition.h"
#include "table/observations.h"

/* Findings that are counted, and listed for the first visits. */
typedef enum hn_observe_finding {
    HN_FOUND_OVERLAP,
    HN_FOUND_BEYOND,
    HN_FOUND_UNKNOWN_CODE,
    HN_FOUND_CANNOT_TELL,
    HN_FOUND_NO_INSPECTION,
    HN_FOUND_DUPLICATE,
    HN_FOUND_BEFORE_BUILT,
    HN_FOUND_NOT_CLOSED,
    HN_FOUND_LENGTH_DIFFERS,
    HN_FOUND_NO_DISTANCE,
    HN_FOUND_GRADE_DIFFERS,
    HN_FOUND_UNMATCHED,
    HN_FOUND_ON_PIECE,
    HN_FOUND_COUNT
} hn_observe_finding;

extern const char *const hn_observe_finding_names[HN_FOUND_COUNT];

typedef struct hn_observe_stats {
    size_t observations, visits;
    size_t by[HN_MATCH_COUNT]; /* observations by how their visit matched */
    size_t visits_unmatched;
    size_t graded, cannot_tell;     /* observations, by the plan's scheme */
    size_t found[HN_FOUND_COUNT];   /* observations, or visits, of each finding */
    size_t filled, replaced, added; /* grades given to inspections; inspections made */
    size_t agree, differ;           /* recorded grades that are the same, that are not */
    size_t direction_assumed;       /* visits taken as with the flow */
} hn_observe_stats;

/* Fills o->row, order, flags, grades; adds to `inspections` what it has no record of.
 * Errors: HN_ERR_PLAN (a rule), HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_observe(const hn_table *table, const hn_plan *plan,
                                   const hn_plane *plane, int threads, hn_inspections *inspections,
                                   hn_observations *o, hn_observe_stats *out, hn_issue_list *issues,
                                   hn_error *err);

/* Compiles the grading rules of the plan against no observation. Errors: HN_ERR_PLAN. */
HN_MUST_CHECK hn_status hn_observe_check_rules(const hn_table *table, const hn_plan *plan,
                                               hn_error *err);

/* Grades that look wrong as a whole, over every inspection of the table: all of one
 * grade, never changing, following age alone, or falling with age. Each finding is one
 * issue; recorded and observed grades alike (grade_checks.c). */
HN_MUST_CHECK hn_status hn_grade_checks(const hn_table *table, const hn_inspections *inspections,
                                        const int32_t *row, hn_issue_list *issues, hn_error *err);

/* The same of what every scheme makes of the visits: does its direction agree with age? */
void hn_scheme_checks(const hn_table *table, const hn_plan *plan, const hn_observations *o,
                      hn_issue_list *issues);

#endif
