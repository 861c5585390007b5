/* read/row_batch.h - some rows of a network layer, read and typed, not yet in
 * the table.
 *
 * Batches are filled in any thread from any kind of source and taken into the
 * table in source order by one thread. So both ways of reading give the same
 * table, and no way depends on the number of threads.
 */
#ifndef HN_READ_ROW_BATCH_H
#define HN_READ_ROW_BATCH_H

#include "read/role_map.h"

#include <stdint.h>

enum { HN_BATCH_ROWS = 1024 };

/* What became of a row's geometry. */
typedef enum hn_line_state {
    HN_LINE_GOOD,
    HN_LINE_PARTS,      /* several parts that do not touch; usable */
    HN_LINE_NULL,       /* no geometry */
    HN_LINE_EMPTY,      /* POINT EMPTY and the like */
    HN_LINE_NOT_A_LINE, /* points, areas */
    HN_LINE_NOT_FINITE, /* NaN or infinity among the coordinates */
    HN_LINE_NO_LENGTH,  /* fewer than two different points */
    HN_LINE_UNREADABLE, /* a damaged blob */
    HN_LINE_OFF_EARTH   /* longitude or latitude out of sense */
} hn_line_state;

enum { HN_LINE_HAD_M = 1, HN_LINE_WAS_CURVE = 2 };

typedef struct hn_batch_text {
    uint32_t offset, length;
} hn_batch_text;

typedef struct hn_batch_row {
    int64_t fid;
    size_t point_end; /* points of the batch up to and with this row */
    uint8_t line_state, line_flags;
} hn_batch_row;

typedef struct hn_batch_fault {
    uint32_t row;
    uint16_t role;
    uint16_t fault;
    hn_batch_text value;
} hn_batch_fault;

typedef struct hn_row_batch {
    size_t roles;
    hn_batch_row *rows;
    size_t row_count, row_capacity;
    double *numbers;      /* [row * roles + role] */
    hn_batch_text *texts; /* [row * roles + role] */
    size_t cell_capacity;
    char *bytes;
    size_t byte_count, byte_capacity;
    double *xyz; /* three a point; z NaN when flat */
    uint8_t *breaks;
    size_t point_count, xyz_capacity, break_capacity;
    int has_z;
    hn_batch_fault *faults;
    size_t fault_count, fault_capacity;
    int out_of_memory;
} hn_row_batch;

void hn_row_batch_init(hn_row_batch *batch, size_t roles);
void hn_row_batch_reset(hn_row_batch *batch); /* empties, keeps the memory */
void hn_row_batch_clear(hn_row_batch *batch);

/* The rest sets out_of_memory instead of failing one by one. */
hn_batch_row *hn_row_batch_add(hn_row_batch *batch, int64_t fid); /* NULL then */
void hn_row_batch_point(hn_row_batch *batch, double x, double y, double z, int begins_part);
/* Reads one cell of the newest row. */
void hn_row_batch_cell(hn_row_batch *batch, size_t role, hn_field_reader *reader,
                       const hn_role *how, const hn_raw *raw);

static inline const char *hn_row_batch_bytes(const hn_row_batch *batch, hn_batch_text text)
{
    return text.length ? batch->bytes + text.offset : "";
}

#endif
