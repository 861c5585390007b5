#include "read/latin_text.h"

/* Code points of bytes 0x80 to 0x9F. Source: Unicode Consortium, mapping
 * table CP1252.TXT (from memory); the five unused bytes map to U+FFFD. */
static const unsigned short upper_controls[32] = {
    0x20ac, 0xfffd, 0x201a, 0x0192, 0x201e, 0x2026, 0x2020, 0x2021, 0x02c6, 0x2030, 0x0160,
    0x2039, 0x0152, 0xfffd, 0x017d, 0xfffd, 0xfffd, 0x2018, 0x2019, 0x201c, 0x201d, 0x2022,
    0x2013, 0x2014, 0x02dc, 0x2122, 0x0161, 0x203a, 0x0153, 0xfffd, 0x017e, 0x0178};

/* Length of a well-formed sequence at `s`, 0 when it is none. Source: RFC
 * 3629, section 4. */
static size_t sequence_at(const unsigned char *s, size_t left)
{
    size_t n = s[0] < 0x80 ? 1 : s[0] < 0xc2 ? 0 : s[0] < 0xe0 ? 2 : s[0] < 0xf0 ? 3 : 4;

    if (n == 0 || n > left || s[0] > 0xf4)
        return 0;
    for (size_t i = 1; i < n; i++)
        if ((s[i] & 0xc0) != 0x80)
            return 0;
    if ((s[0] == 0xe0 && s[1] < 0xa0) || (s[0] == 0xed && s[1] > 0x9f) ||
        (s[0] == 0xf0 && s[1] < 0x90) || (s[0] == 0xf4 && s[1] > 0x8f))
        return 0;
    return n;
}

int hn_is_utf8(hn_span text)
{
    const unsigned char *s = (const unsigned char *)text.text;
    size_t n;

    for (size_t i = 0; i < text.length; i += n) {
        n = s[i] < 0x80 ? 1 : sequence_at(s + i, text.length - i);
        if (n == 0)
            return 0;
    }
    return 1;
}

hn_span hn_utf8_of_latin(hn_span text, char *room, size_t size)
{
    size_t used = 0;

    for (size_t i = 0; i < text.length && used + 3 < size; i++) {
        unsigned c = (unsigned char)text.text[i];

        if (c >= 0x80 && c < 0xa0)
            c = upper_controls[c - 0x80];
        if (c < 0x80) {
            room[used++] = (char)c;
        } else if (c < 0x800) {
            room[used++] = (char)(0xc0 | c >> 6);
            room[used++] = (char)(0x80 | (c & 0x3f));
        } else {
            room[used++] = (char)(0xe0 | c >> 12);
            room[used++] = (char)(0x80 | (c >> 6 & 0x3f));
            room[used++] = (char)(0x80 | (c & 0x3f));
        }
    }
    return (hn_span){room, used};
}
