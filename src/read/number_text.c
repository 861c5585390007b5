#include "read/number_text.h"

#include <cpl_conv.h>
#include <ctype.h>
#include <math.h>
#include <string.h>
#include <strings.h>

enum { LONGEST = 63 };

static int ends_with(hn_span text, const char *end)
{
    size_t length = strlen(end);

    return text.length > length && memcmp(text.text + text.length - length, end, length) == 0;
}

static hn_span cut_mark(hn_span text, hn_number_mark *mark)
{
    static const struct {
        const char *sign;
        hn_number_mark mark;
    } signs[] = {
        {"\"", HN_MARK_INCH},           {"''", HN_MARK_INCH}, {"\xe2\x80\xb3", HN_MARK_INCH},
        {"\xe2\x80\x9d", HN_MARK_INCH}, {"'", HN_MARK_FOOT},  {"\xe2\x80\xb2", HN_MARK_FOOT},
    };

    *mark = HN_MARK_NONE;
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++)
        if (ends_with(text, signs[i].sign)) {
            *mark = signs[i].mark;
            return hn_trim(text.text, text.length - strlen(signs[i].sign));
        }
    return text;
}

static size_t digits_at(const char *text)
{
    size_t n = 0;

    while (isdigit((unsigned char)text[n]))
        n++;
    return n;
}

/* Bytes of a plain decimal number without sign, 0 when there is none. */
static size_t decimal_at(const char *text)
{
    size_t whole = digits_at(text), n = whole, part = 0, e;

    if (text[n] == '.') {
        part = digits_at(text + n + 1);
        n += 1 + part;
    }
    if (whole + part == 0)
        return 0;
    if (text[n] == 'e' || text[n] == 'E') {
        e = n + 1 + (text[n + 1] == '+' || text[n + 1] == '-');
        if (digits_at(text + e))
            n = e + digits_at(text + e);
    }
    return n;
}

/* "3/8" of at most six digits each, value through *out. */
static size_t fraction_at(const char *text, double *out)
{
    size_t above = digits_at(text), below;

    if (above == 0 || above > 6 || text[above] != '/')
        return 0;
    below = digits_at(text + above + 1);
    if (below == 0 || below > 6 || CPLAtof(text + above + 1) == 0)
        return 0;
    *out = CPLAtof(text) / CPLAtof(text + above + 1);
    return above + 1 + below;
}

/* "1 1/2", "1-1/2". */
static size_t mixed_at(const char *text, double *out)
{
    size_t whole = digits_at(text), part;
    double share;

    if (whole == 0 || whole > 9 || (text[whole] != ' ' && text[whole] != '-'))
        return 0;
    part = fraction_at(text + whole + 1, &share);
    if (part == 0)
        return 0;
    *out = CPLAtof(text) + share;
    return whole + 1 + part;
}

static size_t magnitude_at(const char *text, double *out)
{
    size_t n = mixed_at(text, out);

    if (n == 0)
        n = fraction_at(text, out);
    if (n == 0 && (n = decimal_at(text)) != 0)
        *out = CPLAtof(text);
    return n;
}

static int is_not_finite_word(const char *text)
{
    static const char *const words[] = {"nan", "inf", "infinity", "-nan", "nan(ind)"};

    text += text[0] == '-' || text[0] == '+';
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (strcasecmp(text, words[i]) == 0)
            return 1;
    return 0;
}

hn_number_result hn_number_text(hn_span text, int comma_is_point, double *out, hn_number_mark *mark)
{
    char copy[LONGEST + 1], *comma;
    size_t sign, n;

    text = cut_mark(text, mark);
    if (text.length == 0)
        return HN_NUMBER_MISSING;
    if (text.length > LONGEST)
        return HN_NUMBER_NONE;
    memcpy(copy, text.text, text.length);
    copy[text.length] = '\0';
    comma = strchr(copy, ',');
    if (comma && comma_is_point && !strchr(comma + 1, ',') && !strchr(copy, '.'))
        *comma = '.';
    else if (comma && strspn(copy, "+-0123456789., ") == text.length)
        return HN_NUMBER_COMMA;
    sign = copy[0] == '-' || copy[0] == '+';
    n = magnitude_at(copy + sign, out);
    if (n == 0)
        return is_not_finite_word(copy) ? HN_NUMBER_MISSING : HN_NUMBER_NONE;
    if (sign + n != text.length || !isfinite(*out))
        return HN_NUMBER_NONE;
    if (copy[0] == '-')
        *out = -*out;
    return HN_NUMBER_READ;
}
