/* table/condition_run.h - a set of rules over the whole table on all threads.
 * Each worker compiles its own set; blocks are fixed, so what a callback sees
 * does not depend on the number of threads. */
#ifndef HN_TABLE_CONDITION_RUN_H
#define HN_TABLE_CONDITION_RUN_H

#include "table/condition_sql.h"

/* truth[i * stride + (row - begin)] for rule i. Called from several threads,
 * for rows that no other call gets. */
typedef void (*hn_truth_fn)(void *context, size_t begin, size_t end, const uint8_t *truth,
                            size_t stride);
typedef void (*hn_number_fn)(void *context, size_t begin, size_t end, const double *values,
                             size_t stride);

HN_MUST_CHECK hn_status hn_condition_run_truth(const hn_table *table,
                                               const char *const *expressions,
                                               const char *const *where, size_t count, int threads,
                                               hn_truth_fn fn, void *context, hn_error *err);
HN_MUST_CHECK hn_status hn_condition_run_number(const hn_table *table,
                                                const char *const *expressions,
                                                const char *const *where, size_t count,
                                                int threads, hn_number_fn fn, void *context,
                                                hn_error *err);

#endif
