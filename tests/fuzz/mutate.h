/* fuzz/mutate.h - seeded changes of the corpus, so that every test run looks at
 * some thousands of inputs that nobody wrote, always the same ones. */
#ifndef HN_FUZZ_MUTATE_H
#define HN_FUZZ_MUTATE_H

#include <stddef.h>
#include <stdint.h>
#include <string.h>

enum { MUTANT_MAX_BYTES = 1 << 16 };

typedef struct seed_input {
    const uint8_t *bytes;
    size_t size;
} seed_input;

/* Source: splitmix64, as in unit/property.h. */
static uint64_t mutate_state = 20260101;

static size_t mutate_below(size_t count)
{
    uint64_t z = mutate_state += 0x9e3779b97f4a7c15u;

    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return (size_t)((z ^ (z >> 31)) % count);
}

/* What text and numbers stumble over. */
static const char *const mutate_words[] = {"",
                                           "0",
                                           "-1",
                                           "nan",
                                           "inf",
                                           "-inf",
                                           "1e308",
                                           "1e-308",
                                           "1e999",
                                           "0x1p3",
                                           "3,14",
                                           ",",
                                           ";",
                                           "\"",
                                           "\n",
                                           "\r\n",
                                           "\t",
                                           "{",
                                           "}",
                                           "{limit}",
                                           "'",
                                           "\xff",
                                           "\xc3",
                                           "\xef\xbb\xbf",
                                           "99999999999999999999",
                                           "- ",
                                           ": ",
                                           "[]"};

/* Replaces `cut` bytes at `at` by `add` bytes of `from`; too long: unchanged. */
static size_t mutate_splice(uint8_t *bytes, size_t size, size_t at, size_t cut, const uint8_t *from,
                            size_t add)
{
    if (size - cut + add > MUTANT_MAX_BYTES)
        return size;
    memmove(bytes + at + add, bytes + at + cut, size - at - cut);
    memcpy(bytes + at, from, add);
    return size - cut + add;
}

static size_t mutate_once(uint8_t *bytes, size_t size, const seed_input *other)
{
    uint8_t part[64];
    const size_t at = mutate_below(size + 1), rest = size - at;
    const size_t cut = rest ? mutate_below(rest < sizeof part ? rest : sizeof part) : 0;
    const char *word = mutate_words[mutate_below(sizeof mutate_words / sizeof *mutate_words)];
    const size_t from = other->size ? mutate_below(other->size) : 0;
    const size_t left = other->size - from;

    switch (mutate_below(6)) {
    case 0: /* one bit */
        if (rest)
            bytes[at] ^= (uint8_t)(1u << mutate_below(8));
        return size;
    case 1: /* one byte */
        if (rest)
            bytes[at] = (uint8_t)mutate_below(256);
        return size;
    case 2: /* less */
        return mutate_splice(bytes, size, at, cut, part, 0);
    case 3: /* the same once more */
        memcpy(part, bytes + at, cut);
        return mutate_splice(bytes, size, at, 0, part, cut);
    case 4: /* a word in place of something */
        return mutate_splice(bytes, size, at, cut < 8 ? cut : 0, (const uint8_t *)word,
                             strlen(word));
    default: /* a piece of another input */
        return mutate_splice(bytes, size, at, cut, other->bytes + from,
                             left < sizeof part ? left : sizeof part);
    }
}

/* A changed copy of one of the inputs, in `bytes` (MUTANT_MAX_BYTES). */
static size_t mutate(const seed_input *inputs, size_t count, uint8_t *bytes)
{
    const seed_input *one = &inputs[mutate_below(count)];
    size_t size = one->size < MUTANT_MAX_BYTES ? one->size : MUTANT_MAX_BYTES;

    memcpy(bytes, one->bytes, size);
    for (size_t changes = 1 + mutate_below(6); changes > 0; changes--)
        size = mutate_once(bytes, size, &inputs[mutate_below(count)]);
    return size;
}

#endif
