#include "write/write_pace.h"

void hn_pace_init(hn_pace *pace, size_t total, void (*progress)(void *, double), void *context)
{
    atomic_init(&pace->done, 0);
    atomic_init(&pace->stop, 0);
    pace->total = total ? total : 1;
    pace->owner = pthread_self();
    pace->progress = progress;
    pace->context = context;
}

hn_status hn_pace_step(hn_pace *pace, size_t rows, hn_error *err)
{
    size_t done = atomic_fetch_add(&pace->done, rows) + rows;

    if (pace->progress && pthread_equal(pace->owner, pthread_self()))
        pace->progress(pace->context,
                       done < pace->total ? (double)done / (double)pace->total : 1.0);
    if (!atomic_load(&pace->stop))
        return HN_OK;
    return hn_fail(err, HN_ERR_OUTPUT, HN_PACE_STOPPED);
}

void hn_pace_stop(hn_pace *pace)
{
    atomic_store(&pace->stop, 1);
}
