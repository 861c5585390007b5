/* base/radix.h - stable sort of (key, value) pairs by rising 64-bit key, one
 * byte at a time from the low end; bytes that are the same everywhere cost one
 * look. n log n never comes into it, and equal keys keep their order. */
#ifndef HN_BASE_RADIX_H
#define HN_BASE_RADIX_H

#include <stddef.h>
#include <stdint.h>
#include <string.h>

/* The key in halves: 12 bytes and not 16, since there is one for each row. */
typedef struct hn_keyed {
    uint32_t low, high, value;
} hn_keyed;

static inline hn_keyed hn_keyed_of(uint64_t key, uint32_t value)
{
    return (hn_keyed){(uint32_t)key, (uint32_t)(key >> 32), value};
}

static inline uint64_t hn_key_in(const hn_keyed *item)
{
    return (uint64_t)item->high << 32 | item->low;
}

/* 0 when memory for a second array of the same size cannot be had; the items
 * are then unchanged. */
int hn_radix_sort(hn_keyed *items, size_t count);

/* Key that orders doubles: smaller number, smaller key; NaN after all others. */
static inline uint64_t hn_key_of_double(double value)
{
    uint64_t bits;

    if (value != value)
        return UINT64_MAX;
    value += 0.0; /* the two zeros are one */
    memcpy(&bits, &value, sizeof bits);
    return bits >> 63 ? ~bits : bits | (uint64_t)1 << 63;
}

/* The other way round: greater number first, NaN still last. */
static inline uint64_t hn_key_falling(double value)
{
    return value != value ? UINT64_MAX : ~hn_key_of_double(value);
}

#endif
