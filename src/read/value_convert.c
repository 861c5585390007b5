#include "read/value_convert.h"

#include "base/dates.h"
#include "read/date_text.h"
#include "read/latin_text.h"
#include "read/number_text.h"
#include "table/codes.h"

#include <math.h>
#include <string.h>
#include <strings.h>

static const struct {
    const char *rule, *message;
} fault_rows[] = {
#define HN_FAULT_ROW(name, rule, message) {rule, message},
    HN_FAULT_LIST(HN_FAULT_ROW)
#undef HN_FAULT_ROW
};

const char *hn_fault_rule(hn_fault fault)
{
    return fault_rows[fault].rule;
}

const char *hn_fault_message(hn_fault fault)
{
    return fault_rows[fault].message;
}

const char *hn_fault_effect(hn_fault fault)
{
    return fault == HN_FAULT_ENCODING ? "read as Windows-1252" : "read as missing";
}

/* ---- results ---- */

void hn_value_missing(hn_value *out, hn_fault fault)
{
    out->missing = 1;
    out->fault = fault;
    out->number = NAN;
    out->text = (hn_span){"", 0};
}

static void set_number(const hn_conversion *how, double number, hn_value *out)
{
    if (!isfinite(number))
        hn_value_missing(out, HN_FAULT_NONE);
    else if (how->sense == HN_POSITIVE && number <= 0)
        hn_value_missing(out, HN_FAULT_NOT_POSITIVE);
    else if (how->sense == HN_NOT_NEGATIVE && number < 0)
        hn_value_missing(out, HN_FAULT_NEGATIVE);
    else
        out->number = number;
}

/* ---- raw value to a plain number, as NUMBER, YEAR, GRADE and FLAG need ---- */

/* "8" with an inch mark is eight inches only when the plan says inches. */
static int mark_agrees(const hn_field_map *map, hn_number_mark mark)
{
    const char *unit = map->unit ? map->unit : "";

    if (mark == HN_MARK_INCH)
        return strcasecmp(unit, "in") == 0;
    return mark == HN_MARK_NONE || strcasecmp(unit, "ft") == 0 || strcasecmp(unit, "us_ft") == 0;
}

/* 1 when *number is set, else *out is set to missing with its fault. */
static int plain_number(const hn_conversion *how, const hn_raw *raw, double *number, hn_value *out)
{
    hn_fault fault = HN_FAULT_NUMBER;
    hn_number_mark mark;

    switch (raw->kind) {
    case HN_RAW_INT:
        *number = (double)raw->i;
        return 1;
    case HN_RAW_REAL:
        *number = raw->r;
        return 1;
    case HN_RAW_TEXT:
        switch (hn_number_text(raw->text, how->comma_is_point, number, &mark)) {
        case HN_NUMBER_READ:
            if (mark_agrees(how->map, mark))
                return 1;
            fault = HN_FAULT_MARK;
            break;
        case HN_NUMBER_MISSING:
            fault = HN_FAULT_NONE;
            break;
        case HN_NUMBER_COMMA:
            fault = HN_FAULT_COMMA;
            break;
        default:
            break;
        }
        break;
    default:
        break;
    }
    hn_value_missing(out, fault);
    return 0;
}

static void read_number(const hn_conversion *how, const hn_raw *raw, hn_value *out)
{
    double number;

    if (plain_number(how, raw, &number, out))
        set_number(how, number * how->factor, out);
}

/* Source grade linearly onto 1 (best) to 5 (worst); 1e-9 absorbs rounding. */
static void read_grade(const hn_conversion *how, const hn_raw *raw, hn_value *out)
{
    const hn_field_map *map = how->map;
    double number, grade;

    if (!plain_number(how, raw, &number, out))
        return;
    grade = map->has_scale ? 1.0 + 4.0 * (number - map->best) / (map->worst - map->best) : number;
    if (!isfinite(number))
        hn_value_missing(out, HN_FAULT_NONE);
    else if (grade < 1.0 - 1e-9 || grade > 5.0 + 1e-9)
        hn_value_missing(out, HN_FAULT_GRADE);
    else
        out->number = fmin(fmax(grade, 1.0), 5.0);
}

static void read_flag(const hn_conversion *how, const hn_raw *raw, hn_value *out)
{
    static const char *const yes[] = {"yes", "y", "true", "t", "ja", "j", "oui", "si", "on", "1"};
    static const char *const no[] = {"no", "n", "false", "f", "nein", "nej", "non", "off", "0"};
    char room[HN_CELL_TEXT_MAX];
    hn_span text = hn_raw_span(raw, room);

    (void)how;
    for (size_t i = 0; i < sizeof yes / sizeof yes[0]; i++)
        if (text.length == strlen(yes[i]) && strncasecmp(text.text, yes[i], text.length) == 0) {
            out->number = 1;
            return;
        }
    for (size_t i = 0; i < sizeof no / sizeof no[0]; i++)
        if (text.length == strlen(no[i]) && strncasecmp(text.text, no[i], text.length) == 0) {
            out->number = 0;
            return;
        }
    hn_value_missing(out, HN_FAULT_FLAG);
}

static void read_shape(const hn_conversion *how, const hn_raw *raw, hn_value *out)
{
    char room[HN_CELL_TEXT_MAX];
    hn_span text = hn_raw_span(raw, room);

    (void)how;
    for (int i = 0; hn_shape_names[i]; i++)
        if (text.length == strlen(hn_shape_names[i]) &&
            strncasecmp(text.text, hn_shape_names[i], text.length) == 0) {
            out->number = i;
            return;
        }
    hn_value_missing(out, HN_FAULT_SHAPE);
}

/* ---- dates and years ---- */

static int64_t floor_days(double epoch_ms)
{
    return (int64_t)floor(epoch_ms / 86400000.0);
}

/* Days of a cell in the form the plan declares; 0 when it is none. A bare
 * year counts as its first day. */
static int days_of_raw(const hn_conversion *how, const hn_raw *raw, int64_t *days)
{
    hn_date_format format = how->map->date_format;
    double number;
    hn_value unused;

    if (raw->kind == HN_RAW_DATE) {
        *days = raw->i;
        return 1;
    }
    if (format == HN_DATE_EPOCH_MS || format == HN_DATE_YEAR) {
        if (!plain_number(how, raw, &number, &unused) || !(fabs(number) < 1e14))
            return 0;
        *days = format == HN_DATE_YEAR ? hn_date_days((int)fmin(fmax(number, 0), 9999), 1, 1)
                                       : floor_days(number);
        return 1;
    }
    if (raw->kind == HN_RAW_TEXT)
        return hn_date_of_text(raw->text, format == HN_DATE_ISO, days);
    if (raw->kind == HN_RAW_INT && format == HN_DATE_ISO) {
        char room[HN_CELL_TEXT_MAX];

        return hn_date_of_text(hn_raw_span(raw, room), 1, days);
    }
    return 0;
}

static int year_of_days(int64_t days)
{
    int year, month, day;

    hn_date_civil((int32_t)days, &year, &month, &day);
    return year;
}

static void read_date(const hn_conversion *how, const hn_raw *raw, hn_value *out)
{
    int64_t days;
    int year;

    if (!days_of_raw(how, raw, &days)) {
        hn_value_missing(out, HN_FAULT_DATE);
        return;
    }
    year = year_of_days(days);
    if (year < HN_YEAR_MIN || year > HN_YEAR_MAX)
        hn_value_missing(out, HN_FAULT_DATE);
    else
        out->number = (double)days;
}

/* A year is a plain number unless the plan names another form; a date gives
 * its year. */
static void read_year(const hn_conversion *how, const hn_raw *raw, hn_value *out)
{
    hn_date_format format = how->map->date_format;
    double year = NAN;
    int64_t days;

    if ((format == HN_DATE_AUTO || format == HN_DATE_YEAR) && raw->kind != HN_RAW_DATE &&
        plain_number(how, raw, &year, out)) {
        if (!isfinite(year)) {
            hn_value_missing(out, HN_FAULT_NONE);
            return;
        }
    } else if (days_of_raw(how, raw, &days)) {
        year = year_of_days(days);
    } else if (raw->kind == HN_RAW_TEXT && out->missing && out->fault == HN_FAULT_NONE) {
        return; /* "nan" */
    }
    if (!(year >= HN_YEAR_MIN && year <= HN_YEAR_MAX)) {
        hn_value_missing(out, HN_FAULT_YEAR);
        return;
    }
    *out = (hn_value){.number = year, .text = {"", 0}};
}

/* ---- texts ---- */

static void read_text(hn_conversion *how, const hn_raw *raw, hn_value *out)
{
    if (raw->kind == HN_RAW_REAL && !isfinite(raw->r)) {
        hn_value_missing(out, HN_FAULT_NONE);
        return;
    }
    out->text = hn_raw_span(raw, how->room);
    if (out->text.length == 0) {
        hn_value_missing(out, HN_FAULT_NONE);
    } else if (!hn_is_utf8(out->text)) {
        out->fault = HN_FAULT_ENCODING;
        out->text = hn_utf8_of_latin(out->text, how->recoded, sizeof how->recoded);
    }
}

void hn_convert(hn_conversion *how, const hn_raw *raw, hn_value *out)
{
    switch (how->kind) {
    case HN_VALUE_TEXT:
        read_text(how, raw, out);
        break;
    case HN_VALUE_NUMBER:
        read_number(how, raw, out);
        break;
    case HN_VALUE_YEAR:
        read_year(how, raw, out);
        break;
    case HN_VALUE_DATE:
        read_date(how, raw, out);
        break;
    case HN_VALUE_GRADE:
        read_grade(how, raw, out);
        break;
    case HN_VALUE_FLAG:
        read_flag(how, raw, out);
        break;
    case HN_VALUE_SHAPE:
        read_shape(how, raw, out);
        break;
    }
}
