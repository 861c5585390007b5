#include "read/date_text.h"

#include "base/dates.h"

#include <ctype.h>

int hn_is_date(int year, int month, int day)
{
    int y, m, d;

    if (month < 1 || month > 12 || day < 1 || day > 31 || year < -9999 || year > 9999)
        return 0;
    hn_date_civil(hn_date_days(year, month, day), &y, &m, &d);
    return y == year && m == month && d == day;
}

/* Reads exactly `count` digits. */
static int take_digits(hn_span *text, int count, int *out)
{
    *out = 0;
    if (text->length < (size_t)count)
        return 0;
    for (int i = 0; i < count; i++) {
        if (!isdigit((unsigned char)text->text[i]))
            return 0;
        *out = *out * 10 + (text->text[i] - '0');
    }
    text->text += count;
    text->length -= (size_t)count;
    return 1;
}

static char take_separator(hn_span *text)
{
    char c = text->length ? text->text[0] : '\0';

    if (c != '-' && c != '/')
        return '\0';
    text->text++;
    text->length--;
    return c;
}

/* What follows a date must be nothing, or a time of day. */
static int is_time_or_end(hn_span rest)
{
    if (rest.length == 0)
        return 1;
    return rest.length >= 3 && (rest.text[0] == 'T' || rest.text[0] == ' ') &&
           isdigit((unsigned char)rest.text[1]) && isdigit((unsigned char)rest.text[2]);
}

int hn_date_of_text(hn_span text, int compact, int64_t *days)
{
    int year, month, day = 1;
    char separator;

    if (!take_digits(&text, 4, &year))
        return 0;
    separator = take_separator(&text);
    if ((separator == '\0' && !compact) || !take_digits(&text, 2, &month))
        return 0;
    if (separator == '\0') {
        if (!take_digits(&text, 2, &day))
            return 0;
    } else if (text.length != 0 &&
               (take_separator(&text) != separator || !take_digits(&text, 2, &day))) {
        return 0;
    }
    if (!is_time_or_end(text) || !hn_is_date(year, month, day))
        return 0;
    *days = hn_date_days(year, month, day);
    return 1;
}
