#include "write/page_record.h"

#include "base/alloc.h"

/* A header's own size takes part in the size: three bytes are enough for
 * 2^21 bytes of types, more than any table has. */
enum { FIRST_VALUE_BYTES = 1024 };

/* Serial types. */
enum { TYPE_REAL = 7, TYPE_ZERO = 8, TYPE_ONE = 9, TYPE_BLOB = 12, TYPE_TEXT = 13 };

int hn_page_record_init(hn_page_record *record, size_t count)
{
    *record = (hn_page_record){.head_room = HN_MOST_VARINT * (count + 1), .fixed_room = 8 * count};
    record->size = record->head_room + record->fixed_room + FIRST_VALUE_BYTES;
    record->bytes = hn_alloc(record->size, 1);
    return record->bytes != NULL;
}

void hn_page_record_clear(hn_page_record *record)
{
    hn_free(record->bytes);
    *record = (hn_page_record){0};
}

/* Bytes of a whole number by its size; no 5 and no 7 in this format. */
static int int_bytes(int64_t value)
{
    const uint64_t size = (uint64_t)(value < 0 ? ~value : value);

    if (size < 1u << 7)
        return 1;
    if (size < 1u << 15)
        return 2;
    if (size < 1u << 23)
        return 3;
    if (size < 1u << 31)
        return 4;
    return size < (uint64_t)1 << 47 ? 6 : 8;
}

void hn_record_int(hn_page_record *record, int64_t value)
{
    static const unsigned char types[] = {0, 1, 2, 3, 4, 0, 5, 0, 6};
    int bytes;

    if (value == 0 || value == 1) {
        *record->types++ = (unsigned char)(TYPE_ZERO + value);
        return;
    }
    bytes = int_bytes(value);
    *record->types++ = types[bytes];
    record->values = hn_put_big_endian(record->values, (uint64_t)value, bytes);
}

void hn_record_real(hn_page_record *record, double value)
{
    const double most = 140737488355327.0; /* 2^47 - 1: six bytes */
    uint64_t bits;

    if (value >= -most && value <= most && (double)(int64_t)value == value) {
        hn_record_int(record, (int64_t)value);
        return;
    }
    memcpy(&bits, &value, sizeof bits);
    *record->types++ = TYPE_REAL;
    record->values = hn_put_big_endian(record->values, bits, 8);
}

/* Room for `count` bytes beside that of the numbers. */
static int make_room(hn_page_record *record, size_t count)
{
    const size_t used = (size_t)(record->values - record->bytes);
    const size_t types = (size_t)(record->types - record->bytes);
    const size_t needed = used + count + record->fixed_room;
    unsigned char *grown;

    if (needed <= record->size)
        return 1;
    grown = hn_realloc(record->bytes, needed, 2);
    if (!grown) {
        record->is_out_of_memory = 1;
        return 0;
    }
    record->bytes = grown;
    record->size = 2 * needed;
    record->types = grown + types;
    record->values = grown + used;
    return 1;
}

static void put_bytes(hn_page_record *record, unsigned type, const void *bytes, size_t count)
{
    if (!make_room(record, count))
        return;
    record->types = hn_put_varint(record->types, (uint64_t)type + 2 * (uint64_t)count);
    memcpy(record->values, bytes, count);
    record->values += count;
}

void hn_record_text(hn_page_record *record, const char *text, size_t count)
{
    put_bytes(record, TYPE_TEXT, text, count);
}

void hn_record_blob(hn_page_record *record, const unsigned char *bytes, size_t count)
{
    put_bytes(record, TYPE_BLOB, bytes, count);
}

const unsigned char *hn_page_record_end(hn_page_record *record, size_t *count)
{
    const size_t types = (size_t)(record->types - record->bytes);
    size_t own = 1;
    unsigned char *start;

    if (record->is_out_of_memory)
        return NULL;
    while (hn_varint_size(types + own) > own)
        own++;
    start = record->bytes + record->head_room - types - own;
    memmove(start + own, record->bytes, types);
    hn_put_varint(start, types + own);
    *count = (size_t)(record->values - start);
    return start;
}
