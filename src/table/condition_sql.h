/* table/condition_sql.h - SQL expressions on segment columns, for rules.
 *
 * The names of table/column_list.h and the extra columns (near_*_m) are the
 * columns; a missing value is NULL, a code reads as its text, a date as ISO
 * text. SQLite parses and evaluates; there is no formula language of our own.
 * Simple comparisons run in a column loop with the same three-valued logic
 * (condition_fast.c); a test proves that both ways agree.
 */
#ifndef HN_TABLE_CONDITION_SQL_H
#define HN_TABLE_CONDITION_SQL_H

#include "base/status.h"
#include "table/segment_table.h"

enum { HN_FALSE = 0, HN_TRUE = 1, HN_UNKNOWN = 2 };

typedef struct hn_condition_set hn_condition_set;

/* Compiles `count` expressions against the table's columns. `where[i]` names
 * rule i for messages ("config/method_rules.csv, rule cipp_width"). Errors:
 * HN_ERR_PLAN with SQLite's message and the nearest column name. */
HN_MUST_CHECK hn_status hn_condition_compile(const hn_table *table, const char *const *expressions,
                                             const char *const *where, size_t count,
                                             hn_condition_set **out, hn_error *err);
/* Tells `seen` of each column that expression i reads, by SQLite's own word; a column may
 * be told twice. Looks for no texts, so it may be called after the pool is sealed. */
typedef void (*hn_column_seen_fn)(void *context, size_t i, const char *column);
HN_MUST_CHECK hn_status hn_condition_columns(const hn_table *table, const char *const *expressions,
                                             size_t count, hn_column_seen_fn seen, void *context,
                                             hn_error *err);
void hn_condition_free(hn_condition_set *set);

/* out[i * stride + (row - begin)] = HN_FALSE, HN_TRUE or HN_UNKNOWN. Safe in
 * several threads at once, each with its own set. */
HN_MUST_CHECK hn_status hn_condition_truth(hn_condition_set *set, size_t begin, size_t end,
                                           uint8_t *out, size_t stride, hn_error *err);
/* The same for numbers; NaN for NULL. */
HN_MUST_CHECK hn_status hn_condition_number(hn_condition_set *set, size_t begin, size_t end,
                                            double *out, size_t stride, hn_error *err);
/* How many of the expressions run in the column loop, for diagnostics. */
size_t hn_condition_fast_count(const hn_condition_set *set);

/* Version of the SQLite library that evaluates. */
const char *hn_sqlite_version(void);

#endif
