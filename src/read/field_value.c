#include "read/field_value.h"

#include "base/alloc.h"
#include "base/hash.h"
#include "read/value_convert.h"
#include "read/value_keys.h"

#include <math.h>
#include <regex.h>
#include <string.h>

enum { MEMO_SLOTS = 128, MEMO_KEY_MAX = 40 };

/* Result of a text seen before: most fields of a network hold few distinct
 * values, and patterns and maps are dear. */
typedef struct memo {
    unsigned char used, length;
    char key[MEMO_KEY_MAX];
    hn_value value;
} memo;

struct hn_field_reader {
    const hn_field_map *map;
    hn_conversion how;
    hn_value_keys missing, from;
    int has_regex;
    regex_t regex;
    int use_memo;
    memo memos[MEMO_SLOTS];
    char room[HN_CELL_TEXT_MAX];
};

/* ---- making a reader ---- */

static hn_status bad_map(const hn_field_map *map, const char *what, hn_error *err)
{
    return hn_fail(err, HN_ERR_PLAN, "line %d: %s: %s", map->place.line, map->role, what);
}

static hn_status compile_pattern(hn_field_reader *reader, hn_error *err)
{
    const char *pattern = reader->map->pattern;
    char why[160], message[512];
    int code;

    if (!pattern)
        return HN_OK;
    code = regcomp(&reader->regex, pattern, REG_EXTENDED);
    if (code != 0) {
        regerror(code, NULL, why, sizeof why);
        hn_source_shown(pattern, message, sizeof message);
        return hn_fail(err, HN_ERR_PLAN,
                       "line %d: %s: pattern \"%s\" is not a regular expression: %s",
                       reader->map->place.line, reader->map->role, message, why);
    }
    reader->has_regex = 1;
    if (reader->regex.re_nsub >= 1)
        return HN_OK;
    bad_map(reader->map, "the pattern has no group in parentheses", err);
    hn_hint(err, "put parentheses around the part that is the value, such as ([0-9.]+)");
    return HN_ERR_PLAN;
}

static hn_status compile_keys(hn_field_reader *reader, hn_error *err)
{
    const hn_field_map *map = reader->map;
    hn_status rc = HN_OK;

    HN_TRY(hn_value_keys_init(&reader->missing, map->missing_count, err));
    HN_TRY(hn_value_keys_init(&reader->from, map->value_count, err));
    for (size_t i = 0; i < map->missing_count; i++)
        hn_value_keys_set(&reader->missing, i, map->missing[i]);
    for (size_t i = 0; i < map->value_count; i++)
        hn_value_keys_set(&reader->from, i, map->values[i].from);
out:
    return rc;
}

static hn_status check_scale(const hn_field_map *map, hn_value_kind kind, hn_error *err)
{
    if (kind != HN_VALUE_GRADE || !map->has_scale)
        return HN_OK;
    if (isfinite(map->best) && isfinite(map->worst) && map->best != map->worst)
        return HN_OK;
    return bad_map(map, "best and worst must be two different numbers", err);
}

hn_status hn_field_reader_new(const hn_field_map *map, hn_value_kind kind, hn_sense sense,
                              hn_field_reader **out, hn_error *err)
{
    hn_status rc = HN_OK;
    hn_field_reader *reader = hn_alloc(1, sizeof *reader);

    *out = NULL;
    HN_TRY_ALLOC(reader);
    reader->map = map;
    reader->how = (hn_conversion){.map = map, .kind = kind, .sense = sense};
    reader->how.factor = map->unit_factor > 0 ? map->unit_factor : 1.0;
    reader->how.comma_is_point = map->pattern != NULL;
    reader->use_memo = map->pattern || map->value_count > 0 || kind == HN_VALUE_SHAPE ||
                       kind == HN_VALUE_FLAG || kind == HN_VALUE_DATE;
    HN_TRY(compile_keys(reader, err));
    HN_TRY(compile_pattern(reader, err));
    HN_TRY(check_scale(map, kind, err));
    *out = reader;
out:
    if (rc != HN_OK)
        hn_field_reader_free(reader);
    return rc;
}

void hn_field_reader_free(hn_field_reader *reader)
{
    if (!reader)
        return;
    if (reader->has_regex)
        regfree(&reader->regex);
    hn_value_keys_clear(&reader->missing);
    hn_value_keys_clear(&reader->from);
    hn_free(reader);
}

/* ---- pattern and map ---- */

static int is_empty(const hn_raw *raw)
{
    return raw->kind == HN_RAW_NULL || (raw->kind == HN_RAW_TEXT && raw->text.length == 0);
}

/* The first group of the pattern in place of the cell. */
static int apply_pattern(hn_field_reader *reader, hn_raw *raw)
{
    hn_span text = hn_raw_span(raw, reader->room);
    regmatch_t match[2] = {{0, (regoff_t)text.length}, {0, 0}};

    if (regexec(&reader->regex, text.text, 2, match, REG_STARTEND) != 0 || match[1].rm_so < 0)
        return 0;
    raw->kind = HN_RAW_TEXT;
    raw->text = hn_trim(text.text + match[1].rm_so, (size_t)(match[1].rm_eo - match[1].rm_so));
    return 1;
}

static void apply_map(const hn_field_reader *reader, hn_raw *raw)
{
    const char *to = reader->map->other;
    int at;

    if (reader->from.count == 0)
        return;
    at = hn_value_keys_find(&reader->from, raw);
    if (at >= 0)
        to = reader->map->values[at].to;
    if (!to)
        return;
    raw->kind = HN_RAW_TEXT;
    raw->text = hn_trim(to, strlen(to));
}

static void read_uncached(hn_field_reader *reader, hn_raw raw, hn_value *out)
{
    *out = (hn_value){.number = NAN, .text = {"", 0}};
    if (is_empty(&raw) || hn_value_keys_find(&reader->missing, &raw) >= 0) {
        hn_value_missing(out, HN_FAULT_NONE);
        return;
    }
    if (reader->has_regex) {
        if (!apply_pattern(reader, &raw)) {
            hn_value_missing(out, HN_FAULT_PATTERN);
            return;
        }
        if (is_empty(&raw) || hn_value_keys_find(&reader->missing, &raw) >= 0) {
            hn_value_missing(out, HN_FAULT_NONE);
            return;
        }
    }
    apply_map(reader, &raw);
    if (is_empty(&raw))
        hn_value_missing(out, HN_FAULT_NONE);
    else
        hn_convert(&reader->how, &raw, out);
}

/* ---- memo ---- */

static void read_memoised(hn_field_reader *reader, const hn_raw *raw, hn_value *out)
{
    hn_span text = raw->text;
    memo *slot = &reader->memos[hn_hash_bytes(text.text, text.length) % MEMO_SLOTS];
    hn_raw own = *raw;

    if (!slot->used || slot->length != text.length ||
        memcmp(slot->key, text.text, text.length) != 0) {
        slot->used = 1;
        slot->length = (unsigned char)text.length;
        memcpy(slot->key, text.text, text.length);
        own.text.text = slot->key; /* so that a kept text points into the slot */
        read_uncached(reader, own, &slot->value);
        slot->used = slot->value.text.text != reader->how.recoded;
    }
    *out = slot->value;
}

void hn_field_read(hn_field_reader *reader, const hn_raw *raw, hn_value *out)
{
    hn_raw trimmed = *raw;

    if (raw->kind == HN_RAW_TEXT) {
        trimmed.text = hn_trim(raw->text.text, raw->text.length);
        if (reader->use_memo && trimmed.text.length > 0 && trimmed.text.length <= MEMO_KEY_MAX) {
            read_memoised(reader, &trimmed, out);
            return;
        }
    }
    read_uncached(reader, trimmed, out);
}

void hn_field_read_constant(hn_field_reader *reader, hn_value *out)
{
    const char *constant = reader->map->constant ? reader->map->constant : "";
    hn_raw raw = {.kind = HN_RAW_TEXT, .text = {constant, strlen(constant)}};

    hn_field_read(reader, &raw, out);
}
