/* write/write_pace.h - how far the writing is, and the way to stop it. Shared
 * by all threads of one result. */
#ifndef HN_WRITE_WRITE_PACE_H
#define HN_WRITE_WRITE_PACE_H

#include "base/status.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stddef.h>

enum { HN_PACE_ROWS = 1024 }; /* rows between two steps */
#define HN_PACE_STOPPED "writing was stopped"

typedef struct hn_pace {
    atomic_size_t done; /* rows written, over all files */
    size_t total;
    atomic_int stop;
    pthread_t owner; /* progress is told to this thread alone */
    void (*progress)(void *context, double share_0_1);
    void *context;
} hn_pace;

void hn_pace_init(hn_pace *pace, size_t total, void (*progress)(void *, double), void *context);
/* Adds rows that are done. HN_ERR_OUTPUT when the writing has to stop. */
HN_MUST_CHECK hn_status hn_pace_step(hn_pace *pace, size_t rows, hn_error *err);
void hn_pace_stop(hn_pace *pace);

/* For loops: 1 after every HN_PACE_ROWS rows. */
static inline int hn_pace_is_due(size_t row)
{
    return (row + 1) % HN_PACE_ROWS == 0;
}

#endif
