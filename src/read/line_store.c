#include "read/line_store.h"

#include "base/alloc.h"

#include <string.h>

static int grow_block(void **block, size_t count, size_t size)
{
    void *grown = hn_realloc(*block, count, size);

    if (grown)
        *block = grown;
    return grown != NULL;
}

/* Room for `points` more; z and part marks only once something has them. */
static hn_status reserve_points(hn_lines *lines, size_t points, hn_error *err)
{
    size_t wanted = lines->points + points, capacity = lines->capacity ? lines->capacity : 4096;
    void *xy = lines->xy, *z = lines->z, *breaks = lines->break_before;
    int done;

    if (wanted <= lines->capacity)
        return HN_OK;
    while (capacity < wanted)
        capacity += capacity / 2;
    done = grow_block(&xy, capacity, 2 * sizeof *lines->xy);
    lines->xy = xy;
    done = done && (!z || grow_block(&z, capacity, sizeof *lines->z));
    lines->z = z;
    done = done && (!breaks || grow_block(&breaks, capacity, 1));
    lines->break_before = breaks;
    if (!done)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for %zu points", capacity);
    lines->capacity = capacity;
    return HN_OK;
}

static hn_status add_z(hn_lines *lines, hn_error *err)
{
    hn_status rc = HN_OK;

    if (lines->z)
        return HN_OK;
    lines->z = hn_alloc(lines->capacity, sizeof *lines->z);
    HN_TRY_ALLOC(lines->z);
    for (size_t i = 0; i < lines->points; i++)
        lines->z[i] = NAN;
out:
    return rc;
}

static hn_status add_breaks(hn_lines *lines, hn_error *err)
{
    hn_status rc = HN_OK;

    if (!lines->break_before)
        lines->break_before = hn_alloc(lines->capacity, 1);
    HN_TRY_ALLOC(lines->break_before);
out:
    return rc;
}

hn_status hn_lines_append(hn_lines *lines, size_t row, const hn_row_batch *batch, size_t begin,
                          size_t end, hn_error *err)
{
    hn_status rc = HN_OK;
    int has_parts = end > begin + 1 && memchr(batch->breaks + begin + 1, 1, end - begin - 1);

    HN_TRY(reserve_points(lines, end - begin, err));
    if (batch->has_z && end > begin)
        HN_TRY(add_z(lines, err));
    if (has_parts)
        HN_TRY(add_breaks(lines, err));
    for (size_t i = begin; i < end; i++, lines->points++) {
        lines->xy[2 * lines->points] = batch->xyz[3 * i];
        lines->xy[2 * lines->points + 1] = batch->xyz[3 * i + 1];
        if (lines->z)
            lines->z[lines->points] = batch->xyz[3 * i + 2];
        if (lines->break_before)
            lines->break_before[lines->points] = i > begin && batch->breaks[i];
    }
    lines->start[row + 1] = lines->points;
out:
    return rc;
}

static void move_point(hn_lines *lines, size_t to, size_t from)
{
    memmove(lines->xy + 2 * to, lines->xy + 2 * from, 2 * sizeof *lines->xy);
    if (lines->z)
        lines->z[to] = lines->z[from];
    if (lines->break_before)
        lines->break_before[to] = lines->break_before[from];
}

void hn_lines_drop(hn_lines *lines, size_t rows, const uint8_t *marked)
{
    size_t kept = 0, begin = 0;

    for (size_t row = 0; row < rows; row++) {
        size_t end = lines->start[row + 1];

        for (size_t i = begin; i < end && !marked[row]; i++)
            move_point(lines, kept++, i);
        lines->start[row + 1] = kept;
        begin = end;
    }
    lines->points = kept;
}
