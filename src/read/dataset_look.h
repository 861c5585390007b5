/* read/dataset_look.h - a first look through a dataset, for `haunch draft`.
 *
 * Counts what lies in every layer and every field, so that a plan can be
 * drafted from what the data hold and not only from what fields are called.
 * At most HN_LOOK_ROWS rows a layer are read; memory is bounded by the fields.
 */
#ifndef HN_READ_DATASET_LOOK_H
#define HN_READ_DATASET_LOOK_H

#include "base/arena.h"
#include "base/status.h"

#include <stddef.h>

enum {
    HN_LOOK_ROWS = 100000, /* a layer */
    HN_LOOK_VALUES = 40,   /* distinct values listed a field */
    HN_LOOK_MARKS = 8,     /* values that look like "missing", a field */
    HN_LOOK_SAMPLE = 512   /* numbers kept a field, for quantiles */
};

typedef enum hn_look_type {
    HN_LOOK_TEXT,
    HN_LOOK_WHOLE,
    HN_LOOK_REAL,
    HN_LOOK_DATE,
    HN_LOOK_OTHER /* lists, binary: not looked into */
} hn_look_type;

typedef struct hn_value_count {
    const char *text; /* trimmed, as a plan names it */
    size_t count;
} hn_value_count;

typedef struct hn_field_look {
    const char *name;
    hn_look_type type;
    size_t rows, empty;                  /* rows looked at; null or blank */
    size_t distinct;                     /* not empty */
    hn_value_count *values;              /* the first HN_LOOK_VALUES met, most frequent first */
    size_t value_count;                  /* == distinct when all are listed */
    hn_value_count marks[HN_LOOK_MARKS]; /* 0, -99, 9.99999, 1899-12-30 ... with counts */
    size_t mark_count;
    size_t numbers; /* rows with a number, texts that are numbers included */
    size_t dates;   /* rows with a date, texts that are dates included */
    /* Of the numbers that are no mark; NaN when there are none. Quantiles are
     * of a sample. A date counts by its year. */
    double low, p05, p50, p95, high;
    /* Median of number over drawn length in m, and the share of rows within
     * 5 % of it; NaN when the layer has no lines. About 1: metres; about
     * 3.28: feet. */
    double length_ratio, length_ratio_share;
} hn_field_look;

typedef struct hn_layer_look {
    const char *name;
    long long features; /* -1: the driver cannot say at once */
    size_t rows;        /* looked at */
    size_t lines, points, polygons, no_geometry, other_geometry;
    const char *crs; /* "EPSG:25832", else its name; NULL: none */
    hn_field_look *fields;
    size_t field_count;
} hn_layer_look;

typedef struct hn_dataset_look {
    hn_arena arena;
    const char *driver;
    hn_layer_look *layers;
    size_t layer_count;
} hn_dataset_look;

/* Opens `from` read-only and looks through its layers, or only through
 * `layer` when it is not NULL. On success *out is the caller's. Errors:
 * HN_ERR_INPUT with what is there; HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_look_at_dataset(const char *from, const char *layer,
                                           hn_dataset_look **out, hn_error *err);
void hn_dataset_look_free(hn_dataset_look *look);

#endif
