#include "condition/confidence.h"

#include "base/dates.h"
#include "condition/on_piece.h"

static const double BY_ID = 0.95, BY_NODES = 0.9, BY_REVERSED = 0.8, ON_LINE = 0.7;
static const double AT_REACH = 0.5; /* of what it is on the line */
static const double AGREEING = 0.5; /* of the doubt stays */
static const double AGAINST = 0.5;  /* of the confidence stays */
static const double UNDATED = 0.8;  /* likewise */

static double begin_at(int how, double apart_m, double reach_m)
{
    switch (how) {
    case HN_MATCH_ID:
        return BY_ID;
    case HN_MATCH_NODES:
        return BY_NODES;
    case HN_MATCH_NODES_REVERSED:
        return BY_REVERSED;
    default:
        return ON_LINE * (1.0 - (1.0 - AT_REACH) * fmin(apart_m / reach_m, 1.0));
    }
}

/* A match by nodes says nothing about nodes; pieces inside of a reach have no names. */
static uint8_t look_at_nodes(const hn_table *t, const hn_inspections *p, size_t i, size_t row,
                             int how)
{
    const uint32_t from = p->up_node[i], to = p->down_node[i];
    const uint32_t up = hn_str(t, HN_COL_UP_NODE, row), down = hn_str(t, HN_COL_DOWN_NODE, row);

    if (how == HN_MATCH_NODES || how == HN_MATCH_NODES_REVERSED || !from || !to || !up || !down)
        return 0;
    if ((from == up && to == down) || (from == down && to == up))
        return HN_NODES_AGREE;
    return hn_pieces_find(&t->pieces, p->segment[i]) ? 0 : HN_NODES_DIFFER;
}

static uint8_t look_at_length(const hn_table *t, const hn_plan *plan, const hn_inspections *p,
                              size_t i, size_t row)
{
    const double seen_m = p->length_seen_m[i];
    const hn_stretch s = hn_stretch_of(t, plan, p->segment[i], row, seen_m);
    const uint8_t piece = s.is_piece ? HN_ON_PIECE : 0;

    if (isnan(seen_m) || isnan(s.length_m))
        return piece;
    if (!hn_lengths_differ(plan, seen_m, s.length_m))
        return piece | HN_LENGTH_AGREES;
    /* a part seen of a longer segment says nothing */
    return seen_m > s.length_m || p->complete[i] == 1 ? piece | HN_LENGTH_DIFFERS : piece;
}

static uint8_t look_at_date(const hn_table *t, const hn_inspections *p, size_t i, size_t row)
{
    const double built = (double)hn_f32(t, HN_COL_YEAR_BUILT, row);

    if (p->date[i] == HN_I32_MISSING)
        return HN_NO_DATE;
    return hn_date_year(p->date[i]) < floor(built) ? HN_BEFORE_BUILT : 0;
}

double hn_match_confidence(const hn_table *table, const hn_plan *plan, const hn_inspections *p,
                           size_t record, size_t row, int how, double apart_m, double reach_m,
                           uint8_t *evidence)
{
    double confidence = begin_at(how, apart_m, reach_m);
    const uint8_t found = (uint8_t)(look_at_nodes(table, p, record, row, how) |
                                    look_at_length(table, plan, p, record, row) |
                                    look_at_date(table, p, record, row));

    for (unsigned bit = HN_NODES_AGREE; bit <= HN_LENGTH_AGREES; bit <<= 1)
        if (found & bit)
            confidence = 1.0 - AGREEING * (1.0 - confidence);
    for (unsigned bit = HN_NODES_DIFFER; bit <= HN_BEFORE_BUILT; bit <<= 1)
        if (found & bit)
            confidence *= AGAINST;
    if (found & HN_NO_DATE)
        confidence *= UNDATED;
    *evidence = found;
    return confidence;
}
