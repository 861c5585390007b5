#include "base/parallel.h"

#include <pthread.h>
#include <stdatomic.h>
#include <unistd.h>

enum { MAX_THREADS = 64 };

typedef struct range_job {
    hn_range_fn fn;
    void *context;
    size_t count, block_rows;
    atomic_size_t next;
} range_job;

typedef struct worker {
    range_job *job;
    int number;
    pthread_t thread;
} worker;

static void run_blocks(range_job *job, int number)
{
    for (;;) {
        size_t begin = atomic_fetch_add(&job->next, job->block_rows);
        size_t end = begin + job->block_rows;

        if (begin >= job->count)
            return;
        job->fn(job->context, begin, end < job->count ? end : job->count, number);
    }
}

static void *thread_main(void *argument)
{
    worker *me = argument;

    run_blocks(me->job, me->number);
    return NULL;
}

void hn_parallel_blocks(int threads, size_t count, size_t block_rows, hn_range_fn fn,
                        void *context)
{
    range_job job = {fn, context, count, block_rows ? block_rows : 1, 0};
    worker workers[MAX_THREADS];
    int started = 0;

    if (threads > MAX_THREADS)
        threads = MAX_THREADS;
    for (int i = 1; i < threads && (size_t)i * job.block_rows < count; i++) {
        workers[started] = (worker){&job, i, 0};
        if (pthread_create(&workers[started].thread, NULL, thread_main, &workers[started]) != 0)
            break;
        started++;
    }
    run_blocks(&job, 0);
    for (int i = 0; i < started; i++)
        pthread_join(workers[i].thread, NULL);
}

void hn_parallel(int threads, size_t count, hn_range_fn fn, void *context)
{
    hn_parallel_blocks(threads, count, HN_BLOCK_ROWS, fn, context);
}

int hn_cores(void)
{
    long cores = sysconf(_SC_NPROCESSORS_ONLN);

    return cores < 1 ? 1 : cores > MAX_THREADS ? MAX_THREADS : (int)cores;
}
