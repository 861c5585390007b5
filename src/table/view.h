/* table/view.h - a read-only table as the writers and the report see it.
 *
 * A stage that produces a result table describes its columns once and fills
 * one row at a time on request, so nothing is copied before it is written.
 * All outputs (GeoPackage, CSV, workbook, report) read the same view.
 */
#ifndef HN_TABLE_VIEW_H
#define HN_TABLE_VIEW_H

#include "base/status.h"

#include <stddef.h>
#include <stdint.h>
#include <string.h>

typedef enum hn_view_kind {
    HN_VIEW_TEXT,
    HN_VIEW_INT,
    HN_VIEW_REAL,
    HN_VIEW_BOOL, /* cell.i is 0 or 1 */
    HN_VIEW_DATE  /* cell.i is days since 1970-01-01 */
} hn_view_kind;

/* A coded text value and what it means. */
typedef struct hn_coded_value {
    const char *value, *meaning;
} hn_coded_value;

typedef struct hn_view_column {
    const char *name;    /* snake_case, the unit as suffix */
    const char *title;   /* for people */
    const char *meaning; /* one sentence */
    const char *unit;    /* "" for none */
    hn_view_kind kind;
    int decimals;                  /* REAL: digits after the point in CSV */
    const hn_coded_value *codes;   /* TEXT with a closed list, else NULL */
    size_t code_count;
} hn_view_column;

typedef struct hn_cell {
    uint8_t is_null;
    int64_t i;        /* INT, BOOL, DATE */
    double r;         /* REAL */
    const char *text; /* TEXT; valid until the next call of row() */
} hn_cell;

typedef enum hn_view_geometry {
    HN_GEOMETRY_NONE,
    HN_GEOMETRY_LINE, /* LINESTRING or MULTILINESTRING per row */
    HN_GEOMETRY_ANY   /* point or line per row */
} hn_view_geometry;

/* Coordinates of one row: parts of consecutive points in the network's CRS.
 * Borrowed until the next call. part_count 0: no geometry (NULL). */
typedef struct hn_shape_ref {
    int is_point;
    size_t part_count;
    const double *const *xy;  /* per part, 2 per point */
    const double *const *z;   /* per part, or NULL when flat */
    const size_t *points;     /* per part */
} hn_shape_ref;

/* Room for texts and part lists made while a row is filled; one per thread. */
typedef struct hn_scratch {
    char *text;
    size_t text_used, text_size;
    const double **xy, **z;
    size_t *points;
    size_t part_capacity;
} hn_scratch;

typedef struct hn_view {
    const char *name;    /* table name: segments, options ... */
    const char *title;   /* for people */
    const char *meaning; /* one or two sentences */
    hn_view_geometry geometry;
    const hn_view_column *columns;
    size_t column_count;
    size_t rows;
    const void *context;
    /* Fills cells[column_count] for one row. Pure: safe in several threads,
     * each with its own scratch. */
    void (*row)(const void *context, size_t row, hn_cell *cells, hn_scratch *scratch);
    /* NULL when geometry is HN_GEOMETRY_NONE. */
    void (*shape)(const void *context, size_t row, hn_shape_ref *out, hn_scratch *scratch);
} hn_view;

HN_MUST_CHECK hn_status hn_scratch_init(hn_scratch *scratch, hn_error *err);
void hn_scratch_clear(hn_scratch *scratch);
static inline void hn_scratch_reset(hn_scratch *scratch)
{
    scratch->text_used = 0;
}
/* The text with its end, as long as there is room. */
static inline const char *hn_scratch_copy(hn_scratch *scratch, const char *text)
{
    char *place = scratch->text + scratch->text_used;
    size_t room = scratch->text_size - scratch->text_used, length = strlen(text);

    if (room < 2)
        return "";
    length = length < room - 1 ? length : room - 1;
    memcpy(place, text, length);
    place[length] = '\0';
    scratch->text_used += length + 1;
    return place;
}
/* Makes room for that many parts; 0 when out of memory. */
int hn_scratch_parts(hn_scratch *scratch, size_t parts);
/* Formats into the scratch; cut at the end of the room, never overrun. */
const char *hn_scratch_printf(hn_scratch *scratch, const char *format, ...) HN_PRINTF(2, 3);

static inline void hn_cell_text(hn_cell *cell, const char *text)
{
    cell->is_null = !text || !text[0];
    cell->text = text;
}
static inline void hn_cell_real(hn_cell *cell, double value)
{
    cell->is_null = !(value - value == 0.0); /* NaN and infinities */
    cell->r = value;
}
static inline void hn_cell_int(hn_cell *cell, int64_t value)
{
    cell->is_null = 0;
    cell->i = value;
}
static inline void hn_cell_null(hn_cell *cell)
{
    cell->is_null = 1;
}

#endif
