/* read/value_keys.h - the values a plan names (missing list, value map),
 * prepared once so that a cell is compared as text, number and date. */
#ifndef HN_READ_VALUE_KEYS_H
#define HN_READ_VALUE_KEYS_H

#include "base/status.h"
#include "read/raw_value.h"

typedef struct hn_value_key {
    hn_span text; /* trimmed, borrowed */
    int has_number, has_date;
    double number;
    int64_t days;
} hn_value_key;

typedef struct hn_value_keys {
    hn_value_key *items;
    size_t count;
    int any_number;
} hn_value_keys;

HN_MUST_CHECK hn_status hn_value_keys_init(hn_value_keys *keys, size_t count, hn_error *err);
void hn_value_keys_set(hn_value_keys *keys, size_t index, const char *text);
void hn_value_keys_clear(hn_value_keys *keys);

/* First key equal to the cell: 0, 0.0 and "0" are the same number; texts are
 * equal but for blanks around them and the case of Latin letters. -1: none. */
int hn_value_keys_find(const hn_value_keys *keys, const hn_raw *raw);

#endif
