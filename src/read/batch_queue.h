/* read/batch_queue.h - batches filled by many threads, taken in order by one
 * at a time.
 *
 * Whoever finishes a batch takes all that are next in line, unless another
 * thread is at it. So reading and interning overlap and nobody waits idle,
 * yet the rows arrive in source order.
 */
#ifndef HN_READ_BATCH_QUEUE_H
#define HN_READ_BATCH_QUEUE_H

#include "read/row_batch.h"

/* Fills batch `index` in thread `worker`; 0 when reading failed. */
typedef int (*hn_batch_fill_fn)(void *context, size_t index, int worker, hn_row_batch *batch);
/* Takes a filled batch; called one at a time, in order. */
typedef hn_status (*hn_batch_take_fn)(void *context, const hn_row_batch *batch, hn_error *err);

/* Runs `count` batches of `roles` cells a row. Stops at the first failure:
 * what take returned, HN_ERR_INPUT (err untouched) when fill returned 0,
 * HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_batch_queue_run(int threads, size_t count, size_t roles,
                                           hn_batch_fill_fn fill, hn_batch_take_fn take,
                                           void *context, hn_error *err);

#endif
