/* table/pieces.h - where the rows of the source lie in the segments they were merged
 * into. Inspections name source rows, so their distances have to be moved. */
#ifndef HN_TABLE_PIECES_H
#define HN_TABLE_PIECES_H

#include "base/status.h"

#include <stddef.h>
#include <stdint.h>

typedef struct hn_piece {
    uint32_t id, whole; /* texts: of the source row, of the segment */
    int32_t row;        /* of the segment */
    float begin, share; /* of the drawn length of the segment, from its upstream end */
} hn_piece;

typedef struct hn_pieces {
    hn_piece *list; /* once sorted: by id */
    size_t count, room;
} hn_pieces;

HN_MUST_CHECK hn_status hn_pieces_add(hn_pieces *pieces, hn_piece piece, hn_error *err);
/* To be called once all are there. */
void hn_pieces_sort(hn_pieces *pieces);
/* NULL: no piece. */
const hn_piece *hn_pieces_find(const hn_pieces *pieces, uint32_t id);
void hn_pieces_clear(hn_pieces *pieces);

#endif
