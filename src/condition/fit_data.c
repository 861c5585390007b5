/* Inspections of one segment as a sequence of readings. */
#include "condition/fit_parts.h"

#include "base/alloc.h"
#include "base/dates.h"

#include <math.h>

/* Place in time, in years; differences of it are exact to a day. */
static double year_of(const hn_inspected *v)
{
    return hn_date_year(v->date);
}

int hn_fit_next(hn_fit_walk *w)
{
    const hn_history *h = w->spec->history;

    if (w->at >= h->count)
        return 0;
    w->from = w->at;
    w->row = h->visit[w->at].row;
    while (w->at < h->count && h->visit[w->at].row == w->row)
        w->at++;
    w->to = w->at;
    return 1;
}

static int best_of(uint8_t grades)
{
    int g = 1;

    while (!(grades >> (g - 1) & 1u))
        g++;
    return g;
}

static int worst_of(uint8_t grades)
{
    int g = HN_GRADES;

    while (!(grades >> (g - 1) & 1u))
        g--;
    return g;
}

int hn_fit_take(hn_fit_walk *w, int driver, hn_fit_sequence *out)
{
    const hn_fit_spec *s = w->spec;
    const double new_in = s->history->new_in_year[w->row];
    int worst_best = 1; /* the pipe is at least this bad */

    *out = (hn_fit_sequence){.age_known = !isnan(new_in)};
    out->weight = hn_f64(s->table, HN_COL_LENGTH_M, (size_t)w->row);
    if (w->to - w->from > w->room_size) {
        hn_reading *grown = hn_realloc(w->room, 2 * (w->to - w->from), sizeof *grown);

        if (!grown)
            return 0;
        w->room = grown;
        w->room_size = 2 * (w->to - w->from);
    }
    out->reading = w->room;
    for (size_t i = w->from; i < w->to; i++) {
        const hn_inspected *v = &s->history->visit[i];
        double age = year_of(v) - (out->age_known ? new_in : 0.0);

        if (!v->grades[driver])
            continue;
        if (out->age_known && age < 0.0) {
            out->before_built++;
            continue;
        }
        if (worst_of(v->grades[driver]) < worst_best) {
            out->improving++;
            if (!s->read)
                continue;
        }
        if (best_of(v->grades[driver]) > worst_best)
            worst_best = best_of(v->grades[driver]);
        out->partial += !v->complete;
        out->reading[out->count++] = (hn_reading){age, v->grades[driver]};
    }
    return 1;
}

void hn_fit_walk_clear(hn_fit_walk *w)
{
    hn_free(w->room);
    w->room = NULL;
    w->room_size = 0;
}

/* Source: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number
 * generators", OOPSLA 2014 (splitmix64; constants from memory). */
static uint64_t mix(uint64_t z)
{
    z += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

int hn_fit_is_held_out(const hn_fit_spec *spec, size_t row)
{
    const char *id = hn_table_text(spec->table, HN_COL_SEGMENT_ID, row);
    uint64_t h = mix(spec->seed);

    for (const char *c = id; *c; c++)
        h = mix(h ^ (uint64_t)(unsigned char)*c);
    return (double)(h >> 11) * 0x1p-53 < HN_FIT_HELD_OUT_SHARE;
}
