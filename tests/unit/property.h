/* unit/property.h - random cases for laws that must hold everywhere. The
 * generator is seeded and our own, so that a case that fails is found again. */
#ifndef HN_UNIT_PROPERTY_H
#define HN_UNIT_PROPERTY_H

#include "test_util.h"

typedef struct draws {
    uint64_t state;
} draws;

/* Source: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom
 * number generators", OOPSLA 2014 (splitmix64; constants from memory). */
static inline uint64_t draw_bits(draws *d)
{
    uint64_t z = d->state += 0x9e3779b97f4a7c15u;

    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

static inline double draw(draws *d, double low, double high)
{
    return low + (high - low) * ((double)(draw_bits(d) >> 11) * 0x1p-53);
}

/* As many cases between 1 and 10 as between 10 and 100. 0 < low < high. */
static inline double draw_log(draws *d, double low, double high)
{
    return low * pow(high / low, draw(d, 0.0, 1.0));
}

static inline size_t draw_below(draws *d, size_t count)
{
    return (size_t)(draw_bits(d) % count);
}

/* Fails with the numbers of the case. */
#define assert_law(holds, ...)     \
    do {                           \
        if (!(holds))              \
            fail_msg(__VA_ARGS__); \
    } while (0)

#endif
