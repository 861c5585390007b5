#include "read/join_parts.h"

#include "base/alloc.h"

#include <math.h>
#include <string.h>

enum { PARTS_MAX = 64 }; /* more are left as they are */

typedef struct part {
    size_t begin, end; /* points, end not included */
    int is_reversed;
} part;

/* Drops parts of a single point by moving the rest up. */
static void drop_lone_points(hn_row_batch *batch, size_t begin)
{
    size_t kept = begin;

    for (size_t i = begin; i < batch->point_count; i++) {
        int begins = batch->breaks[i];
        int ends = i + 1 == batch->point_count || batch->breaks[i + 1];

        if (begins && ends)
            continue;
        memmove(batch->xyz + 3 * kept, batch->xyz + 3 * i, 3 * sizeof *batch->xyz);
        batch->breaks[kept++] = batch->breaks[i];
    }
    batch->point_count = kept;
}

static size_t list_parts(const hn_row_batch *batch, size_t begin, part parts[PARTS_MAX])
{
    size_t count = 0;

    for (size_t i = begin; i < batch->point_count; i++) {
        if (batch->breaks[i]) {
            if (count == PARTS_MAX)
                return PARTS_MAX + 1;
            parts[count++] = (part){i, i + 1, 0};
        }
        parts[count - 1].end = i + 1;
    }
    return count;
}

static const double *end_of(const hn_row_batch *batch, const part *p, int want_last)
{
    return batch->xyz + 3 * (want_last != p->is_reversed ? p->end - 1 : p->begin);
}

static int meet(const double *a, const double *b, double touch)
{
    return fabs(a[0] - b[0]) <= touch && fabs(a[1] - b[1]) <= touch;
}

/* Puts one more part at the tail (chain[*count]) or head of the chain; parts
 * are taken out of the front of rest. Returns 0 when none fits. */
static int extend(const hn_row_batch *batch, part *chain, size_t count, part *rest, size_t left,
                  double touch)
{
    const double *head = end_of(batch, &chain[0], 0);
    const double *tail = end_of(batch, &chain[count - 1], 1);

    for (size_t i = 0; i < left; i++) {
        part p = rest[i];
        const double *first = end_of(batch, &p, 0), *last = end_of(batch, &p, 1);
        int at_tail = meet(tail, first, touch) || meet(tail, last, touch);

        if (at_tail)
            p.is_reversed = !meet(tail, first, touch);
        else if (meet(head, last, touch) || meet(head, first, touch))
            p.is_reversed = !meet(head, last, touch);
        else
            continue;
        memmove(rest + i, rest + i + 1, (left - i - 1) * sizeof *rest);
        if (!at_tail)
            memmove(chain + 1, chain, count * sizeof *chain);
        chain[at_tail ? count : 0] = p;
        return 1;
    }
    return 0;
}

static int chain_parts(const hn_row_batch *batch, part *parts, size_t count, double touch)
{
    part rest[PARTS_MAX];
    size_t chained = 1;

    memcpy(rest, parts + 1, (count - 1) * sizeof *rest);
    while (chained < count && extend(batch, parts, chained, rest, count - chained, touch))
        chained++;
    return chained == count;
}

static int rewrite(hn_row_batch *batch, size_t begin, const part *chain, size_t count)
{
    size_t points = batch->point_count - begin, kept = 0;
    double *xyz = hn_alloc(points, 3 * sizeof *xyz);

    if (!xyz) {
        batch->out_of_memory = 1;
        return 0;
    }
    for (size_t k = 0; k < count; k++)
        for (size_t i = k > 0; i < chain[k].end - chain[k].begin; i++) {
            size_t at = chain[k].is_reversed ? chain[k].end - 1 - i : chain[k].begin + i;

            memcpy(xyz + 3 * kept++, batch->xyz + 3 * at, 3 * sizeof *xyz);
        }
    memcpy(batch->xyz + 3 * begin, xyz, kept * 3 * sizeof *xyz);
    memset(batch->breaks + begin, 0, kept);
    batch->breaks[begin] = 1;
    batch->point_count = begin + kept;
    hn_free(xyz);
    return 1;
}

int hn_join_parts(hn_row_batch *batch, size_t begin, double touch)
{
    part parts[PARTS_MAX], chain[PARTS_MAX];
    size_t count;

    if (!memchr(batch->breaks + begin + 1, 1, batch->point_count - begin - 1))
        return 1;
    drop_lone_points(batch, begin);
    count = list_parts(batch, begin, parts);
    if (count <= 1)
        return 1;
    if (count > PARTS_MAX)
        return 0;
    memcpy(chain, parts, count * sizeof *chain);
    return chain_parts(batch, chain, count, touch) && rewrite(batch, begin, chain, count);
}
