#include "base/sha256.h"

#include "base/sha256_blocks.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

enum { BLOCK = 64, FILE_BYTES = 1 << 16 };

/* Section 4.2.2: first 32 bits of the fractional parts of the cube roots of
 * the first 64 primes; tests/unit/test_sha256.c computes them again. */
const uint32_t hn_sha256_constants[64] = {
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

static int hardware_allowed = 1;

void hn_sha256_allow_hardware(int allowed)
{
    hardware_allowed = allowed;
}

static uint32_t rotated(uint32_t x, int by)
{
    return x >> by | x << (32 - by);
}

static void expand(const unsigned char *bytes, uint32_t w[64])
{
    for (int t = 0; t < 16; t++, bytes += 4)
        w[t] = (uint32_t)bytes[0] << 24 | (uint32_t)bytes[1] << 16 | (uint32_t)bytes[2] << 8 |
               bytes[3];
    for (int t = 16; t < 64; t++) {
        uint32_t a = w[t - 15], b = w[t - 2];

        w[t] = w[t - 16] + (rotated(a, 7) ^ rotated(a, 18) ^ a >> 3) + w[t - 7] +
               (rotated(b, 17) ^ rotated(b, 19) ^ b >> 10);
    }
}

/* Section 6.2.2; s is a to h of the standard. */
static void plain_block(uint32_t state[8], const unsigned char *bytes)
{
    uint32_t w[64], s[8];

    expand(bytes, w);
    memcpy(s, state, sizeof s);
    for (int t = 0; t < 64; t++) {
        uint32_t e = s[4], a = s[0];
        uint32_t t1 = s[7] + (rotated(e, 6) ^ rotated(e, 11) ^ rotated(e, 25)) +
                      ((e & s[5]) ^ (~e & s[6])) + hn_sha256_constants[t] + w[t];
        uint32_t t2 = (rotated(a, 2) ^ rotated(a, 13) ^ rotated(a, 22)) +
                      ((a & s[1]) ^ (a & s[2]) ^ (s[1] & s[2]));

        memmove(s + 1, s, 7 * sizeof *s);
        s[4] += t1;
        s[0] = t1 + t2;
    }
    for (int i = 0; i < 8; i++)
        state[i] += s[i];
}

void hn_sha256_blocks_plain(uint32_t state[8], const unsigned char *bytes, size_t blocks)
{
    for (; blocks > 0; blocks--, bytes += BLOCK)
        plain_block(state, bytes);
}

static void add_blocks(hn_sha256 *hash, const unsigned char *bytes, size_t blocks)
{
    if (hash->use_hardware)
        hn_sha256_blocks_x86(hash->state, bytes, blocks);
    else
        hn_sha256_blocks_plain(hash->state, bytes, blocks);
}

void hn_sha256_begin(hn_sha256 *hash)
{
    static const uint32_t start[8] = {0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a,
                                      0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19};

    memset(hash, 0, sizeof *hash);
    memcpy(hash->state, start, sizeof start);
    hash->use_hardware = hardware_allowed && hn_sha256_has_x86();
}

void hn_sha256_add(hn_sha256 *hash, const void *bytes, size_t count)
{
    const unsigned char *at = bytes;
    size_t held = (size_t)(hash->length % BLOCK);

    hash->length += count;
    if (held > 0) {
        size_t part = count < BLOCK - held ? count : BLOCK - held;

        memcpy(hash->block + held, at, part);
        at += part;
        count -= part;
        if (held + part < BLOCK)
            return;
        add_blocks(hash, hash->block, 1);
    }
    add_blocks(hash, at, count / BLOCK);
    if (count % BLOCK)
        memcpy(hash->block, at + count / BLOCK * BLOCK, count % BLOCK);
}

void hn_sha256_end(hn_sha256 *hash, char hex[HN_SHA256_HEX])
{
    uint64_t bits = hash->length * 8;
    unsigned char tail[BLOCK + 8] = {0x80};
    size_t held = (size_t)(hash->length % BLOCK);
    size_t zeros = (held < 56 ? 56 : 120) - held;

    for (int i = 0; i < 8; i++)
        tail[zeros + (size_t)i] = (unsigned char)(bits >> (56 - 8 * i));
    hn_sha256_add(hash, tail, zeros + 8);
    for (int i = 0; i < 8; i++)
        snprintf(hex + 8 * i, 9, "%08x", hash->state[i]);
}

static hn_status add_file(hn_sha256 *hash, FILE *file, const char *path, hn_error *err)
{
    unsigned char bytes[FILE_BYTES];
    size_t count;

    while ((count = fread(bytes, 1, sizeof bytes, file)) > 0)
        hn_sha256_add(hash, bytes, count);
    if (ferror(file))
        return hn_fail(err, HN_ERR_INPUT, "\"%s\" cannot be read: %s", path, strerror(errno));
    return HN_OK;
}

hn_status hn_sha256_file(const char *path, char hex[HN_SHA256_HEX], hn_error *err)
{
    struct stat info;
    hn_sha256 hash;
    hn_status rc;
    FILE *file;

    hex[0] = '\0';
    if (stat(path, &info) != 0)
        return hn_fail(err, HN_ERR_INPUT, "\"%s\" cannot be read: %s", path, strerror(errno));
    if (!S_ISREG(info.st_mode))
        return hn_fail(err, HN_ERR_INPUT, "\"%s\" is not a file", path);
    file = fopen(path, "rb");
    if (!file)
        return hn_fail(err, HN_ERR_INPUT, "\"%s\" cannot be read: %s", path, strerror(errno));
    hn_sha256_begin(&hash);
    rc = add_file(&hash, file, path, err);
    fclose(file);
    if (rc == HN_OK)
        hn_sha256_end(&hash, hex);
    return rc;
}
