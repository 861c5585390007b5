#include "write/text_out.h"

#include "base/alloc.h"
#include "base/dates.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>

enum { NUMBER_ROOM = 512, MOST_DECIMALS = 15 };

int hn_out_init(hn_out *out, size_t size, hn_sink_fn sink, void *handle)
{
    *out = (hn_out){.size = size, .sink = sink, .handle = handle};
    out->data = hn_alloc(size, 1);
    if (!out->data)
        out->size = 0;
    return out->data != NULL;
}

void hn_out_clear(hn_out *out)
{
    hn_free(out->data);
    *out = (hn_out){0};
}

int hn_out_flush(hn_out *out)
{
    if (out->sink && !out->error && out->used)
        out->error = out->sink(out->handle, out->data, out->used);
    if (out->sink)
        out->used = 0;
    return out->error;
}

char *hn_out_make_room(hn_out *out, size_t count)
{
    size_t wanted;
    char *grown;

    hn_out_flush(out);
    if (out->size - out->used >= count)
        return out->data + out->used;
    wanted = out->used + count;
    grown = hn_realloc(out->data, wanted + wanted / 2, 1);
    if (!grown) {
        out->error = ENOMEM;
        return NULL;
    }
    out->data = grown;
    out->size = wanted + wanted / 2;
    return out->data + out->used;
}

static const char digit_pairs[] = "00010203040506070809101112131415161718192021222324"
                                  "25262728293031323334353637383940414243444546474849"
                                  "50515253545556575859606162636465666768697071727374"
                                  "75767778798081828384858687888990919293949596979899";

/* Digits right-aligned before `end`; returns where they begin. */
static char *digits_before(char *end, uint64_t value)
{
    while (value >= 100) {
        end -= 2;
        memcpy(end, digit_pairs + 2 * (value % 100), 2);
        value /= 100;
    }
    if (value >= 10) {
        end -= 2;
        memcpy(end, digit_pairs + 2 * value, 2);
        return end;
    }
    *--end = (char)('0' + value);
    return end;
}

static char *put_unsigned(char *at, uint64_t value)
{
    char room[24], *end = room + sizeof room;
    char *begin = digits_before(end, value);

    memcpy(at, begin, (size_t)(end - begin));
    return at + (end - begin);
}

void hn_put_int(hn_out *out, int64_t value)
{
    char *at = hn_out_room(out, 24), *begin = at;
    uint64_t size = value < 0 ? 0 - (uint64_t)value : (uint64_t)value;

    if (!at)
        return;
    if (value < 0)
        *at++ = '-';
    at = put_unsigned(at, size);
    out->used += (size_t)(at - begin);
}

static const double powers_of_ten[MOST_DECIMALS + 1] = {
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};

static char *put_fraction(char *at, uint64_t fraction, int decimals)
{
    char *end = at + 1 + decimals, *begin;

    if (decimals == 0)
        return at;
    *at = '.';
    begin = digits_before(end, fraction);
    memset(at + 1, '0', (size_t)(begin - (at + 1)));
    return end;
}

/* A double of 2^63 or more is a whole number; printf gives its digits without
 * a point, so no locale can change them. */
static char *put_huge(char *at, double size, int decimals)
{
    at += snprintf(at, NUMBER_ROOM - 32, "%.0f", size);
    return put_fraction(at, 0, decimals);
}

/* The fraction in units of the last decimal, rounded. Whole and fractional
 * part are split first, which is exact, so large values keep their digits. */
static uint64_t rounded_fraction(double size, double whole, int decimals)
{
    double scale = powers_of_ten[decimals];
    double fraction = (size - whole) * scale;
    double last_place = size * scale * 0x1p-52; /* one ulp of the value, as a fraction */

    if (last_place > 0.25) /* digits finer than the double holds: no half to defend */
        last_place = 0;
    return (uint64_t)(fraction + 0.5 + last_place);
}

static char *put_sized(char *at, double size, int negative, int decimals)
{
    double whole;
    uint64_t units, fraction;

    if (size >= 0x1p63) {
        if (negative)
            *at++ = '-';
        return put_huge(at, size, decimals);
    }
    units = (uint64_t)size;
    whole = (double)units;
    fraction = rounded_fraction(size, whole, decimals);
    if (fraction >= (uint64_t)powers_of_ten[decimals]) {
        fraction = 0;
        units++;
    }
    if (negative && (units || fraction))
        *at++ = '-';
    at = put_unsigned(at, units);
    return put_fraction(at, fraction, decimals);
}

void hn_put_fixed(hn_out *out, double value, int decimals)
{
    char *at = hn_out_room(out, NUMBER_ROOM);

    if (!at)
        return;
    decimals = decimals < 0 ? 0 : decimals > MOST_DECIMALS ? MOST_DECIMALS : decimals;
    out->used += (size_t)(put_sized(at, fabs(value), value < 0, decimals) - at);
}

size_t hn_date_digits(int64_t days, char out[HN_DATE_DIGITS])
{
    int year, month, day;

    hn_date_civil((int32_t)days, &year, &month, &day);
    if (year < 0 || year > 9999)
        return (size_t)snprintf(out, HN_DATE_DIGITS, "%04d-%02d-%02d", year, month, day);
    memcpy(out, digit_pairs + 2 * (year / 100), 2);
    memcpy(out + 2, digit_pairs + 2 * (year % 100), 2);
    out[4] = out[7] = '-';
    memcpy(out + 5, digit_pairs + 2 * month, 2);
    memcpy(out + 8, digit_pairs + 2 * day, 2);
    return 10;
}

void hn_put_date(hn_out *out, int64_t days)
{
    char *at = hn_out_room(out, HN_DATE_DIGITS);

    if (at)
        out->used += hn_date_digits(days, at);
}
