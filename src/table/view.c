#include "table/view.h"

#include "base/alloc.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { SCRATCH_BYTES = 1 << 16, FIRST_PARTS = 64 };

hn_status hn_scratch_init(hn_scratch *scratch, hn_error *err)
{
    memset(scratch, 0, sizeof *scratch);
    scratch->text_size = SCRATCH_BYTES;
    scratch->text = hn_alloc(scratch->text_size, 1);
    if (!scratch->text || !hn_scratch_parts(scratch, FIRST_PARTS)) {
        hn_scratch_clear(scratch);
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    }
    return HN_OK;
}

void hn_scratch_clear(hn_scratch *scratch)
{
    hn_free(scratch->text);
    hn_free((void *)scratch->xy);
    hn_free((void *)scratch->z);
    hn_free(scratch->points);
    memset(scratch, 0, sizeof *scratch);
}

int hn_scratch_parts(hn_scratch *scratch, size_t parts)
{
    void *xy, *z, *points;

    if (parts <= scratch->part_capacity)
        return 1;
    parts += parts / 2;
    xy = hn_realloc((void *)scratch->xy, parts, sizeof *scratch->xy);
    if (xy)
        scratch->xy = xy;
    z = hn_realloc((void *)scratch->z, parts, sizeof *scratch->z);
    if (z)
        scratch->z = z;
    points = hn_realloc(scratch->points, parts, sizeof *scratch->points);
    if (points)
        scratch->points = points;
    if (!xy || !z || !points)
        return 0;
    scratch->part_capacity = parts;
    return 1;
}

const char *hn_scratch_printf(hn_scratch *scratch, const char *format, ...)
{
    char *place = scratch->text + scratch->text_used;
    size_t room = scratch->text_size - scratch->text_used;
    va_list args;
    int length;

    if (room < 2)
        return "";
    va_start(args, format);
    length = vsnprintf(place, room, format, args);
    va_end(args);
    if (length < 0)
        return "";
    scratch->text_used += (size_t)length + 1 < room ? (size_t)length + 1 : room;
    return place;
}
