/* write/page_record.h - one row as an SQLite record.
 *
 * A record is a header (its own size, then a type a value) and the values.
 * Types are put down in front, values behind; at the end the header moves up
 * against the values.
 * Source: SQLite documentation, "Database File Format", part 2.1 (record
 * format), from memory.
 */
#ifndef HN_WRITE_PAGE_RECORD_H
#define HN_WRITE_PAGE_RECORD_H

#include "write/page_bytes.h"

#include <string.h>

typedef struct hn_page_record {
    unsigned char *bytes;
    size_t size;
    size_t head_room;      /* values begin here */
    size_t fixed_room;     /* for numbers: 8 bytes a value; always kept free */
    unsigned char *types;  /* end of the types so far */
    unsigned char *values; /* end of the values so far */
    int is_out_of_memory;
} hn_page_record;

/* Room for records of `count` values. Returns 0 when out of memory. */
int hn_page_record_init(hn_page_record *record, size_t count);
void hn_page_record_clear(hn_page_record *record);

static inline void hn_page_record_begin(hn_page_record *record)
{
    record->types = record->bytes;
    record->values = record->bytes + record->head_room;
    record->is_out_of_memory = 0;
}

static inline void hn_record_null(hn_page_record *record)
{
    *record->types++ = 0;
}

/* In as few bytes as hold it; 0 and 1 need none. */
void hn_record_int(hn_page_record *record, int64_t value);
/* A value without fraction goes in as a whole number, as SQLite itself does in
 * a column of type REAL, and comes back as a REAL. It must be finite. */
void hn_record_real(hn_page_record *record, double value);
void hn_record_text(hn_page_record *record, const char *text, size_t count);
void hn_record_blob(hn_page_record *record, const unsigned char *bytes, size_t count);

/* The whole record, valid until the next begin; NULL when out of memory. */
const unsigned char *hn_page_record_end(hn_page_record *record, size_t *count);

#endif
