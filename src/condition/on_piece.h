/* condition/on_piece.h - a survey of one piece of a segment that was merged from several.
 *
 * A record names a row of the source. Which stretch it tells of, the length seen decides
 * (local rule): that of the piece, that of the whole segment, each within the tolerances
 * of the plan. Where it does not decide, the id that the whole segment bears means the
 * whole, any other id its piece.
 */
#ifndef HN_CONDITION_ON_PIECE_H
#define HN_CONDITION_ON_PIECE_H

#include "plan/plan.h"
#include "table/inspections.h"

typedef struct hn_stretch {
    double begin_m, length_m; /* from the upstream end of the segment */
    int is_piece;
} hn_stretch;

/* segment: text id in the record; row: of the segment it was matched to; seen_m: length
 * seen or surveyed, NaN unknown. */
hn_stretch hn_stretch_of(const hn_table *table, const hn_plan *plan, uint32_t segment, size_t row,
                         double seen_m);

/* Records of a piece speak of its length only: "complete" becomes the length of the piece
 * seen. Call it once, when all records are there. */
void hn_inspections_on_pieces(const hn_table *table, const hn_plan *plan,
                              hn_inspections *inspections);

/* Two lengths differ by more than both tolerances of the plan. */
int hn_lengths_differ(const hn_plan *plan, double a_m, double b_m);

#endif
