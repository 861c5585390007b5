/* condition/history.h - every inspection of every segment since it was built or
 * last lined, not only the one that rules. What rates of ageing are fitted to. */
#ifndef HN_CONDITION_HISTORY_H
#define HN_CONDITION_HISTORY_H

#include "plan/plan.h"
#include "table/inspections.h"
#include "table/plane.h"

typedef struct hn_inspected {
    int32_t row, date;
    uint8_t complete;
    /* Per driver a set of grades, bit g - 1 for grade g; 0: none was given. A grade
     * between two whole ones is one of the two; a partial inspection says "at
     * least", since the rest may be worse. */
    uint8_t grades[HN_DRIVERS];
} hn_inspected;

typedef struct hn_history {
    hn_inspected *visit; /* by row, then date */
    size_t count;
    double *new_in_year; /* per row: year of the last lining, else built; NaN: unknown.
                          * As recorded: before defaults fill gaps */
    size_t rows;
    size_t before_lining, undated, in_future; /* inspections left out */
} hn_history;

HN_MUST_CHECK hn_status hn_condition_history(const hn_table *table,
                                             const hn_inspections *inspections, const hn_plan *plan,
                                             const hn_plane *plane, hn_history *out, hn_error *err);
void hn_history_clear(hn_history *history);

#endif
