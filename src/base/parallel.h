/* base/parallel.h - run a function over ranges of rows on several threads.
 *
 * Ranges are fixed blocks handed out in order; a worker must write only to its
 * own rows, so results do not depend on the number of threads. Sums are taken
 * per block and added in block order by the caller.
 */
#ifndef HN_BASE_PARALLEL_H
#define HN_BASE_PARALLEL_H

#include <stddef.h>

enum { HN_BLOCK_ROWS = 4096 };

typedef void (*hn_range_fn)(void *context, size_t begin, size_t end, int worker);

/* Calls fn for consecutive blocks that cover [0, count). `worker` is in
 * [0, threads). With one thread, or when a thread cannot be started, the
 * work is done by the caller. */
void hn_parallel(int threads, size_t count, hn_range_fn fn, void *context);
void hn_parallel_blocks(int threads, size_t count, size_t block_rows, hn_range_fn fn,
                        void *context);

/* Cores this process may use, at least 1. */
int hn_cores(void);

#endif
