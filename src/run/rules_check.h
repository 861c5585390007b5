/* run/rules_check.h - can every condition of the config tables be used?
 *
 * The stages compile their own conditions when they come to them. This is asked
 * before the first row is read, so that a slip of the pen in a table is told at
 * once, by haunch check as by haunch run.
 */
#ifndef HN_RUN_RULES_CHECK_H
#define HN_RUN_RULES_CHECK_H

#include "plan/plan.h"

/* Compiles method rules, cost items, deterioration, consequence (conditions and
 * sums), act-now and quality rules against an empty table that has the columns
 * of the plan. Errors: HN_ERR_PLAN with the table, the row's id, what is wrong
 * and the nearest column; HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_rules_check(const hn_plan *plan, hn_error *err);

#endif
