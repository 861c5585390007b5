/* plan/config_table.c - reads and checks one described table. */
#include "plan/config_table.h"

#include "base/nearest.h"

#include <errno.h>
#include <limits.h>
#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { MAX_CELLS = 64 };

static size_t column_of(const hn_text_table *text, const char *name)
{
    for (size_t c = 0; c < text->columns; c++)
        if (strcasecmp(text->names[c], name) == 0)
            return c;
    return SIZE_MAX;
}

static size_t accepted_names(const hn_cell_spec *cells, const char **names)
{
    size_t n = 0;
    for (; cells[n].column && n < MAX_CELLS; n++)
        names[n] = cells[n].column;
    return n;
}

const char *hn_config_text(const hn_config_input *in, size_t i, const char *column)
{
    const size_t c = column_of(&in->text, column);
    return c == SIZE_MAX ? "" : in->text.cells[in->source_row[i] * in->text.columns + c];
}

hn_status hn_config_fail(const hn_config_input *in, size_t i, const char *column, hn_error *err,
                         const char *format, ...)
{
    char what[HN_ERROR_TEXT_MAX];
    va_list args;
    va_start(args, format);
    vsnprintf(what, sizeof what, format, args);
    va_end(args);
    hn_fail(err, HN_ERR_PLAN, "%s, row %zu, column %s: %s", in->path, in->line[i], column, what);
    hn_hint(err, "docs/config.md says what column %s takes", column);
    return HN_ERR_PLAN;
}

static hn_status unreadable(const char *path, hn_error *err)
{
    if (err && err->status != HN_OK) {
        err->status = HN_ERR_PLAN;
        hn_context(err, "config table %s", path);
    }
    return HN_ERR_PLAN;
}

/* ---- encoding ---- */

/* Length of a UTF-8 character at `c`, 0 when there is none. Source: RFC 3629. */
static size_t character_bytes(const unsigned char *c)
{
    size_t n = c[0] < 0x80                    ? 1
               : c[0] >= 0xc2 && c[0] <= 0xdf ? 2
               : (c[0] & 0xf0) == 0xe0        ? 3
               : c[0] >= 0xf0 && c[0] <= 0xf4 ? 4
                                              : 0;

    for (size_t i = 1; i < n; i++)
        if ((c[i] & 0xc0) != 0x80)
            return 0;
    return n;
}

static int is_utf8(const char *text)
{
    const unsigned char *c = (const unsigned char *)text;

    while (*c) {
        size_t n = character_bytes(c);

        if (n == 0)
            return 0;
        c += n;
    }
    return 1;
}

static hn_status check_encoding(const hn_config_input *in, hn_error *err)
{
    for (size_t i = 0; i < in->text.rows * in->text.columns; i++) {
        if (is_utf8(in->text.cells[i]))
            continue;
        hn_fail(err, HN_ERR_PLAN, "%s, data row %zu, column %s: the text is not UTF-8", in->path,
                i / in->text.columns + 1, in->text.names[i % in->text.columns]);
        hn_hint(err, "save the table as UTF-8");
        return HN_ERR_PLAN;
    }
    return HN_OK;
}

/* Line breaks in a quoted cell are text; what could drive a terminal is not. */
static int has_control(const char *text)
{
    for (const unsigned char *at = (const unsigned char *)text; *at; at++)
        if ((*at < 0x20 && *at != '\t' && *at != '\n' && *at != '\r') || *at == 0x7f)
            return 1;
    return 0;
}

static hn_status check_controls(const hn_config_input *in, hn_error *err)
{
    for (size_t i = 0; i < in->text.rows * in->text.columns; i++) {
        if (!has_control(in->text.cells[i]))
            continue;
        hn_fail(err, HN_ERR_PLAN, "%s, data row %zu, column %s: the text holds a control character",
                in->path, i / in->text.columns + 1, in->text.names[i % in->text.columns]);
        hn_hint(err, "delete the cell and type it again");
        return HN_ERR_PLAN;
    }
    return HN_OK;
}

/* The reader of CSV takes a zero byte for the end: rows would be lost unseen. */
static hn_status check_zero_bytes(const char *path, hn_error *err)
{
    static const char ending[] = ".csv";
    char block[4096];
    size_t n, length = strlen(path);
    int found = 0;
    FILE *file = length > 4 && strcmp(path + length - 4, ending) == 0 ? fopen(path, "rb") : NULL;

    if (!file)
        return HN_OK; /* no plain file: whoever reads it says what is wrong */
    while (!found && (n = fread(block, 1, sizeof block, file)) > 0)
        found = memchr(block, 0, n) != NULL;
    fclose(file);
    if (!found)
        return HN_OK;
    hn_fail(err, HN_ERR_PLAN, "%s holds a zero byte: it is damaged, or no text", path);
    hn_hint(err, "save the table as UTF-8 text");
    return HN_ERR_PLAN;
}

/* ---- columns ---- */

static hn_status missing_columns(const hn_config_input *in, const char *const *missing,
                                 size_t count, hn_error *err)
{
    const char *names[MAX_CELLS];
    const size_t accepted = accepted_names(in->cells, names);
    const char *near = hn_nearest_of(missing[0], in->text.names, in->text.columns);
    const hn_status rc =
        hn_fail(err, HN_ERR_PLAN, "%s: required column%s missing: %s%s%s", in->path,
                count > 1 ? "s" : "", hn_config_list(in->arena, missing, count),
                near ? "; the nearest in the file is " : "", near ? near : "");
    hn_hint(err, "accepted columns: %s", hn_config_list(in->arena, names, accepted));
    return rc;
}

static hn_status check_required(const hn_config_input *in, hn_error *err)
{
    const char *missing[MAX_CELLS];
    size_t count = 0;
    for (const hn_cell_spec *s = in->cells; s->column; s++)
        if (s->need != HN_CELL_OPTIONAL && column_of(&in->text, s->column) == SIZE_MAX)
            missing[count++] = s->column;
    return count ? missing_columns(in, missing, count, err) : HN_OK;
}

static int is_own_column(const hn_text_table *text, size_t c)
{
    if (strncasecmp(text->names[c], "note", 4) == 0 || strncasecmp(text->names[c], "x_", 2) == 0)
        return 1;
    for (size_t r = 0; r < text->rows; r++)
        if (*text->cells[r * text->columns + c])
            return 0;
    return 1;
}

/* A column that nobody reads is a slip of the pen more often than a remark,
 * and a mistyped optional column would silently change a result. */
static hn_status check_unknown(const hn_config_input *in, hn_error *err)
{
    const char *names[MAX_CELLS];
    const size_t accepted = accepted_names(in->cells, names);
    for (size_t c = 0; c < in->text.columns; c++) {
        size_t i = 0;
        while (i < accepted && strcasecmp(names[i], in->text.names[c]) != 0)
            i++;
        if (i < accepted || is_own_column(&in->text, c))
            continue;
        const char *near = hn_nearest_of(in->text.names[c], names, accepted);
        const hn_status rc =
            hn_fail(err, HN_ERR_PLAN, "%s: unknown column %s%s%s", in->path, in->text.names[c],
                    near ? "; the nearest accepted is " : "", near ? near : "");
        hn_hint(err, "accepted columns: %s; own remarks go into columns named note or x_...",
                hn_config_list(in->arena, names, accepted));
        return rc;
    }
    return HN_OK;
}

/* ---- cells ---- */

/* Plain decimal numbers only: strtod alone would take "inf", "nan" and hex. */
static int parse_number(const char *text, double *out)
{
    char *end = NULL;
    if (strspn(text, "0123456789+-.eE") != strlen(text))
        return 0;
    errno = 0;
    *out = strtod(text, &end);
    return end != text && *end == '\0' && errno == 0 && isfinite(*out);
}

static hn_status bad_number(const hn_config_input *in, size_t i, const hn_cell_spec *s,
                            const char *value, hn_error *err)
{
    const hn_status rc = hn_config_fail(
        in, i, s->column, err, "\"%s\" is not accepted; accepted is a %s from %g to %g", value,
        s->kind == HN_CELL_WHOLE ? "whole number" : "number", s->low, s->high);
    hn_hint(err, "%s",
            strchr(value, ',') ? "write the number with a decimal point and no thousands sign"
                               : "correct the cell; leave it blank only where a blank is allowed");
    return rc;
}

static hn_status fill_number(const hn_config_input *in, size_t i, const hn_cell_spec *s,
                             const char *value, char *field, hn_error *err)
{
    double number = NAN;
    if (*value && (!parse_number(value, &number) || number < s->low || number > s->high))
        return bad_number(in, i, s, value, err);
    if (s->kind == HN_CELL_NUMBER) {
        memcpy(field, &number, sizeof number);
        return HN_OK;
    }
    if (*value && number != floor(number))
        return bad_number(in, i, s, value, err);
    const int whole = *value ? (int)number : s->blank;
    memcpy(field, &whole, sizeof whole);
    return HN_OK;
}

static hn_status fill_choice(const hn_config_input *in, size_t i, const hn_cell_spec *s,
                             const char *value, char *field, hn_error *err)
{
    size_t count = 0;
    int chosen = *value ? -1 : s->blank;
    for (; s->choices[count]; count++)
        if (*value && strcasecmp(s->choices[count], value) == 0)
            chosen = (int)count;
    if (*value && chosen < 0) {
        const char *near = hn_nearest_of(value, s->choices, count);
        const hn_status rc =
            hn_config_fail(in, i, s->column, err, "\"%s\" is not accepted; accepted: %s", value,
                           hn_config_list(in->arena, s->choices, count));
        if (near)
            hn_hint(err, "did you mean %s?", near);
        return rc;
    }
    memcpy(field, &chosen, sizeof chosen);
    return HN_OK;
}

static hn_status fill_cell(const hn_config_input *in, size_t i, const hn_cell_spec *s, char *record,
                           hn_error *err)
{
    char scratch[sizeof(double)];
    char *field = s->offset == HN_CELL_NO_FIELD ? scratch : record + s->offset;
    const char *value = hn_config_text(in, i, s->column);
    if (s->need == HN_CELL_VALUE && !*value) {
        const hn_status rc =
            hn_config_fail(in, i, s->column, err, "blank, but a value is required");
        if (strcmp(s->column, "source") == 0)
            hn_hint(err, "say where the row comes from: a publication with table or page, "
                         "\"common practice, no source\", \"from memory: ...\" or \"local rule\"");
        return rc;
    }
    if (s->kind == HN_CELL_CHOICE)
        return fill_choice(in, i, s, value, field, err);
    if (s->kind != HN_CELL_TEXT)
        return fill_number(in, i, s, value, field, err);
    if (s->offset != HN_CELL_NO_FIELD) {
        const char *text = *value ? value : NULL;
        memcpy(field, &text, sizeof text);
    }
    return HN_OK;
}

/* ---- rows ---- */

static int row_is_blank(const hn_text_table *text, size_t r)
{
    for (size_t c = 0; c < text->columns; c++)
        if (*text->cells[r * text->columns + c])
            return 0;
    return 1;
}

static hn_status number_rows(hn_config_input *in, hn_error *err)
{
    in->line = hn_arena_alloc(in->arena, in->text.rows + 1, sizeof *in->line);
    in->source_row = hn_arena_alloc(in->arena, in->text.rows + 1, sizeof *in->source_row);
    if (!in->line || !in->source_row)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t r = 0; r < in->text.rows; r++) {
        if (row_is_blank(&in->text, r))
            continue;
        in->line[in->count] = r + 2; /* spreadsheets count from 1, the header included */
        in->source_row[in->count++] = r;
    }
    return HN_OK;
}

static hn_status check_size(const hn_config_input *in, const hn_table_spec *spec, hn_error *err)
{
    if (in->count == 0 && !spec->may_be_empty) {
        const hn_status rc = hn_fail(err, HN_ERR_PLAN, "%s: empty table", in->path);
        hn_hint(err,
                "it needs a header and at least one row; docs/config.md describes the columns");
        return rc;
    }
    if (spec->max_rows && in->count > spec->max_rows)
        return hn_fail(err, HN_ERR_PLAN, "%s: %zu rows, but at most %zu are accepted", in->path,
                       in->count, spec->max_rows);
    return HN_OK;
}

static hn_status fill_rows(const hn_config_input *in, const hn_table_spec *spec, void **rows,
                           hn_error *err)
{
    hn_status rc = HN_OK;
    char *records = hn_arena_alloc(in->arena, in->count + 1, spec->row_size);
    HN_TRY_ALLOC(records);
    for (size_t i = 0; i < in->count; i++)
        for (const hn_cell_spec *s = spec->cells; s->column; s++)
            HN_TRY(fill_cell(in, i, s, records + i * spec->row_size, err));
    *rows = records;
out:
    return rc;
}

hn_status hn_config_rows(hn_config_input *in, const char *path, hn_arena *arena,
                         const hn_table_spec *spec, void **rows, hn_error *err)
{
    hn_status rc = HN_OK;
    *in = (hn_config_input){.arena = arena, .path = path, .cells = spec->cells};
    *rows = NULL;
    HN_TRY(check_zero_bytes(path, err));
    rc = hn_text_table_read(path, arena, &in->text, err);
    if (rc != HN_OK) /* the plan named it: what is wrong with it is a fault of the plan */
        return rc == HN_ERR_MEMORY ? rc : unreadable(path, err);
    HN_TRY(check_encoding(in, err));
    HN_TRY(check_controls(in, err));
    HN_TRY(number_rows(in, err));
    if (in->text.columns == 0)
        HN_TRY(check_size(in, spec, err));
    HN_TRY(check_required(in, err));
    HN_TRY(check_size(in, spec, err));
    HN_TRY(check_unknown(in, err));
    HN_TRY(fill_rows(in, spec, rows, err));
out:
    return rc;
}
