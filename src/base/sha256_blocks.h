/* base/sha256_blocks.h - the compression function, in plain C and with the
 * instructions of x86 processors, five to ten times faster. */
#ifndef HN_BASE_SHA256_BLOCKS_H
#define HN_BASE_SHA256_BLOCKS_H

#include <stddef.h>
#include <stdint.h>

extern const uint32_t hn_sha256_constants[64];

void hn_sha256_blocks_plain(uint32_t state[8], const unsigned char *bytes, size_t blocks);

/* 1 when this processor has them; then hn_sha256_blocks_x86 may be called. */
int hn_sha256_has_x86(void);
void hn_sha256_blocks_x86(uint32_t state[8], const unsigned char *bytes, size_t blocks);

#endif
