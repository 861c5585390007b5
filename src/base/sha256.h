/* base/sha256.h - SHA-256, so that a run log can say exactly which files it
 * read. Source: NIST FIPS 180-4 (2015), sections 4.1.2, 4.2.2, 5.3.3, 6.2. */
#ifndef HN_BASE_SHA256_H
#define HN_BASE_SHA256_H

#include "base/status.h"

#include <stddef.h>
#include <stdint.h>

enum { HN_SHA256_HEX = 65 }; /* 64 digits and NUL */

typedef struct hn_sha256 {
    uint32_t state[8];
    uint64_t length; /* bytes so far */
    unsigned char block[64];
    int use_hardware;
} hn_sha256;

void hn_sha256_begin(hn_sha256 *hash);
void hn_sha256_add(hn_sha256 *hash, const void *bytes, size_t count);
/* Small hex digits. The object may begin again afterwards. */
void hn_sha256_end(hn_sha256 *hash, char hex[HN_SHA256_HEX]);

/* Of a regular file. Errors: HN_ERR_INPUT when it cannot be read. */
HN_MUST_CHECK hn_status hn_sha256_file(const char *path, char hex[HN_SHA256_HEX], hn_error *err);

/* Test hook: 0 leaves the processor's own instructions unused. */
void hn_sha256_allow_hardware(int allowed);

#endif
