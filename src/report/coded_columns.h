/* report/coded_columns.h - texts of coded columns, those of the plan's own
 * catalogue (methods, act-now rules) included. */
#ifndef HN_REPORT_CODED_COLUMNS_H
#define HN_REPORT_CODED_COLUMNS_H

#include "base/arena.h"
#include "plan/plan.h"
#include "table/view.h"

/* Text of a code, "" when missing. Borrowed from the plan or static. */
const char *hn_coded_text(const hn_plan *plan, hn_column_id id, uint8_t code);
/* Gives the column its closed list of values where it has one. 0: no memory. */
int hn_coded_values(const hn_plan *plan, hn_column_id id, hn_arena *arena, hn_view_column *column);

#endif
