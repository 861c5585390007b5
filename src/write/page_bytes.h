/* write/page_bytes.h - numbers as an SQLite database file holds them.
 * Source: SQLite documentation, "Database File Format", parts 1.3 and 1.6
 * (big-endian numbers; varints), from memory. */
#ifndef HN_WRITE_PAGE_BYTES_H
#define HN_WRITE_PAGE_BYTES_H

#include <stddef.h>
#include <stdint.h>

enum { HN_MOST_VARINT = 9 };

/* The lowest `bytes` bytes of a value, the highest first. Returns the end. */
static inline unsigned char *hn_put_big_endian(unsigned char *at, uint64_t value, int bytes)
{
    for (int i = bytes - 1; i >= 0; i--)
        *at++ = (unsigned char)(value >> (8 * i));
    return at;
}

static inline uint32_t hn_get_big_endian(const unsigned char *at, int bytes)
{
    uint32_t value = 0;

    for (int i = 0; i < bytes; i++)
        value = value << 8 | at[i];
    return value;
}

/* Bytes of a value below 2^56 as a varint: seven bits a byte. */
static inline size_t hn_varint_size(uint64_t value)
{
    size_t bytes = 1;

    while (value >>= 7)
        bytes++;
    return bytes;
}

static inline unsigned char *hn_put_varint(unsigned char *at, uint64_t value)
{
    size_t bytes;

    if (value < 0x80) {
        *at = (unsigned char)value;
        return at + 1;
    }
    bytes = hn_varint_size(value);
    for (size_t i = bytes; i-- > 0; value >>= 7)
        at[i] = (unsigned char)((value & 0x7f) | (i + 1 < bytes ? 0x80 : 0));
    return at + bytes;
}

#endif
