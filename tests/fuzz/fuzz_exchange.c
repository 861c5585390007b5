/* fuzz/fuzz_exchange.c - any bytes as a file of the text exchange form: never a crash, a
 * leak or an error without a message; every text is there, numbers are finite or missing,
 * and no observation comes before an inspection. */
#define REPLAY_MUTANTS 5000

#include "base/alloc.h"
#include "read/exchange_text.h"
#include "replay.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

static void must_hold(int holds, const char *what)
{
    if (holds)
        return;
    fprintf(stderr, "does not hold: %s\n", what);
    abort();
}

#define must(law) must_hold(law, #law)

typedef struct taken {
    size_t inspections, observations, faults, last_line, bytes;
} taken;

static void add_text(taken *t, const char *text)
{
    must(text != NULL);
    t->bytes += strlen(text);
}

static hn_status take_inspection(void *context, const hn_exchange_header *h, hn_error *err)
{
    taken *t = context;

    (void)err;
    add_text(t, h->pipe);
    add_text(t, h->start_node);
    add_text(t, h->up_node);
    add_text(t, h->down_node);
    add_text(t, h->direction);
    must(h->line > 0);
    t->inspections++;
    return HN_OK;
}

static hn_status take_observation(void *context, const hn_exchange_row *r, hn_error *err)
{
    taken *t = context;

    (void)err;
    must(t->inspections > 0);
    add_text(t, r->code);
    add_text(t, r->ch1);
    add_text(t, r->ch2);
    add_text(t, r->remark);
    add_text(t, r->mark);
    must(!isinf(r->q1) && !isinf(r->q2) && !isinf(r->distance_m));
    must(!isinf(r->clock_from) && !isinf(r->clock_to));
    must(r->line > t->last_line);
    t->last_line = r->line;
    t->observations++;
    return HN_OK;
}

static void take_fault(void *context, size_t line, const char *field, const char *value)
{
    taken *t = context;

    must(line > 0);
    add_text(t, field);
    add_text(t, value);
    t->faults++;
}

/* A file in memory: the reader opens a path. */
static int file_of(const uint8_t *data, size_t size, char *path, size_t room)
{
    const int file = memfd_create("exchange", 0);

    must(file >= 0);
    for (size_t at = 0; at < size;) {
        const ssize_t n = write(file, data + at, size - at);

        must(n > 0);
        at += (size_t)n;
    }
    snprintf(path, room, "/proc/self/fd/%d", file);
    return file;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    taken t = {0};
    const hn_exchange_takers takers = {take_inspection, take_observation, take_fault, &t};
    hn_error err = {HN_OK, "", ""};
    const size_t before = hn_alloc_live();
    char path[64];
    const int file = file_of(data, size, path, sizeof path);
    const hn_status rc = hn_exchange_text_read(path, &takers, &err);

    close(file);
    if (rc != HN_OK) {
        must(err.status == rc);
        must(err.message[0] != '\0');
    }
    must(hn_alloc_live() == before);
    return 0;
}
