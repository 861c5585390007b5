#include "network/merge_lines.h"

#include "base/alloc.h"

#include <string.h>

/* Pieces snapped together may miss each other by a hand's breadth; the joint
 * is drawn as it was recorded, as a step inside one part. */
static size_t append_piece(hn_lines *to, size_t at, const hn_lines *from, size_t row,
                           int is_first)
{
    size_t begin = from->start[row], n = hn_line_points(from, row);

    if (n && !is_first && at > 0 && to->xy[2 * at - 2] == from->xy[2 * begin] &&
        to->xy[2 * at - 1] == from->xy[2 * begin + 1]) {
        begin++;
        n--;
    }
    if (n == 0)
        return at;
    memcpy(to->xy + 2 * at, from->xy + 2 * begin, 2 * n * sizeof *to->xy);
    if (to->z)
        memcpy(to->z + at, from->z + begin, n * sizeof *to->z);
    if (to->break_before)
        memcpy(to->break_before + at, from->break_before + begin, n);
    return at + n;
}

hn_status hn_merge_lines(hn_lines *lines, size_t rows, const int32_t *next,
                         const int32_t *head_of, const uint32_t *order, size_t kept, hn_error *err)
{
    hn_lines fresh = {0}, old;
    int32_t *chain = hn_alloc(rows, sizeof *chain); /* head of the chain a kept row stands for */
    size_t at = 0;
    hn_status rc = HN_OK;

    fresh.capacity = lines->points;
    fresh.start = hn_alloc(rows + 1, sizeof *fresh.start);
    fresh.xy = hn_alloc(2 * lines->points, sizeof *fresh.xy);
    fresh.z = lines->z ? hn_alloc(lines->points, sizeof *fresh.z) : NULL;
    fresh.break_before = lines->break_before ? hn_alloc(lines->points, 1) : NULL;
    HN_TRY_ALLOC(chain);
    if (!fresh.start || !fresh.xy || (lines->z && !fresh.z) ||
        (lines->break_before && !fresh.break_before))
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    memset(chain, 0xff, rows * sizeof *chain);
    for (size_t i = 0; i < kept; i++)
        chain[order[i]] = head_of[order[i]];
    for (size_t i = 0; i < rows; i++) {
        fresh.start[i] = at;
        for (int32_t k = chain[i]; k >= 0; k = next[k])
            at = append_piece(&fresh, at, lines, (size_t)k, k == chain[i]);
    }
    fresh.start[rows] = at;
    fresh.points = at;
    old = *lines;
    *lines = fresh;
    fresh = old;
out:
    hn_free(chain);
    hn_free(fresh.start);
    hn_free(fresh.xy);
    hn_free(fresh.z);
    hn_free(fresh.break_before);
    return rc;
}
