/* read/source.h - what a plan says about one OGR layer or table. */
#ifndef HN_READ_SOURCE_H
#define HN_READ_SOURCE_H

#include "table/segment_table.h"

#include <stddef.h>

/* Where in the plan file something was said; line 0: nowhere. */
typedef struct hn_place {
    int line, column;
} hn_place;

typedef struct hn_value_pair {
    const char *from, *to;
} hn_value_pair;

typedef enum hn_date_format {
    HN_DATE_AUTO, /* OGR date fields and ISO text */
    HN_DATE_ISO,
    HN_DATE_YEAR,
    HN_DATE_EPOCH_MS
} hn_date_format;

/* How one role is filled from a source. Either `field` or `constant`. */
typedef struct hn_field_map {
    const char *role;
    const char *field;    /* name in the source */
    const char *constant; /* the same text for every row */
    const char *unit;     /* as declared; NULL: the inside unit */
    double unit_factor;   /* to the inside unit; 1 when none */
    const char *pattern;  /* POSIX extended regex, first group is the value */
    const char *const *missing;
    size_t missing_count;
    const hn_value_pair *values; /* value map, tried on the trimmed text */
    size_t value_count;
    const char *other;  /* what values outside the map become; NULL: kept as is */
    int has_scale;      /* grades: */
    double best, worst; /*   source grades that become 1 and 5 */
    hn_date_format date_format;
    hn_place place;
} hn_field_map;

typedef enum hn_source_format {
    HN_FORMAT_AUTO, /* never left in a plan that was read */
    HN_FORMAT_TABLE,
    HN_FORMAT_EXCHANGE_TEXT
} hn_source_format;

typedef struct hn_source {
    const char *key;   /* plan key, for messages: network, inspections[1] ... */
    const char *from;  /* OGR connection string or path */
    const char *layer; /* NULL: the only layer */
    const char *where; /* SQL in the source's own dialect; NULL: all rows */
    const char *crs;   /* overrides or supplies the CRS; NULL: the layer's own */
    const hn_field_map *fields;
    size_t field_count;
    int format;           /* hn_source_format; observations only */
    const char *code_set; /* observations only; NULL: EN 13508-2 */
    hn_place place;
} hn_source;

/* The map of a role, or NULL when the plan has none. */
const hn_field_map *hn_source_find(const hn_source *source, const char *role);

/* The connection string with any password replaced by "***". Borrowed from
 * `room`, which must have `size` bytes. */
const char *hn_source_shown(const char *from, char *room, size_t size);

#endif
