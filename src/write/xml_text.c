/* write/xml_text.c - any bytes as XML character data. */
#include "write/text_out.h"

/* The second byte's range keeps out overlong forms and surrogates. */
size_t hn_utf8_length(const char *text)
{
    const unsigned char *at = (const unsigned char *)text;
    unsigned char lead = at[0], low = 0x80, high = 0xBF;
    size_t length = lead < 0x80                   ? 1
                    : lead >= 0xC2 && lead < 0xE0 ? 2
                    : lead >= 0xE0 && lead < 0xF0 ? 3
                    : lead >= 0xF0 && lead < 0xF5 ? 4
                                                  : 0;

    if (lead == 0xE0)
        low = 0xA0;
    else if (lead == 0xED)
        high = 0x9F;
    else if (lead == 0xF0)
        low = 0x90;
    else if (lead == 0xF4)
        high = 0x8F;
    if (length > 1 && (at[1] < low || at[1] > high))
        return 0;
    for (size_t i = 2; i < length; i++)
        if ((at[i] & 0xC0) != 0x80)
            return 0;
    return length;
}

static const char *entity_of(unsigned char c)
{
    switch (c) {
    case '&':
        return "&amp;";
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '"':
        return "&quot;";
    case '\r':
        return "&#13;"; /* a bare one would be read back as a line feed */
    default:
        return NULL;
    }
}

/* U+FFFE and U+FFFF are the only forbidden characters above the controls. */
static int is_forbidden(const unsigned char *at, size_t length)
{
    if (length == 1)
        return at[0] < 0x20 && at[0] != '\t' && at[0] != '\n' && at[0] != '\r';
    return length == 3 && at[0] == 0xEF && at[1] == 0xBF && at[2] >= 0xBE;
}

void hn_put_xml_cut(hn_out *out, const char *text, size_t most_bytes)
{
    const unsigned char *at = (const unsigned char *)text;
    size_t done = 0;

    while (at[done]) {
        const size_t length = hn_utf8_length(text + done);
        const char *entity = length == 1 ? entity_of(at[done]) : NULL;

        if (done + (length ? length : 1) > most_bytes)
            return;
        if (entity)
            hn_put_text(out, entity);
        else if (length == 0)
            hn_put_text(out, "\xEF\xBF\xBD");
        else if (!is_forbidden(at + done, length))
            hn_put_bytes(out, text + done, length);
        done += length ? length : 1;
    }
}

void hn_put_xml(hn_out *out, const char *text)
{
    hn_put_xml_cut(out, text, SIZE_MAX);
}
