#include "read/value_keys.h"

#include "base/alloc.h"
#include "read/date_text.h"
#include "read/number_text.h"

#include <string.h>

hn_status hn_value_keys_init(hn_value_keys *keys, size_t count, hn_error *err)
{
    hn_status rc = HN_OK;

    memset(keys, 0, sizeof *keys);
    keys->items = hn_alloc(count, sizeof *keys->items);
    HN_TRY_ALLOC(keys->items);
    keys->count = count;
out:
    return rc;
}

void hn_value_keys_clear(hn_value_keys *keys)
{
    hn_free(keys->items);
    memset(keys, 0, sizeof *keys);
}

void hn_value_keys_set(hn_value_keys *keys, size_t index, const char *text)
{
    hn_value_key *key = &keys->items[index];
    hn_number_mark mark;

    key->text = hn_trim(text, strlen(text));
    key->has_date = hn_date_of_text(key->text, 0, &key->days);
    key->has_number =
        hn_number_text(key->text, 0, &key->number, &mark) == HN_NUMBER_READ && mark == HN_MARK_NONE;
    keys->any_number |= key->has_number;
}

/* Next character in small letters: ASCII, and in UTF-8 the letters of Latin-1
 * (C3 80 to C3 9E, the multiplication sign C3 97 left alone). */
static unsigned char folded(hn_span text, size_t i)
{
    unsigned char c = (unsigned char)text.text[i];

    if (c >= 'A' && c <= 'Z')
        return (unsigned char)(c + 0x20);
    if (i > 0 && (unsigned char)text.text[i - 1] == 0xc3 && c >= 0x80 && c <= 0x9e && c != 0x97)
        return (unsigned char)(c + 0x20);
    return c;
}

static int equal_texts(hn_span a, hn_span b)
{
    if (a.length != b.length)
        return 0;
    for (size_t i = 0; i < a.length; i++)
        if (folded(a, i) != folded(b, i))
            return 0;
    return 1;
}

static int find_number(const hn_value_keys *keys, double number)
{
    for (size_t i = 0; i < keys->count; i++)
        if (keys->items[i].has_number && keys->items[i].number == number)
            return (int)i;
    return -1;
}

static int find_date(const hn_value_keys *keys, int64_t days)
{
    for (size_t i = 0; i < keys->count; i++)
        if (keys->items[i].has_date && keys->items[i].days == days)
            return (int)i;
    return -1;
}

static int find_text(const hn_value_keys *keys, hn_span text)
{
    double number;
    int64_t days;
    hn_number_mark mark;

    for (size_t i = 0; i < keys->count; i++)
        if (equal_texts(keys->items[i].text, text))
            return (int)i;
    if (keys->any_number && hn_number_text(text, 0, &number, &mark) == HN_NUMBER_READ &&
        mark == HN_MARK_NONE)
        return find_number(keys, number);
    return hn_date_of_text(text, 0, &days) ? find_date(keys, days) : -1;
}

int hn_value_keys_find(const hn_value_keys *keys, const hn_raw *raw)
{
    if (keys->count == 0)
        return -1;
    switch (raw->kind) {
    case HN_RAW_INT:
        return find_number(keys, (double)raw->i);
    case HN_RAW_REAL:
        return find_number(keys, raw->r);
    case HN_RAW_DATE:
        return find_date(keys, raw->i);
    case HN_RAW_TEXT:
        return find_text(keys, hn_trim(raw->text.text, raw->text.length));
    default:
        return -1;
    }
}
