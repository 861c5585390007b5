#include "write/hilbert.h"

#include "base/alloc.h"

#include <math.h>
#include <string.h>

enum { CURVE_BITS = 16, DIGIT_BITS = 11, DIGITS = 1 << DIGIT_BITS, PASSES = 3 };

/* Place on the curve of a cell: quadrant by quadrant, from the largest, each
 * turned into the frame of the one before. Source: common iterative form of
 * D. Hilbert's curve (Math. Annalen 38, 1891), from memory. */
static uint32_t curve_place(uint32_t x, uint32_t y)
{
    uint32_t place = 0;

    for (uint32_t side = 1u << (CURVE_BITS - 1); side; side >>= 1) {
        const uint32_t right = (x & side) != 0, top = (y & side) != 0;
        const uint32_t flip = right ? UINT32_MAX : 0, old_x = x;

        place += side * side * ((3 * right) ^ top);
        if (top)
            continue;
        x = y ^ flip;
        y = old_x ^ flip;
    }
    return place;
}

static hn_box box_of_all(const hn_small_box *boxes, size_t rows)
{
    hn_box all = {INFINITY, INFINITY, -INFINITY, -INFINITY};

    for (size_t row = 0; row < rows; row++) {
        if (isnan(boxes[row].min_x))
            continue;
        all.min_x = fmin(all.min_x, boxes[row].min_x);
        all.min_y = fmin(all.min_y, boxes[row].min_y);
        all.max_x = fmax(all.max_x, boxes[row].max_x);
        all.max_y = fmax(all.max_y, boxes[row].max_y);
    }
    return all;
}

static uint32_t cell_of(double low, double high, double begin, double per_unit)
{
    const double last = (1 << CURVE_BITS) - 1;
    const double place = (low / 2 + high / 2 - begin) * per_unit;

    return place <= 0 ? 0 : place >= last ? (uint32_t)last : (uint32_t)place;
}

/* Key in the high half, row in the low half. */
static size_t fill_items(const hn_small_box *boxes, size_t rows, uint64_t *items)
{
    const hn_box all = box_of_all(boxes, rows);
    const double side = fmax(all.max_x - all.min_x, all.max_y - all.min_y);
    const double per_unit = side > 0 ? (1 << CURVE_BITS) / side : 0;
    size_t count = 0;

    for (size_t row = 0; row < rows; row++) {
        const hn_small_box *box = &boxes[row];
        uint32_t x, y;

        if (isnan(box->min_x))
            continue;
        x = cell_of(box->min_x, box->max_x, all.min_x, per_unit);
        y = cell_of(box->min_y, box->max_y, all.min_y, per_unit);
        items[count++] = (uint64_t)curve_place(x, y) << 32 | (uint32_t)row;
    }
    return count;
}

/* One pass of a radix sort; it keeps the order of equal digits. */
static void sort_digit(const uint64_t *from, uint64_t *to, size_t count, int shift)
{
    size_t place[DIGITS + 1] = {0};

    for (size_t i = 0; i < count; i++)
        place[((from[i] >> shift) & (DIGITS - 1)) + 1]++;
    for (int d = 1; d < DIGITS; d++)
        place[d] += place[d - 1];
    for (size_t i = 0; i < count; i++)
        to[place[(from[i] >> shift) & (DIGITS - 1)]++] = from[i];
}

hn_status hn_hilbert_order(const hn_small_box *boxes, size_t rows, uint32_t *order, size_t *count,
                           hn_error *err)
{
    hn_status rc = HN_OK;
    uint64_t *items = hn_alloc(rows, sizeof *items), *other = hn_alloc(rows, sizeof *other);

    HN_TRY_ALLOC(items);
    HN_TRY_ALLOC(other);
    *count = fill_items(boxes, rows, items);
    for (int pass = 0; pass < PASSES; pass++) {
        uint64_t *swap = items;

        sort_digit(items, other, *count, 32 + pass * DIGIT_BITS);
        items = other;
        other = swap;
    }
    for (size_t i = 0; i < *count; i++)
        order[i] = (uint32_t)items[i];
out:
    hn_free(items);
    hn_free(other);
    return rc;
}
