#include "base/sha256_blocks.h"

#if defined(__x86_64__)

#include <cpuid.h>
#include <immintrin.h>

/* CPUID leaf 7, EBX bit 29: SHA extensions; leaf 1, ECX bits 9 and 19: SSSE3
 * and SSE4.1. Source: Intel 64 and IA-32 Software Developer's Manual, vol. 2A,
 * CPUID; from memory. */
int hn_sha256_has_x86(void)
{
    unsigned a, b, c, d;

    if (!__get_cpuid(1, &a, &b, &c, &d) || !(c >> 9 & 1) || !(c >> 19 & 1))
        return 0;
    return __get_cpuid_count(7, 0, &a, &b, &c, &d) && (b >> 29 & 1);
}

/* The instructions want the state as two words ABEF and CDGH. */
#define TARGET __attribute__((target("sha,sse4.1,ssse3")))

static TARGET __m128i load_words(const unsigned char *bytes)
{
    const __m128i swap = _mm_set_epi64x(0x0c0d0e0f08090a0bLL, 0x0405060700010203LL);

    return _mm_shuffle_epi8(_mm_loadu_si128((const __m128i *)(const void *)bytes), swap);
}

/* Four rounds at a time; words[g] becomes the words of sixteen rounds later. */
static TARGET void one_block(__m128i *abef, __m128i *cdgh, const unsigned char *bytes)
{
    __m128i words[4], sum, s0 = *abef, s1 = *cdgh;

    for (int g = 0; g < 4; g++)
        words[g] = load_words(bytes + 16 * g);
    for (int g = 0; g < 16; g++) {
        const __m128i *k = (const __m128i *)(const void *)(hn_sha256_constants + 4 * g);
        __m128i w1 = words[(g + 1) & 3], w2 = words[(g + 2) & 3], w3 = words[(g + 3) & 3];

        sum = _mm_add_epi32(words[g & 3], _mm_loadu_si128(k));
        s1 = _mm_sha256rnds2_epu32(s1, s0, sum);
        s0 = _mm_sha256rnds2_epu32(s0, s1, _mm_shuffle_epi32(sum, 0x0e));
        words[g & 3] = _mm_sha256msg2_epu32(
            _mm_add_epi32(_mm_sha256msg1_epu32(words[g & 3], w1), _mm_alignr_epi8(w3, w2, 4)), w3);
    }
    *abef = _mm_add_epi32(*abef, s0);
    *cdgh = _mm_add_epi32(*cdgh, s1);
}

TARGET void hn_sha256_blocks_x86(uint32_t state[8], const unsigned char *bytes, size_t blocks)
{
    __m128i dcba = _mm_loadu_si128((const __m128i *)(const void *)state);
    __m128i hgfe = _mm_loadu_si128((const __m128i *)(const void *)(state + 4));
    __m128i cdab = _mm_shuffle_epi32(dcba, 0xb1), efgh = _mm_shuffle_epi32(hgfe, 0x1b);
    __m128i abef = _mm_alignr_epi8(cdab, efgh, 8), cdgh = _mm_blend_epi16(efgh, cdab, 0xf0);
    __m128i feba, dchg;

    for (; blocks > 0; blocks--, bytes += 64)
        one_block(&abef, &cdgh, bytes);
    feba = _mm_shuffle_epi32(abef, 0x1b);
    dchg = _mm_shuffle_epi32(cdgh, 0xb1);
    _mm_storeu_si128((__m128i *)(void *)state, _mm_blend_epi16(feba, dchg, 0xf0));
    _mm_storeu_si128((__m128i *)(void *)(state + 4), _mm_alignr_epi8(dchg, feba, 8));
}

#else

int hn_sha256_has_x86(void)
{
    return 0;
}

void hn_sha256_blocks_x86(uint32_t state[8], const unsigned char *bytes, size_t blocks)
{
    hn_sha256_blocks_plain(state, bytes, blocks);
}

#endif
