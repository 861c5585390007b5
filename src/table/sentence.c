#include "table/sentence.h"

#include "base/dates.h"

#include <stdio.h>
#include <string.h>

enum { WORD_MAX = 128 };

void hn_plain_number(double value, int decimals, char *out, size_t size)
{
    size_t n;

    if (isnan(value)) {
        snprintf(out, size, "unknown");
        return;
    }
    snprintf(out, size, "%.*f", decimals, value);
    if (!strchr(out, '.'))
        return;
    for (n = strlen(out); n > 0 && out[n - 1] == '0'; n--)
        out[n - 1] = '\0';
    if (n > 0 && out[n - 1] == '.')
        out[n - 1] = '\0';
    if (strcmp(out, "-0") == 0)
        snprintf(out, size, "0");
}

static void extra_word(const hn_table *table, size_t row, const char *name, char *out, size_t size)
{
    for (size_t i = 0; i < table->extras; i++) {
        if (strcmp(table->extra[i].name, name) == 0) {
            hn_plain_number((double)table->extra[i].f32[row], 0, out, size);
            return;
        }
    }
    snprintf(out, size, "unknown");
}

static void column_word(const hn_table *table, size_t row, const char *name, char *out, size_t size)
{
    hn_column_id id = hn_column_find(name);
    const hn_column_def *column;
    const char *text;

    if (id == HN_COL_COUNT) {
        extra_word(table, row, name, out, size);
        return;
    }
    column = hn_column_definition(id);
    if (column->kind == HN_KIND_DATE && hn_i32(table, id, row) != HN_I32_MISSING) {
        char date[HN_DATE_TEXT];

        hn_date_text(hn_i32(table, id, row), date);
        snprintf(out, size, "%s", date);
    } else if (column->kind == HN_KIND_STR || column->kind == HN_KIND_CODE) {
        text = hn_table_text(table, id, row);
        snprintf(out, size, "%s", text[0] ? text : "unknown");
    } else {
        hn_plain_number(hn_table_number(table, id, row), column->decimals, out, size);
    }
}

static size_t append(char *out, size_t used, size_t size, const char *text, size_t length)
{
    size_t room = size - 1 - used, n = length < room ? length : room;

    memcpy(out + used, text, n);
    return used + n;
}

static int begins_with_vowel(const char *word)
{
    return (word[0] && strchr("aeio", word[0])) || strcmp(word, "unknown") == 0;
}

/* "a {shape} profile" of an egg is "an egg profile". */
static size_t append_word(char *out, size_t used, size_t size, const char *word)
{
    if (used > 1 && begins_with_vowel(word) && memcmp(out + used - 2, "a ", 2) == 0 &&
        (used == 2 || out[used - 3] == ' '))
        used = append(out, used - 1, size, "n ", 2);
    return append(out, used, size, word, strlen(word));
}

const char *hn_sentence(const hn_table *table, size_t row, const char *pattern, double limit,
                        char *out, size_t size)
{
    size_t used = 0;
    char name[WORD_MAX], word[WORD_MAX];

    while (*pattern && used + 1 < size) {
        size_t plain = strcspn(pattern, "{"), close;

        used = append(out, used, size, pattern, plain);
        pattern += plain;
        if (!*pattern)
            break;
        close = strcspn(pattern, "}");
        if (!pattern[close] || close >= sizeof name) {
            used = append(out, used, size, pattern, strlen(pattern));
            break;
        }
        memcpy(name, pattern + 1, close - 1);
        name[close - 1] = '\0';
        if (strcmp(name, "limit") == 0)
            hn_plain_number(limit, 3, word, sizeof word);
        else
            column_word(table, row, name, word, sizeof word);
        used = append_word(out, used, size, word);
        pattern += close + 1;
    }
    out[used] = '\0';
    return out;
}
