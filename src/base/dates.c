#include "base/dates.h"

#include <stdio.h>

int32_t hn_date_days(int year, int month, int day)
{
    int y = year - (month <= 2);
    int era = (y >= 0 ? y : y - 399) / 400;
    int year_of_era = y - era * 400;
    int day_of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    int day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;

    return era * 146097 + day_of_era - 719468;
}

void hn_date_civil(int32_t days, int *year, int *month, int *day)
{
    int z = days + 719468;
    int era = (z >= 0 ? z : z - 146096) / 146097;
    int day_of_era = z - era * 146097;
    int year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
    int day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    int shifted = (5 * day_of_year + 2) / 153;

    *day = day_of_year - (153 * shifted + 2) / 5 + 1;
    *month = shifted < 10 ? shifted + 3 : shifted - 9;
    *year = year_of_era + era * 400 + (*month <= 2);
}

void hn_date_text(int32_t days, char out[HN_DATE_TEXT])
{
    int year, month, day;

    hn_date_civil(days, &year, &month, &day);
    snprintf(out, HN_DATE_TEXT, "%04d-%02d-%02d", year, month, day);
}

static int take_digits(const char **at, int count, int *value)
{
    *value = 0;
    for (int i = 0; i < count; i++, (*at)++) {
        if (**at < '0' || **at > '9')
            return 0;
        *value = *value * 10 + (**at - '0');
    }
    return 1;
}

int hn_date_parse(const char *text, int32_t *days)
{
    int year, month, day, y, m, d;

    if (!take_digits(&text, 4, &year) || (*text != '-' && *text != '/') || !text++ ||
        !take_digits(&text, 2, &month) || (*text != '-' && *text != '/') || !text++ ||
        !take_digits(&text, 2, &day))
        return 0;
    if (*text != '\0' && *text != 'T' && *text != ' ')
        return 0;
    *days = hn_date_days(year, month, day);
    hn_date_civil(*days, &y, &m, &d);
    return y == year && m == month && d == day;
}

double hn_date_year(int32_t days)
{
    int year, month, day;
    int32_t first;

    hn_date_civil(days, &year, &month, &day);
    first = hn_date_days(year, 1, 1);
    return year + (double)(days - first) / (double)(hn_date_days(year + 1, 1, 1) - first);
}
