/* write/text_out.h - a big buffer that text is formatted into.
 *
 * The buffer empties itself into a sink (a file, a member of a zip file) or,
 * without a sink, grows. A failure is remembered, not returned: rows are
 * formatted without a check per cell, and the writer looks at `error` per row
 * and at the end.
 */
#ifndef HN_WRITE_TEXT_OUT_H
#define HN_WRITE_TEXT_OUT_H

#include <stddef.h>
#include <stdint.h>
#include <string.h>

/* Takes all the bytes or returns an errno value. */
typedef int (*hn_sink_fn)(void *handle, const char *bytes, size_t count);

typedef struct hn_out {
    char *data;
    size_t used, size;
    hn_sink_fn sink;
    void *handle;
    int error; /* errno value of the first failure, 0 while all is well */
} hn_out;

/* 0 when out of memory. hn_out_clear is safe either way. */
int hn_out_init(hn_out *out, size_t size, hn_sink_fn sink, void *handle);
void hn_out_clear(hn_out *out);
/* Empties the buffer into the sink. Returns `error`. */
int hn_out_flush(hn_out *out);

/* For hn_out_room alone. */
char *hn_out_make_room(hn_out *out, size_t count);

/* Place for `count` bytes, or NULL when out of memory. Move on by adding what
 * was written to out->used. */
static inline char *hn_out_room(hn_out *out, size_t count)
{
    if (out->size - out->used >= count)
        return out->data + out->used;
    return hn_out_make_room(out, count);
}

static inline void hn_put_bytes(hn_out *out, const char *bytes, size_t count)
{
    char *at = hn_out_room(out, count);

    if (!at)
        return;
    memcpy(at, bytes, count);
    out->used += count;
}

static inline void hn_put_char(hn_out *out, char c)
{
    char *at = hn_out_room(out, 1);

    if (!at)
        return;
    *at = c;
    out->used++;
}

static inline void hn_put_text(hn_out *out, const char *text)
{
    hn_put_bytes(out, text, strlen(text));
}

/* Whole number in decimal digits. */
void hn_put_int(hn_out *out, int64_t value);

/* Decimal number with exactly `decimals` digits (0 to 15) after a point, on
 * every locale. A half is rounded away from zero; a value within one unit in
 * the last place below a half counts as a half, so that 1.005, which no double
 * holds exactly, gives 1.01. Never "-0". The value must be finite.
 * Source: local rule. */
void hn_put_fixed(hn_out *out, double value, int decimals);

/* ISO 8601 date YYYY-MM-DD of days since 1970-01-01. The first form gives the
 * length and no NUL; both are many times faster than printf. */
enum { HN_DATE_DIGITS = 32 };
size_t hn_date_digits(int64_t days, char out[HN_DATE_DIGITS]);
void hn_put_date(hn_out *out, int64_t days);

/* Bytes of the UTF-8 character that the text begins with, 1 to 4; 0 when they are
 * not one. Source: RFC 3629 (2003), section 4. */
size_t hn_utf8_length(const char *text);

/* Text as XML character data, fit for element and attribute: markup is
 * escaped, characters that XML 1.0 forbids are left out, bytes that are not
 * UTF-8 become U+FFFD. Source: W3C, XML 1.0 (5th edition), production 2. */
void hn_put_xml(hn_out *out, const char *text);
/* The same, cut to at most `most_bytes` bytes of text at a whole character. */
void hn_put_xml_cut(hn_out *out, const char *text, size_t most_bytes);

#endif
