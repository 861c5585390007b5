#include "base/radix.h"

#include "base/alloc.h"

enum { DIGITS = 8, VALUES = 256 };

static void count_bytes(const hn_keyed *items, size_t n, size_t counts[DIGITS][VALUES])
{
    memset(counts, 0, DIGITS * sizeof *counts);
    for (size_t i = 0; i < n; i++) {
        uint64_t key = hn_key_in(&items[i]);

        for (int d = 0; d < DIGITS; d++)
            counts[d][key >> (8 * d) & 255]++;
    }
}

static void spread(const hn_keyed *from, hn_keyed *to, size_t n, int digit, size_t counts[VALUES])
{
    size_t at = 0;

    for (int v = 0; v < VALUES; v++) {
        size_t here = counts[v];

        counts[v] = at;
        at += here;
    }
    for (size_t i = 0; i < n; i++)
        to[counts[hn_key_in(&from[i]) >> (8 * digit) & 255]++] = from[i];
}

int hn_radix_sort(hn_keyed *items, size_t n)
{
    size_t counts[DIGITS][VALUES];
    hn_keyed *room, *from = items, *to;

    if (n < 2)
        return 1;
    room = to = hn_alloc(n, sizeof *room);
    if (!room)
        return 0;
    count_bytes(items, n, counts);
    for (int d = 0; d < DIGITS; d++) {
        hn_keyed *other = from;

        if (counts[d][hn_key_in(&items[0]) >> (8 * d) & 255] == n)
            continue;
        spread(from, to, n, d, counts[d]);
        from = to;
        to = other;
    }
    if (from != items)
        memcpy(items, from, n * sizeof *items);
    hn_free(room);
    return 1;
}
