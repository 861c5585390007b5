#include "read/gpkg_batches.h"

#include "base/alloc.h"
#include "base/arena.h"
#include "read/gpkg_ranges.h"
#include "read/gpkg_select.h"

enum { MAX_WORKERS = 64 };

/* One thread's connection and readers. */
typedef struct gpkg_worker {
    hn_gpkg_select select;
    hn_reader_set readers;
    int has_failed;
} gpkg_worker;

typedef struct gpkg_job {
    const hn_role_map *map;
    const hn_line_rules *rules;
    hn_gpkg_ranges ranges;
    gpkg_worker workers[MAX_WORKERS];
    int worker_count;
    hn_batch_take_fn take;
    void *take_context;
} gpkg_job;

static void close_job(gpkg_job *job)
{
    for (int i = 0; i < job->worker_count; i++) {
        hn_gpkg_select_close(&job->workers[i].select);
        hn_reader_set_clear(&job->workers[i].readers);
    }
}

/* *fits becomes 0 when this way of reading does not take the table. */
static hn_status open_workers(gpkg_job *job, const hn_gpkg_table *table, int threads, int *fits,
                              hn_error *err)
{
    hn_status rc = HN_OK;

    while (job->worker_count < threads && job->worker_count < MAX_WORKERS) {
        gpkg_worker *worker = &job->workers[job->worker_count++];

        *fits = hn_gpkg_select_open(&worker->select, table);
        if (!*fits)
            return HN_OK;
        HN_TRY(hn_reader_set_init(&worker->readers, job->map, err));
    }
out:
    return rc;
}

/* The error handler of GDAL is per thread: odd geometries go through GDAL. */
static int fill(void *context, size_t index, int worker, hn_row_batch *batch)
{
    gpkg_job *job = context;
    gpkg_worker *me = &job->workers[worker];
    hn_gdal_log log;
    int64_t first, last;

    hn_gpkg_range(&job->ranges, index, &first, &last);
    hn_gdal_log_begin(&log);
    me->has_failed =
        !hn_gpkg_select_rows(&me->select, job->map, &me->readers, job->rules, first, last, batch);
    hn_gdal_log_end();
    return !me->has_failed;
}

static hn_status take(void *context, const hn_row_batch *batch, hn_error *err)
{
    const gpkg_job *job = context;

    return job->take(job->take_context, batch, err);
}

static hn_status read_all(gpkg_job *job, const hn_opened *opened, hn_error *err)
{
    hn_status rc = hn_batch_queue_run(job->worker_count, job->ranges.count, job->map->count, fill,
                                      take, job, err);

    for (int i = 0; i < job->worker_count && rc == HN_ERR_INPUT; i++)
        if (job->workers[i].has_failed)
            return hn_fail(err, HN_ERR_INPUT, "%s: reading \"%s\" failed: %s", opened->key,
                           opened->shown, hn_gpkg_select_error(&job->workers[i].select));
    return rc;
}

hn_status hn_gpkg_batches(const hn_source *source, const hn_opened *opened, const hn_role_map *map,
                          const hn_line_rules *rules, int threads, hn_batch_take_fn take_fn,
                          void *context, int *done, hn_error *err)
{
    gpkg_job *job = hn_alloc(1, sizeof *job);
    hn_arena arena = {0};
    hn_gpkg_table table;
    hn_status rc = HN_OK;

    *done = 0;
    HN_TRY_ALLOC(job);
    job->map = map;
    job->rules = rules;
    job->take = take_fn;
    job->take_context = context;
    HN_TRY(hn_gpkg_table_look(source, opened, map, rules != NULL, &arena, &table, done, err));
    if (*done)
        HN_TRY(open_workers(job, &table, threads < 1 ? 1 : threads, done, err));
    if (*done)
        *done = hn_gpkg_ranges_look(&job->workers[0].select, &table, &job->ranges);
    if (*done)
        HN_TRY(read_all(job, opened, err));
out:
    if (job)
        close_job(job);
    hn_free(job);
    hn_arena_clear(&arena);
    return rc;
}
