/* base/dates.h - days since 1970-01-01 in the proleptic Gregorian calendar.
 * Source: H. Hinnant, "chrono-Compatible Low-Level Date Algorithms" (2013),
 * days_from_civil and civil_from_days (the arithmetic, from memory). */
#ifndef HN_BASE_DATES_H
#define HN_BASE_DATES_H

#include <stdint.h>

enum { HN_DATE_TEXT = 16 };

int32_t hn_date_days(int year, int month, int day);
void hn_date_civil(int32_t days, int *year, int *month, int *day);
/* "2026-01-31"; years outside 0-9999 are written as they are. */
void hn_date_text(int32_t days, char out[HN_DATE_TEXT]);
/* 1 when the text is a valid date YYYY-MM-DD (a time may follow), else 0. */
int hn_date_parse(const char *text, int32_t *days);
/* 2026-07-02 -> 2026.499...: year + (day of the year - 1) / days in the year. */
double hn_date_year(int32_t days);

#endif
