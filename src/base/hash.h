/* base/hash.h - a fast 64-bit hash for tables inside one run. Not for
 * checksums that a person compares (see base/sha256.h). */
#ifndef HN_BASE_HASH_H
#define HN_BASE_HASH_H

#include <stddef.h>
#include <stdint.h>
#include <string.h>

/* Final mixing step of the 64-bit MurmurHash3. Source: A. Appleby,
 * MurmurHash3 (public domain), fmix64; constants from memory. */
static inline uint64_t hn_hash_mix(uint64_t h)
{
    h ^= h >> 33;
    h *= 0xff51afd7ed558ccdULL;
    h ^= h >> 33;
    h *= 0xc4ceb9fe1a85ec53ULL;
    return h ^ (h >> 33);
}

static inline uint64_t hn_hash_bytes(const char *bytes, size_t length)
{
    uint64_t h = 0x9e3779b97f4a7c15ULL ^ length;
    uint64_t word;

    for (; length >= 8; length -= 8, bytes += 8) {
        memcpy(&word, bytes, 8);
        h = hn_hash_mix(h ^ word);
    }
    word = 0;
    memcpy(&word, bytes, length);
    return hn_hash_mix(h ^ word);
}

#endif
