/* table/observation_sql.h - SQL conditions on one observation, for grading rules.
 *
 * The columns are those of the observation and, behind them, those of its segment; a
 * missing value is NULL. SQLite parses and evaluates, rule by rule, only the
 * observations that it is asked for.
 */
#ifndef HN_TABLE_OBSERVATION_SQL_H
#define HN_TABLE_OBSERVATION_SQL_H

#include "table/condition_sql.h"
#include "table/observations.h"

typedef struct hn_observation_rules hn_observation_rules;

/* expressions[i] NULL: always true. where[i] names rule i for messages. A condition on
 * near_<name>_m is refused: distances come later than grades. Errors: HN_ERR_PLAN with
 * SQLite's message and the nearest column. */
HN_MUST_CHECK hn_status hn_observation_rules_compile(const hn_table *table,
                                                     const hn_observations *observations,
                                                     const char *const *expressions,
                                                     const char *const *where, size_t count,
                                                     hn_observation_rules **out, hn_error *err);
void hn_observation_rules_free(hn_observation_rules *rules);

/* truth[k] of rule `rule` for observation list[k]: HN_FALSE, HN_TRUE, HN_UNKNOWN. Safe in
 * several threads at once, each with its own rules. */
HN_MUST_CHECK hn_status hn_observation_truth(hn_observation_rules *rules, size_t rule,
                                             const uint32_t *list, size_t count, uint8_t *truth,
                                             hn_error *err);

#endif
