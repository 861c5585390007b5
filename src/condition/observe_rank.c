/* The worst observations of each segment. */
#include "condition/observe_parts.h"

#include "base/alloc.h"

#include <stdlib.h>
#include <string.h>

/* Worse first, then later, then nearer to where the survey began. */
static int worse_first(const void *left, const void *right, void *context)
{
    const hn_observations *o = context;
    const uint32_t a = *(const uint32_t *)left, b = *(const uint32_t *)right;
    const double x = isnan((double)o->grade[a]) ? 0.0 : (double)o->grade[a];
    const double y = isnan((double)o->grade[b]) ? 0.0 : (double)o->grade[b];
    const int32_t later = o->visits.date[o->visit[b]], earlier = o->visits.date[o->visit[a]];

    if (x > y || x < y)
        return x > y ? -1 : 1;
    if (earlier != later)
        return earlier > later ? -1 : 1;
    return a < b ? -1 : a > b;
}

static int is_of_use(const hn_observations *o, size_t i)
{
    return !(o->flags[i] & (HN_OBS_MERGED | HN_OBS_DUPLICATE));
}

/* Visits of one segment: from .. to - 1. */
static void rank_segment(hn_observations *o, size_t from, size_t to, uint32_t *list)
{
    size_t count = 0;

    for (size_t i = o->start[from]; i < o->start[to]; i++)
        if (is_of_use(o, i))
            list[count++] = (uint32_t)i;
    qsort_r(list, count, sizeof *list, worse_first, o);
    for (size_t k = 0; k < count; k++)
        o->rank[list[k]] = (uint16_t)(k + 1 < UINT16_MAX ? k + 1 : UINT16_MAX);
}

static void drop_others(hn_observations *o, const hn_plan *plan, uint8_t *keep)
{
    for (size_t i = 0; i < o->count; i++)
        keep[i] =
            o->rank[i] && o->rank[i] <= plan->observations_shown && !isnan((double)o->grade[i]);
    hn_observations_keep(o, keep);
}

/* One behind the last visit of the segment that begins at v. */
static size_t end_of_segment(const hn_observations *o, size_t v)
{
    size_t end = v + 1;

    while (end < o->matched && o->row[end] == o->row[v])
        end++;
    return end;
}

static size_t largest_segment(const hn_observations *o)
{
    size_t most = 0;

    for (size_t v = 0, end; v < o->matched; v = end) {
        end = end_of_segment(o, v);
        if (o->start[end] - o->start[v] > most)
            most = o->start[end] - o->start[v];
    }
    return most;
}

hn_status hn_observe_rank(hn_observing *w, hn_error *err)
{
    hn_observations *o = w->o;
    uint32_t *list = hn_alloc(largest_segment(o), sizeof *list);
    uint8_t *keep = hn_alloc(o->count, 1);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(list);
    HN_TRY_ALLOC(keep);
    for (size_t v = 0, end; v < o->matched; v = end) {
        end = end_of_segment(o, v);
        rank_segment(o, v, end, list);
    }
    if (w->table->rows > (size_t)w->plan->observations_all_up_to)
        drop_others(o, w->plan, keep);
out:
    hn_free(list);
    hn_free(keep);
    return rc;
}
