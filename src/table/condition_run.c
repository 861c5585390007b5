#include "table/condition_run.h"

#include "base/alloc.h"
#include "base/parallel.h"

#include <string.h>

enum { BLOCK_ROWS = 1024, THREADS_MAX = 64 };

typedef struct rule_worker {
    hn_condition_set *set;
    uint8_t *truth;
    double *numbers;
    hn_status rc;
    hn_error err;
} rule_worker;

typedef struct rule_job {
    rule_worker workers[THREADS_MAX];
    hn_truth_fn truth_fn;
    hn_number_fn number_fn;
    void *context;
} rule_job;

static void run_block(void *context, size_t begin, size_t end, int number)
{
    rule_job *job = context;
    rule_worker *me = &job->workers[number];

    if (me->rc != HN_OK)
        return;
    if (job->truth_fn) {
        me->rc = hn_condition_truth(me->set, begin, end, me->truth, BLOCK_ROWS, &me->err);
        if (me->rc == HN_OK)
            job->truth_fn(job->context, begin, end, me->truth, BLOCK_ROWS);
    } else {
        me->rc = hn_condition_number(me->set, begin, end, me->numbers, BLOCK_ROWS, &me->err);
        if (me->rc == HN_OK)
            job->number_fn(job->context, begin, end, me->numbers, BLOCK_ROWS);
    }
}

static hn_status run(const hn_table *table, const char *const *expressions,
                     const char *const *where, size_t count, int threads, rule_job *job,
                     hn_error *err)
{
    hn_status rc = HN_OK;

    threads = threads < 1 ? 1 : threads > THREADS_MAX ? THREADS_MAX : threads;
    for (int i = 0; i < threads; i++) {
        rule_worker *w = &job->workers[i];

        HN_TRY(hn_condition_compile(table, expressions, where, count, &w->set, err));
        if (job->truth_fn)
            w->truth = hn_alloc(count * BLOCK_ROWS, 1);
        else
            w->numbers = hn_alloc(count * BLOCK_ROWS, sizeof(double));
        if (!w->truth && !w->numbers)
            HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    }
    hn_parallel_blocks(threads, table->rows, BLOCK_ROWS, run_block, job);
    for (int i = 0; i < threads && rc == HN_OK; i++) {
        rc = job->workers[i].rc;
        if (rc != HN_OK && err)
            *err = job->workers[i].err;
    }
out:
    for (int i = 0; i < threads; i++) {
        hn_condition_free(job->workers[i].set);
        hn_free(job->workers[i].truth);
        hn_free(job->workers[i].numbers);
    }
    hn_free(job);
    return rc;
}

hn_status hn_condition_run_truth(const hn_table *table, const char *const *expressions,
                                 const char *const *where, size_t count, int threads,
                                 hn_truth_fn fn, void *context, hn_error *err)
{
    rule_job *job;

    if (count == 0)
        return HN_OK;
    job = hn_alloc(1, sizeof *job);
    if (!job)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    job->truth_fn = fn;
    job->context = context;
    return run(table, expressions, where, count, threads, job, err);
}

hn_status hn_condition_run_number(const hn_table *table, const char *const *expressions,
                                  const char *const *where, size_t count, int threads,
                                  hn_number_fn fn, void *context, hn_error *err)
{
    rule_job *job;

    if (count == 0)
        return HN_OK;
    job = hn_alloc(1, sizeof *job);
    if (!job)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    job->number_fn = fn;
    job->context = context;
    return run(table, expressions, where, count, threads, job, err);
}
