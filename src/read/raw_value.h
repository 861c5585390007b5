/* read/raw_value.h - one cell as the source gives it, whatever the source. */
#ifndef HN_READ_RAW_VALUE_H
#define HN_READ_RAW_VALUE_H

#include "read/cell_text.h"

#include <stdint.h>

typedef enum hn_raw_kind {
    HN_RAW_NULL,
    HN_RAW_INT,
    HN_RAW_REAL,
    HN_RAW_TEXT,
    HN_RAW_DATE
} hn_raw_kind;

typedef struct hn_raw {
    hn_raw_kind kind;
    int64_t i;    /* INT; DATE: days since 1970-01-01 */
    double r;     /* REAL */
    hn_span text; /* TEXT, borrowed, not trimmed */
} hn_raw;

/* Cell of a feature, or its number for field HN_FIELD_FID. Borrowed from the
 * feature. `type` is the field's type, looked up once. */
void hn_raw_from_feature(OGRFeatureH feature, int field, OGRFieldType type, hn_raw *out);

/* The cell as trimmed text, from the cell or from `room`. */
hn_span hn_raw_span(const hn_raw *raw, char room[HN_CELL_TEXT_MAX]);

#endif
