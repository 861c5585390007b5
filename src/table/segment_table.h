/* table/segment_table.h - the one data structure that every stage shares.
 *
 * Columnar: row i of every column describes segment i. A stage reads what it
 * needs and writes only the columns it owns (table/column_list.h). A column
 * that nobody filled has no memory and reads as missing. Unknown is never
 * zero: NaN, INT32_MIN, 255 or text id 0.
 *
 * Ownership: the table owns columns, texts and geometry. Pointers stay valid
 * until the column is dropped, rows are reordered, or the table is freed.
 */
#ifndef HN_TABLE_SEGMENT_TABLE_H
#define HN_TABLE_SEGMENT_TABLE_H

#include "base/status.h"
#include "base/text_pool.h"
#include "table/column_list.h"
#include "table/pieces.h"

#include <math.h>
#include <stddef.h>
#include <stdint.h>

typedef enum hn_kind {
    HN_KIND_STR,
    HN_KIND_F64,
    HN_KIND_F32,
    HN_KIND_I32,
    HN_KIND_DATE,
    HN_KIND_CODE,
    HN_KIND_BOOL
} hn_kind;

#define HN_COLUMN_ENUM(ID, name, kind, unit, decimals, owner, title, meaning) HN_COL_##ID,
typedef enum hn_column_id { HN_COLUMN_LIST(HN_COLUMN_ENUM) HN_COL_COUNT } hn_column_id;
#undef HN_COLUMN_ENUM

#define HN_I32_MISSING INT32_MIN
enum { HN_CODE_MISSING = 255 };

/* Codes of the CODE columns; the texts are in table/codes.h. */
typedef enum hn_shape {
    HN_SHAPE_CIRCLE,
    HN_SHAPE_EGG,
    HN_SHAPE_HORSESHOE,
    HN_SHAPE_RECTANGLE,
    HN_SHAPE_ELLIPSE,
    HN_SHAPE_ARCH,
    HN_SHAPE_CHANNEL, /* open, no crown */
    HN_SHAPE_OTHER,
    HN_SHAPE_COUNT
} hn_shape;

typedef enum hn_length_basis {
    HN_LENGTH_GEOMETRY,         /* nothing recorded */
    HN_LENGTH_RECORDED,         /* agrees with the drawing */
    HN_LENGTH_GEOMETRY_DIFFERS, /* recorded differs beyond tolerance; drawing used */
    HN_LENGTH_RECORDED_DIFFERS, /* the same, recorded used because the plan says so */
    HN_LENGTH_RECORDED_NO_LINE, /* no usable line */
    HN_LENGTH_BASIS_COUNT
} hn_length_basis;

typedef enum hn_condition_basis {
    HN_BASIS_OBSERVED,
    HN_BASIS_INFERRED,
    HN_BASIS_NONE,
    HN_BASIS_COUNT
} hn_condition_basis;

typedef enum hn_verdict {
    HN_VERDICT_FITS,
    HN_VERDICT_AFTER_WORKS,
    HN_VERDICT_CANNOT_TELL,
    HN_VERDICT_RULED_OUT,
    HN_VERDICT_COUNT
} hn_verdict;

typedef enum hn_programme_state {
    HN_PROGRAMME_NO_WORK,
    HN_PROGRAMME_COMMITTED,
    HN_PROGRAMME_FUNDED,
    HN_PROGRAMME_UNFUNDED,
    HN_PROGRAMME_NO_METHOD, /* neither work nor watching is allowed or can be told */
    HN_PROGRAMME_COUNT
} hn_programme_state;

typedef struct hn_column_def {
    const char *name, *unit, *owner, *title, *meaning;
    hn_kind kind;
    int decimals;
} hn_column_def;

/* A column that exists only in this run, such as a distance to a context
 * layer. Always F32; INFINITY means "searched, nothing within the distance". */
typedef struct hn_extra_column {
    char *name, *title, *meaning;
    float *f32;
} hn_extra_column;

/* Lines as drawn, in the CRS of the network layer. Segment i has points
 * [start[i], start[i+1]); a part of a multi-part line begins where
 * part_start has its bit set. No points: no usable geometry. */
typedef struct hn_lines {
    size_t *start;    /* rows + 1 */
    double *xy;       /* 2 per point */
    double *z;        /* one per point, or NULL when the layer is flat */
    uint8_t *break_before; /* 1: the point begins a new part; NULL: all single */
    size_t points, capacity;
} hn_lines;

typedef struct hn_table {
    size_t rows;
    size_t capacity;
    void *column[HN_COL_COUNT]; /* NULL: never filled */
    hn_extra_column *extra;
    size_t extras;
    hn_lines lines;
    hn_text_pool *texts;
    hn_pieces pieces; /* source rows that were merged into segments */
    /* What derived columns need (table/derived.c). */
    double as_of_year;
    int32_t as_of;
    double cost_low_pct, cost_high_pct;
    const double *yearly_share; /* by method: equivalent annual cost over cost; NULL before the
                                   methods are judged; borrowed */
} hn_table;

const hn_column_def *hn_column_definition(hn_column_id id);
/* HN_COL_COUNT when there is no such column. */
hn_column_id hn_column_find(const char *name);
size_t hn_kind_size(hn_kind kind);
/* NULL-ended names of a CODE column with fixed codes, else NULL. */
const char *const *hn_column_codes(hn_column_id id);

HN_MUST_CHECK hn_status hn_table_new(hn_table **out, hn_error *err);
void hn_table_free(hn_table *table);

/* Makes sure that a column has memory for all rows, missing at first. */
HN_MUST_CHECK hn_status hn_table_want(hn_table *table, hn_column_id id, hn_error *err);
void hn_table_drop(hn_table *table, hn_column_id id);
/* Grows every filled column to hold at least `rows` rows; new rows missing. */
HN_MUST_CHECK hn_status hn_table_reserve(hn_table *table, size_t rows, hn_error *err);
/* Gives back the room that reserve took beyond the rows there are. */
void hn_table_trim(hn_table *table);
/* Row new[i] = old row order[i]; `rows` may be fewer than before. The line
 * arrays are rebuilt in the new order. */
HN_MUST_CHECK hn_status hn_table_reorder(hn_table *table, const uint32_t *order, size_t rows,
                                         hn_error *err);
/* Adds an F32 column filled with NaN; *out borrows the values. */
HN_MUST_CHECK hn_status hn_table_add_extra(hn_table *table, const char *name, const char *title,
                                           const char *meaning, float **out, hn_error *err);
/* Bytes held by columns, texts and lines. */
size_t hn_table_bytes(const hn_table *table);

/* Columns that follow from others by one line of arithmetic and have no memory
 * of their own: age_years, inspection_age_years, cost_low, cost_high,
 * loss_avoided_per_cost. NaN when unknown, or for any other column. */
double hn_table_derived(const hn_table *table, hn_column_id id, size_t row);

/* Any numeric column as a double, derived ones included; NaN when missing or
 * never filled. */
double hn_table_number(const hn_table *table, hn_column_id id, size_t row);
/* Sets a number of any numeric, date, code or flag column that has memory; a NaN
 * becomes missing. */
void hn_table_set_number(hn_table *table, hn_column_id id, size_t row, double value);
/* Text of an STR column, or of a CODE column with fixed codes; "" when missing. */
const char *hn_table_text(const hn_table *table, hn_column_id id, size_t row);

/* Direct access in stages; the column must have been wanted. */
#define HN_F64(table, ID) ((double *)(table)->column[HN_COL_##ID])
#define HN_F32(table, ID) ((float *)(table)->column[HN_COL_##ID])
#define HN_I32(table, ID) ((int32_t *)(table)->column[HN_COL_##ID])
#define HN_CODE(table, ID) ((uint8_t *)(table)->column[HN_COL_##ID])
#define HN_STR(table, ID) ((uint32_t *)(table)->column[HN_COL_##ID])

/* Safe reads that give "missing" for a column never filled. */
static inline double hn_f64(const hn_table *t, hn_column_id id, size_t row)
{
    return t->column[id] ? ((const double *)t->column[id])[row] : NAN;
}
static inline float hn_f32(const hn_table *t, hn_column_id id, size_t row)
{
    return t->column[id] ? ((const float *)t->column[id])[row] : NAN;
}
static inline int32_t hn_i32(const hn_table *t, hn_column_id id, size_t row)
{
    return t->column[id] ? ((const int32_t *)t->column[id])[row] : HN_I32_MISSING;
}
static inline uint8_t hn_code(const hn_table *t, hn_column_id id, size_t row)
{
    return t->column[id] ? ((const uint8_t *)t->column[id])[row] : (uint8_t)HN_CODE_MISSING;
}
static inline uint32_t hn_str(const hn_table *t, hn_column_id id, size_t row)
{
    return t->column[id] ? ((const uint32_t *)t->column[id])[row] : 0;
}
static inline size_t hn_line_points(const hn_lines *l, size_t row)
{
    return l->start ? l->start[row + 1] - l->start[row] : 0;
}

#endif
