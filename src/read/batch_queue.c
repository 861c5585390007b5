#include "read/batch_queue.h"

#include "base/alloc.h"
#include "base/parallel.h"

#include <pthread.h>

enum { SLOTS_PER_THREAD = 4 };

typedef struct batch_queue {
    pthread_mutex_t lock;
    pthread_cond_t moved; /* a slot became free */
    hn_row_batch *batches;
    unsigned char *is_ready; /* by slot */
    size_t slots, count, taken;
    int is_taking;
    hn_status rc;
    hn_batch_fill_fn fill;
    hn_batch_take_fn take;
    void *context;
    hn_error *err;
} batch_queue;

/* Waits until the batch's slot is free. The batch next in line never waits, so
 * somebody always moves. Returns 0 when the run has failed meanwhile. */
static int claim_slot(batch_queue *q, size_t index)
{
    int go_on;

    pthread_mutex_lock(&q->lock);
    while (index - q->taken >= q->slots)
        pthread_cond_wait(&q->moved, &q->lock);
    go_on = q->rc == HN_OK;
    pthread_mutex_unlock(&q->lock);
    return go_on;
}

/* Called and left with the lock held; let go while the rows are taken. */
static void take_one(batch_queue *q)
{
    size_t slot = q->taken % q->slots;
    hn_status rc = q->rc;

    pthread_mutex_unlock(&q->lock);
    if (rc == HN_OK)
        rc = q->take(q->context, &q->batches[slot], q->err);
    pthread_mutex_lock(&q->lock);
    if (q->rc == HN_OK)
        q->rc = rc;
    q->is_ready[slot] = 0;
    q->taken++;
    pthread_cond_broadcast(&q->moved);
}

static void hand_in(batch_queue *q, size_t index, int filled)
{
    pthread_mutex_lock(&q->lock);
    if (!filled && q->rc == HN_OK)
        q->rc = HN_ERR_INPUT;
    q->is_ready[index % q->slots] = 1;
    if (!q->is_taking) {
        q->is_taking = 1;
        while (q->taken < q->count && q->is_ready[q->taken % q->slots])
            take_one(q);
        q->is_taking = 0;
    }
    pthread_mutex_unlock(&q->lock);
}

static void run_batches(void *context, size_t begin, size_t end, int worker)
{
    batch_queue *q = context;

    for (size_t i = begin; i < end; i++) {
        int filled = 1;

        if (claim_slot(q, i))
            filled = q->fill(q->context, i, worker, &q->batches[i % q->slots]);
        hand_in(q, i, filled);
    }
}

static hn_status make_slots(batch_queue *q, size_t roles, hn_error *err)
{
    hn_status rc = HN_OK;

    q->batches = hn_alloc(q->slots, sizeof *q->batches);
    HN_TRY_ALLOC(q->batches);
    q->is_ready = hn_alloc(q->slots, 1);
    HN_TRY_ALLOC(q->is_ready);
    for (size_t i = 0; i < q->slots; i++)
        hn_row_batch_init(&q->batches[i], roles);
out:
    return rc;
}

hn_status hn_batch_queue_run(int threads, size_t count, size_t roles, hn_batch_fill_fn fill,
                             hn_batch_take_fn take, void *context, hn_error *err)
{
    batch_queue q = {.lock = PTHREAD_MUTEX_INITIALIZER,
                     .moved = PTHREAD_COND_INITIALIZER,
                     .slots = (size_t)threads * SLOTS_PER_THREAD,
                     .count = count,
                     .fill = fill,
                     .take = take,
                     .context = context,
                     .err = err};
    hn_status rc = make_slots(&q, roles, err);

    if (rc == HN_OK) {
        hn_parallel_blocks(threads, count, 1, run_batches, &q);
        rc = q.rc;
    }
    for (size_t i = 0; q.batches && i < q.slots; i++)
        hn_row_batch_clear(&q.batches[i]);
    hn_free(q.batches);
    hn_free(q.is_ready);
    return rc;
}
