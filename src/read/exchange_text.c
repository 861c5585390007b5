#include "read/exchange_text.h"

#include "base/alloc.h"
#include "base/dates.h"
#include "read/latin_text.h"
#include "table/segment_table.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LINE_BYTES = 16384, FIELDS_MOST = 64, CODE_BYTES = 8, HEADER_BYTES = 256 };

typedef enum expected_line {
    WANT_FORM,        /* #A lines, then the first #B */
    WANT_VALUES,      /* the values of a #B line */
    WANT_BLOCK,       /* #B, #C or #Z */
    WANT_OBSERVATIONS /* rows, up to #Z */
} expected_line;

/* The header of the inspection that is being read. */
typedef struct header_texts {
    char pipe[HEADER_BYTES], start[HEADER_BYTES], up[HEADER_BYTES], down[HEADER_BYTES],
        direction[HEADER_BYTES], date[HEADER_BYTES];
} header_texts;

typedef struct exchange {
    const char *path;
    const hn_exchange_takers *to;
    FILE *file;
    size_t line, header_line;
    char separator, decimal, quote;
    expected_line want;
    char codes[FIELDS_MOST][CODE_BYTES];
    size_t code_count;
    char bytes[LINE_BYTES], utf8[LINE_BYTES];
    char *field[FIELDS_MOST];
    size_t field_count;
    header_texts head;
} exchange;

static hn_status fail(const exchange *x, const char *field, hn_error *err, const char *what)
{
    hn_fail(err, HN_ERR_INPUT, "%s, line %zu%s%s: %s", x->path, x->line, field[0] ? ", field " : "",
            field, what);
    hn_hint(err, "the text exchange form has #A lines, then for each inspection #B01= with codes "
                 "and a line of values, #C= with codes, one line an observation, and #Z");
    return HN_ERR_INPUT;
}

/* ---- lines and fields ---- */

/* 1: a line without its end; 0: no more. */
static int next_line(exchange *x, hn_status *rc, hn_error *err)
{
    size_t n;

    if (!fgets(x->bytes, sizeof x->bytes, x->file))
        return 0;
    x->line++;
    n = strlen(x->bytes);
    if (n + 1 == sizeof x->bytes && x->bytes[n - 1] != '\n') {
        *rc = fail(x, "", err, "the line is longer than 16383 bytes");
        return 0;
    }
    while (n && (x->bytes[n - 1] == '\n' || x->bytes[n - 1] == '\r'))
        x->bytes[--n] = '\0';
    if (x->line == 1 && strncmp(x->bytes, "\xef\xbb\xbf", 3) == 0)
        memmove(x->bytes, x->bytes + 3, n - 2);
    return 1;
}

/* The line as UTF-8. */
static char *text_of(exchange *x)
{
    const hn_span raw = {x->bytes, strlen(x->bytes)};
    hn_span text;

    if (hn_is_utf8(raw))
        return x->bytes;
    text = hn_utf8_of_latin(raw, x->utf8, sizeof x->utf8 - 1);
    if (text.text != x->utf8)
        memmove(x->utf8, text.text, text.length);
    x->utf8[text.length] = '\0';
    return x->utf8;
}

static char *trim(char *text)
{
    size_t n = strlen(text);

    while (n && text[n - 1] == ' ')
        text[--n] = '\0';
    return text + strspn(text, " ");
}

/* Cuts one field out of `at` in place; returns what follows, NULL at the end. */
static char *cut_field(const exchange *x, char *at, char **field)
{
    char *to = at, quote = '\0';

    *field = at;
    for (; *at && (quote || *at != x->separator); at++) {
        if (x->quote && *at == x->quote && (quote || at == *field))
            quote = quote ? '\0' : x->quote;
        else
            *to++ = *at;
    }
    at = *at ? at + 1 : NULL;
    *to = '\0';
    *field = trim(*field);
    return at;
}

static hn_status cut_line(exchange *x, char *text, hn_error *err)
{
    x->field_count = 0;
    for (char *at = text; at;) {
        if (x->field_count == FIELDS_MOST)
            return fail(x, "", err, "more than 64 fields");
        at = cut_field(x, at, &x->field[x->field_count++]);
    }
    return HN_OK;
}

static const char *value_of(const exchange *x, const char *code)
{
    for (size_t i = 0; i < x->code_count && i < x->field_count; i++)
        if (strcmp(x->codes[i], code) == 0)
            return x->field[i];
    return "";
}

static double number_of(const exchange *x, const char *code)
{
    const char *text = value_of(x, code);
    char room[64], *end, *sign;
    double number;

    if (!text[0])
        return (double)NAN;
    snprintf(room, sizeof room, "%s", text);
    sign = x->decimal != '.' ? strchr(room, x->decimal) : NULL;
    if (sign)
        *sign = '.';
    number = strtod(room, &end);
    if (end != room && *end == '\0' && isfinite(number))
        return number;
    x->to->fault(x->to->context, x->line, code, text);
    return (double)NAN;
}

/* ---- blocks ---- */

static hn_status read_codes(exchange *x, char *list, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(cut_line(x, list, err));
    x->code_count = x->field_count;
    for (size_t i = 0; i < x->field_count; i++) {
        if (strlen(x->field[i]) >= CODE_BYTES)
            return fail(x, x->field[i], err, "is no code of a column");
        snprintf(x->codes[i], CODE_BYTES, "%s", x->field[i]);
    }
out:
    return rc;
}

static hn_status read_form(exchange *x, const char *text, hn_error *err)
{
    const char *value = strchr(text, '=');

    if (!value || strlen(text) < 4)
        return fail(x, "#A", err, "is not #A1= to #A6= with a value");
    value++;
    if (text[2] == '3' && *value)
        x->separator = *value;
    else if (text[2] == '4' && *value)
        x->decimal = *value;
    else if (text[2] == '5')
        x->quote = *value;
    return HN_OK;
}

static void take_header(exchange *x)
{
    const struct {
        const char *code;
        char *to;
    } parts[] = {{"AAA", x->head.pipe}, {"AAB", x->head.start},     {"AAD", x->head.up},
                 {"AAF", x->head.down}, {"AAK", x->head.direction}, {"ABF", x->head.date}};

    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        const char *value = value_of(x, parts[i].code);

        if (value[0])
            snprintf(parts[i].to, HEADER_BYTES, "%s", value);
    }
}

static hn_status give_inspection(exchange *x, hn_error *err)
{
    hn_exchange_header h = {.pipe = x->head.pipe,
                            .start_node = x->head.start,
                            .up_node = x->head.up,
                            .down_node = x->head.down,
                            .direction = x->head.direction,
                            .date = HN_I32_MISSING,
                            .line = x->header_line};

    if (!h.pipe[0] && (!h.up_node[0] || !h.down_node[0]))
        return fail(x, "AAA", err, "the inspection names neither its pipe nor its two nodes");
    if (x->head.date[0] && !hn_date_parse(x->head.date, &h.date)) {
        h.date = HN_I32_MISSING;
        x->to->fault(x->to->context, x->header_line, "ABF", x->head.date);
    }
    return x->to->inspection(x->to->context, &h, err);
}

static hn_status begin_header(exchange *x, char *text, hn_error *err)
{
    char *list = strchr(text, '=');

    if (!list)
        return fail(x, "#B", err, "is not #B01= with the codes of the header");
    if (strncmp(text, "#B01", 4) == 0) {
        memset(&x->head, 0, sizeof x->head);
        x->header_line = x->line;
    }
    x->want = WANT_VALUES;
    return read_codes(x, list + 1, err);
}

static hn_status begin_observations(exchange *x, char *text, hn_error *err)
{
    hn_status rc = HN_OK;

    if (!x->header_line)
        return fail(x, "#C", err, "observations without a header of the inspection before them");
    if (text[2] != '=')
        return fail(x, "#C", err, "is not #C= with the codes of the columns");
    HN_TRY(give_inspection(x, err));
    HN_TRY(read_codes(x, text + 3, err));
    for (size_t i = 0; i < x->code_count; i++)
        if (strcmp(x->codes[i], "A") == 0) {
            x->want = WANT_OBSERVATIONS;
            return HN_OK;
        }
    rc = fail(x, "#C", err, "no column A, the main code");
out:
    return rc;
}

static hn_status read_observation(exchange *x, hn_error *err)
{
    hn_exchange_row row;

    if (x->field_count > x->code_count)
        return fail(x, "", err, "more values than #C= names columns");
    row.code = value_of(x, "A");
    row.ch1 = value_of(x, "B");
    row.ch2 = value_of(x, "C");
    row.q1 = number_of(x, "D");
    row.q2 = number_of(x, "E");
    row.remark = value_of(x, "F");
    row.clock_from = number_of(x, "G");
    row.clock_to = number_of(x, "H");
    row.distance_m = number_of(x, "I");
    row.mark = value_of(x, "J");
    row.at_joint = value_of(x, "K")[0] != '\0';
    row.line = x->line;
    if (!row.code[0])
        return fail(x, "A", err, "an observation without its main code");
    return x->to->observation(x->to->context, &row, err);
}

static hn_status end_inspection(exchange *x, hn_error *err)
{
    hn_status rc = HN_OK;

    if (!x->header_line)
        return fail(x, "#Z", err, "an end without an inspection");
    if (x->want == WANT_BLOCK) /* a header alone */
        HN_TRY(give_inspection(x, err));
    x->header_line = 0;
    x->want = WANT_BLOCK;
out:
    return rc;
}

static hn_status take_values(exchange *x, char *text, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(cut_line(x, text, err));
    if (x->want == WANT_OBSERVATIONS)
        return read_observation(x, err);
    if (x->want != WANT_VALUES)
        return fail(x, "", err, "values without a #B or #C line before them");
    if (x->field_count > x->code_count)
        return fail(x, "", err, "more values than the #B line names codes");
    take_header(x);
    x->want = WANT_BLOCK;
out:
    return rc;
}

static hn_status take_line(exchange *x, hn_error *err)
{
    char *text = text_of(x);

    if (x->line == 1 && strncmp(text, "#A1", 3) != 0)
        return fail(x, "#A1", err, "the first line is not #A1=");
    if (!text[strspn(text, " ")])
        return HN_OK;
    if (text[0] != '#')
        return take_values(x, text, err);
    if (x->want == WANT_VALUES)
        return fail(x, "#B", err, "the line of values of the header is missing");
    switch (text[1]) {
    case 'A':
        return read_form(x, text, err);
    case 'B':
        if (x->header_line && strncmp(text, "#B01", 4) == 0)
            return fail(x, "#B01", err, "the inspection before it does not end with #Z");
        return begin_header(x, text, err);
    case 'C':
        return begin_observations(x, text, err);
    case 'Z':
        return end_inspection(x, err);
    default:
        return fail(x, "", err, "a line with # that is none of #A, #B, #C, #Z");
    }
}

hn_status hn_exchange_text_read(const char *path, const hn_exchange_takers *takers, hn_error *err)
{
    exchange *x = hn_alloc(1, sizeof *x);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(x);
    x->path = path;
    x->to = takers;
    x->separator = ';';
    x->decimal = '.';
    x->quote = '"';
    x->file = fopen(path, "rb");
    if (!x->file) {
        rc = hn_fail(err, HN_ERR_INPUT, "cannot open \"%s\": %s", path, strerror(errno));
        hn_hint(err, "give the path of a file that can be read, relative to the plan");
        goto out;
    }
    while (next_line(x, &rc, err))
        HN_TRY(take_line(x, err));
    HN_TRY(rc);
    if (x->line == 0)
        rc = fail(x, "#A1", err, "the file is empty");
    else if (x->header_line)
        rc = fail(x, "#Z", err, "the file ends inside of an inspection");
out:
    if (x && x->file)
        fclose(x->file);
    hn_free(x);
    return rc;
}
