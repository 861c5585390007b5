/* table/condition_fast.h - the column loop for simple SQL expressions.
 *
 * Accepts arithmetic, comparisons, IN, BETWEEN, IS NULL, AND, OR, NOT,
 * coalesce, min, max and CASE WHEN over numeric columns and over texts, with
 * SQLite's three-valued logic. Whatever it does not know for certain to mean
 * the same in SQLite it declines, and condition_sql.c asks SQLite.
 */
#ifndef HN_TABLE_CONDITION_FAST_H
#define HN_TABLE_CONDITION_FAST_H

#include "base/arena.h"
#include "table/segment_table.h"

enum { HN_FAST_BLOCK = 512 };

typedef struct hn_fast hn_fast; /* lies in the arena it was made in */

/* NULL when the expression is not a simple one (or memory ran out). */
hn_fast *hn_fast_compile(const hn_table *table, const char *expression, hn_arena *arena);
/* rows <= HN_FAST_BLOCK. Thread-safe for different callers. */
void hn_fast_truth(const hn_fast *fast, const hn_table *table, size_t begin, size_t rows,
                   uint8_t *out);
void hn_fast_number(const hn_fast *fast, const hn_table *table, size_t begin, size_t rows,
                    double *out);

#endif
