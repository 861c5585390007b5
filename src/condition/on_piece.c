#include "condition/on_piece.h"

int hn_lengths_differ(const hn_plan *plan, double a_m, double b_m)
{
    const double d = fabs(a_m - b_m);

    return d > plan->length_tolerance_m && d > plan->length_tolerance_pct / 100.0 * b_m;
}

hn_stretch hn_stretch_of(const hn_table *table, const hn_plan *plan, uint32_t segment, size_t row,
                         double seen_m)
{
    const double whole_m = hn_f64(table, HN_COL_LENGTH_M, row);
    const hn_stretch whole = {0.0, whole_m, 0};
    const hn_piece *piece = hn_pieces_find(&table->pieces, segment);
    hn_stretch part;
    int is_piece;

    if (!piece || (size_t)piece->row != row)
        return whole;
    part = (hn_stretch){(double)piece->begin * whole_m, (double)piece->share * whole_m, 1};
    is_piece = piece->id != piece->whole;
    if (!isnan(seen_m)) {
        const int is_as_piece = !hn_lengths_differ(plan, seen_m, part.length_m);
        const int is_as_whole = !hn_lengths_differ(plan, seen_m, whole_m);

        if (is_as_piece != is_as_whole)
            is_piece = is_as_piece;
        else if (!is_as_piece)
            is_piece = is_piece && seen_m < part.length_m;
    }
    return is_piece ? part : whole;
}

static void settle(const hn_table *table, const hn_plan *plan, hn_inspections *p, size_t i)
{
    const hn_piece *piece = hn_pieces_find(&table->pieces, p->segment[i]);
    hn_stretch s;

    if (!piece)
        return;
    s = hn_stretch_of(table, plan, piece->id, (size_t)piece->row, p->length_seen_m[i]);
    if (!s.is_piece)
        return;
    if (isnan(p->length_seen_m[i]) && p->complete[i] != 0)
        p->length_seen_m[i] = s.length_m;
    if (p->complete[i] == 1)
        p->complete[i] = (uint8_t)HN_CODE_MISSING;
}

void hn_inspections_on_pieces(const hn_table *table, const hn_plan *plan, hn_inspections *p)
{
    for (size_t i = 0; table->pieces.count && i < p->count; i++)
        settle(table, plan, p, i);
}
