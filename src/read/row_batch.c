#include "read/row_batch.h"

#include "base/alloc.h"
#include "read/latin_text.h"

#include <math.h>
#include <string.h>

enum { SHOWN_MAX = 200 }; /* bytes of a bad value kept for the list of issues */

void hn_row_batch_init(hn_row_batch *batch, size_t roles)
{
    memset(batch, 0, sizeof *batch);
    batch->roles = roles;
}

void hn_row_batch_reset(hn_row_batch *batch)
{
    batch->row_count = batch->byte_count = batch->point_count = batch->fault_count = 0;
    batch->has_z = 0;
}

void hn_row_batch_clear(hn_row_batch *batch)
{
    hn_free(batch->rows);
    hn_free(batch->numbers);
    hn_free(batch->texts);
    hn_free(batch->bytes);
    hn_free(batch->xyz);
    hn_free(batch->breaks);
    hn_free(batch->faults);
    memset(batch, 0, sizeof *batch);
}

/* Room for `wanted` items; doubles so that a row costs no allocation. */
static int reserve(hn_row_batch *batch, void **items, size_t *capacity, size_t wanted, size_t size)
{
    size_t grown = *capacity ? *capacity : 1024;
    void *block;

    if (wanted <= *capacity)
        return 1;
    while (grown < wanted)
        grown *= 2;
    block = hn_realloc(*items, grown, size);
    if (!block) {
        batch->out_of_memory = 1;
        return 0;
    }
    *items = block;
    *capacity = grown;
    return 1;
}

static int reserve_cells(hn_row_batch *batch, size_t wanted)
{
    void *numbers = batch->numbers, *texts = batch->texts;
    size_t capacity = batch->cell_capacity;
    int done = reserve(batch, &numbers, &capacity, wanted, sizeof *batch->numbers);

    batch->numbers = numbers;
    capacity = batch->cell_capacity;
    done = done && reserve(batch, &texts, &capacity, wanted, sizeof *batch->texts);
    batch->texts = texts;
    if (done)
        batch->cell_capacity = capacity;
    return done;
}

hn_batch_row *hn_row_batch_add(hn_row_batch *batch, int64_t fid)
{
    void *rows = batch->rows;
    hn_batch_row *row;

    if (!reserve_cells(batch, (batch->row_count + 1) * batch->roles) ||
        !reserve(batch, &rows, &batch->row_capacity, batch->row_count + 1, sizeof *batch->rows))
        return NULL;
    batch->rows = rows;
    row = &batch->rows[batch->row_count++];
    *row = (hn_batch_row){.fid = fid, .point_end = batch->point_count};
    return row;
}

void hn_row_batch_point(hn_row_batch *batch, double x, double y, double z, int begins_part)
{
    void *xyz = batch->xyz, *breaks = batch->breaks;
    size_t n = batch->point_count;
    int done = reserve(batch, &xyz, &batch->xyz_capacity, n + 1, 3 * sizeof *batch->xyz);

    batch->xyz = xyz;
    done = done && reserve(batch, &breaks, &batch->break_capacity, n + 1, sizeof *batch->breaks);
    batch->breaks = breaks;
    if (!done)
        return;
    batch->xyz[3 * n] = x;
    batch->xyz[3 * n + 1] = y;
    batch->xyz[3 * n + 2] = z;
    batch->breaks[n] = (uint8_t)begins_part;
    batch->point_count++;
}

static hn_batch_text keep_text(hn_row_batch *batch, hn_span text)
{
    void *bytes = batch->bytes;
    hn_batch_text kept = {(uint32_t)batch->byte_count, (uint32_t)text.length};

    if (text.length == 0)
        return (hn_batch_text){0, 0};
    if (batch->byte_count + text.length + 1 > UINT32_MAX) {
        batch->out_of_memory = 1;
        return (hn_batch_text){0, 0};
    }
    if (!reserve(batch, &bytes, &batch->byte_capacity, batch->byte_count + text.length + 1, 1))
        return (hn_batch_text){0, 0};
    batch->bytes = bytes;
    memcpy(batch->bytes + batch->byte_count, text.text, text.length);
    batch->bytes[batch->byte_count + text.length] = '\0';
    batch->byte_count += text.length + 1;
    return kept;
}

static void keep_fault(hn_row_batch *batch, size_t role, hn_fault fault, const hn_raw *raw)
{
    char room[HN_CELL_TEXT_MAX], utf8[SHOWN_MAX * 3 + 4];
    hn_span shown = hn_raw_span(raw, room);
    void *faults = batch->faults;

    if (!hn_is_utf8(shown))
        shown = hn_utf8_of_latin(shown, utf8, sizeof utf8);
    if (shown.length > SHOWN_MAX)
        shown.length = SHOWN_MAX;
    while (shown.length > 0 && !hn_is_utf8(shown)) /* no half character at the cut */
        shown.length--;
    if (!reserve(batch, &faults, &batch->fault_capacity, batch->fault_count + 1,
                 sizeof *batch->faults))
        return;
    batch->faults = faults;
    batch->faults[batch->fault_count++] = (hn_batch_fault){
        (uint32_t)(batch->row_count - 1), (uint16_t)role, (uint16_t)fault, keep_text(batch, shown)};
}

void hn_row_batch_cell(hn_row_batch *batch, size_t role, hn_field_reader *reader,
                       const hn_role *how, const hn_raw *raw)
{
    size_t cell = (batch->row_count - 1) * batch->roles + role;
    hn_value value;

    hn_field_read(reader, raw, &value);
    if (value.fault != HN_FAULT_NONE)
        keep_fault(batch, role, value.fault, raw);
    batch->numbers[cell] = value.number;
    batch->texts[cell] = (hn_batch_text){0, 0};
    if (how->spec->kind == HN_VALUE_TEXT && !value.missing)
        batch->texts[cell] = keep_text(batch, value.text);
}
