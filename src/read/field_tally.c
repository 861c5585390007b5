/* read/field_tally.c */
#include "read/field_tally.h"

#include "base/alloc.h"
#include "base/dates.h"
#include "base/hash.h"
#include "read/date_text.h"
#include "read/number_text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SEEN_START = 256, TEXT_MAX = 120 };

hn_status hn_field_tally_begin(hn_field_tally *tally, hn_field_look *look, hn_arena *arena,
                               hn_error *err)
{
    memset(tally, 0, sizeof *tally);
    tally->look = look;
    look->low = look->high = NAN;
    look->values = hn_arena_alloc(arena, HN_LOOK_VALUES, sizeof *look->values);
    tally->seen = hn_alloc(SEEN_START, sizeof *tally->seen);
    tally->seen_room = SEEN_START;
    if (look->values && tally->seen)
        return HN_OK;
    hn_field_tally_clear(tally);
    return hn_fail(err, HN_ERR_MEMORY, "out of memory");
}

void hn_field_tally_clear(hn_field_tally *tally)
{
    hn_free(tally->seen);
    tally->seen = NULL;
}

/* ---- distinct values ---- */

/* Place of a hash in the set: its own, or the free one where it belongs. */
static uint64_t *slot_of(uint64_t *seen, size_t room, uint64_t hash)
{
    size_t at = (size_t)(hn_hash_mix(hash) & (room - 1));

    while (seen[at] != 0 && seen[at] != hash)
        at = (at + 1) & (room - 1);
    return &seen[at];
}

static int grow_seen(hn_field_tally *tally)
{
    size_t room = 2 * tally->seen_room;
    uint64_t *grown;

    if (tally->look->distinct < tally->seen_room / 2)
        return 1;
    grown = hn_alloc(room, sizeof *grown);
    if (!grown)
        return 0;
    for (size_t i = 0; i < tally->seen_room; i++)
        if (tally->seen[i] != 0)
            *slot_of(grown, room, tally->seen[i]) = tally->seen[i];
    hn_free(tally->seen);
    tally->seen = grown;
    tally->seen_room = room;
    return 1;
}

/* ---- counted values ---- */

static hn_value_count *find_value(hn_value_count *values, size_t count, hn_span text)
{
    for (size_t i = 0; i < count; i++)
        if (strncmp(values[i].text, text.text, text.length) == 0 &&
            values[i].text[text.length] == '\0')
            return &values[i];
    return NULL;
}

/* Counts the text in a short list; a list that is full takes no new ones. */
static int count_value(hn_value_count *values, size_t *count, size_t most, hn_span text,
                       hn_arena *arena)
{
    hn_value_count *value = find_value(values, *count, text);

    if (value) {
        value->count++;
        return 1;
    }
    if (*count == most || text.length > TEXT_MAX)
        return 1;
    values[*count].text = hn_arena_text_n(arena, text.text, text.length);
    if (!values[*count].text)
        return 0;
    values[(*count)++].count = 1;
    return 1;
}

/* Values that records use for "not known": zero, minus one, minus nines,
 * three nines or more, and the day zero of office software. Common practice,
 * no source. */
static int is_mark(const hn_raw *raw, hn_span text, int is_number, double number)
{
    size_t nines = 0;

    if (raw->kind == HN_RAW_DATE || (!is_number && text.length >= 10))
        return text.length >= 10 &&
               (memcmp(text.text, "1899-12-30", 10) == 0 ||
                memcmp(text.text, "1899-12-31", 10) == 0 ||
                memcmp(text.text, "1800-01-01", 10) == 0 || memcmp(text.text, "9999-", 5) == 0);
    if (!is_number)
        return 0;
    for (size_t i = 0; i < text.length; i++) {
        if (text.text[i] == '9')
            nines++;
        else if (!strchr("-.0", text.text[i]))
            return number == -1;
    }
    return number == 0 || (nines >= 2 && number < 0) || nines >= 3;
}

/* ---- numbers ---- */

/* Keeps an even sample: the nth value replaces one of the kept by chance n. */
static void keep(double *sample, size_t *seen, double value)
{
    size_t at = (*seen)++;

    if (at >= HN_LOOK_SAMPLE)
        at = (size_t)(hn_hash_mix(*seen) % *seen);
    if (at < HN_LOOK_SAMPLE)
        sample[at] = value;
}

static void add_number(hn_field_tally *tally, double number, double length_m)
{
    hn_field_look *look = tally->look;

    look->low = fmin(look->low, number);
    look->high = fmax(look->high, number);
    keep(tally->sample, &tally->sampled, number);
    if (length_m > 0)
        keep(tally->ratio, &tally->ratios_seen, number / length_m);
}

static int number_of(const hn_raw *raw, hn_span text, double *number)
{
    hn_number_mark mark;

    if (raw->kind == HN_RAW_INT)
        *number = (double)raw->i;
    else if (raw->kind == HN_RAW_REAL)
        *number = raw->r;
    else
        return raw->kind == HN_RAW_TEXT && hn_number_text(text, 0, number, &mark) == HN_NUMBER_READ;
    return isfinite(*number);
}

/* Year of a date cell, or of a text that is a date; 0 when it is none. */
static int year_of(const hn_raw *raw, hn_span text)
{
    int64_t days = raw->i;
    int year, month, day;

    if (raw->kind != HN_RAW_DATE && (raw->kind != HN_RAW_TEXT || !hn_date_of_text(text, 0, &days)))
        return 0;
    hn_date_civil((int32_t)days, &year, &month, &day);
    return year;
}

hn_status hn_field_tally_add(hn_field_tally *tally, const hn_raw *raw, double length_m,
                             hn_arena *arena, hn_error *err)
{
    char room[HN_CELL_TEXT_MAX];
    hn_field_look *look = tally->look;
    hn_span text = hn_raw_span(raw, room);
    uint64_t hash = hn_hash_bytes(text.text, text.length) | 1; /* 0 is a free slot */
    double number = NAN;
    int is_number = number_of(raw, text, &number), year = is_number ? 0 : year_of(raw, text);
    int mark = is_mark(raw, text, is_number, number), fits = 1;

    look->rows++;
    if (raw->kind == HN_RAW_NULL || text.length == 0) {
        look->empty++;
        return HN_OK;
    }
    if (*slot_of(tally->seen, tally->seen_room, hash) == 0) {
        *slot_of(tally->seen, tally->seen_room, hash) = hash;
        look->distinct++;
        fits = grow_seen(tally);
    }
    look->numbers += is_number;
    look->dates += year != 0;
    if (mark)
        fits &= count_value(look->marks, &look->mark_count, HN_LOOK_MARKS, text, arena);
    else if (is_number || year)
        add_number(tally, is_number ? number : year, length_m);
    fits &= count_value(look->values, &look->value_count, HN_LOOK_VALUES, text, arena);
    return fits ? HN_OK : hn_fail(err, HN_ERR_MEMORY, "out of memory");
}

/* ---- at the end ---- */

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static int most_frequent_first(const void *a, const void *b)
{
    const hn_value_count *x = a, *y = b;

    if (x->count != y->count)
        return x->count < y->count ? 1 : -1;
    return strcmp(x->text, y->text);
}

static size_t sort_sample(double *sample, size_t seen)
{
    size_t count = seen < HN_LOOK_SAMPLE ? seen : HN_LOOK_SAMPLE;

    qsort(sample, count, sizeof *sample, by_size);
    return count;
}

static double quantile(const double *sorted, size_t count, double share)
{
    return count ? sorted[(size_t)(share * (double)(count - 1) + 0.5)] : NAN;
}

void hn_field_tally_end(hn_field_tally *tally)
{
    hn_field_look *look = tally->look;
    size_t numbers = sort_sample(tally->sample, tally->sampled);
    size_t ratios = sort_sample(tally->ratio, tally->ratios_seen), near = 0;

    look->p05 = quantile(tally->sample, numbers, 0.05);
    look->p50 = quantile(tally->sample, numbers, 0.50);
    look->p95 = quantile(tally->sample, numbers, 0.95);
    look->length_ratio = quantile(tally->ratio, ratios, 0.50);
    for (size_t i = 0; i < ratios; i++)
        near += fabs(tally->ratio[i] / look->length_ratio - 1) <= 0.05;
    look->length_ratio_share = ratios ? (double)near / (double)ratios : NAN;
    qsort(look->values, look->value_count, sizeof *look->values, most_frequent_first);
    qsort(look->marks, look->mark_count, sizeof *look->marks, most_frequent_first);
}
