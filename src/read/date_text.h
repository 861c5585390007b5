/* read/date_text.h - a date as people write it in a table cell; the calendar
 * is base/dates.h. */
#ifndef HN_READ_DATE_TEXT_H
#define HN_READ_DATE_TEXT_H

#include "read/cell_text.h"

#include <stdint.h>

/* Years outside [1500, 2200] are taken for mistakes. Local rule. */
enum { HN_YEAR_MIN = 1500, HN_YEAR_MAX = 2200 };

/* 1 when there is such a day. */
int hn_is_date(int year, int month, int day);

/* 2019-05-31, 2019/05/31, 2019-05 (its first day); with `compact` also
 * 20190531. A time of day behind a blank or T is passed over. Returns 0 when
 * the text is no such date. */
int hn_date_of_text(hn_span text, int compact, int64_t *days);

#endif
