/* A sheet in plain text of at most 96 columns. */
#include "report/sheet_render.h"

#include <math.h>
#include <stdio.h>

enum { WIDTH = 96, LABEL = 34, VALUE_END = 54, BASIS_AT = 64, TABLE_MAX = 24, NOTES_MAX = 64 };

void hn_sheet_shown(double value, int decimals, char *out, size_t size)
{
    char plain[400];
    size_t at = 0, whole;

    if (isnan(value)) {
        snprintf(out, size, "unknown");
        return;
    }
    snprintf(plain, sizeof plain, "%.*f", decimals < 0 ? 0 : decimals, value);
    if (plain[0] == '-' && strspn(plain, "-0.") == strlen(plain))
        memmove(plain, plain + 1, strlen(plain));
    whole = strcspn(plain, ".");
    for (size_t i = 0; plain[i] && at + 2 < size; i++) {
        size_t left = i < whole ? whole - i : 0;

        if (i && left && left % 3 == 0 && plain[i - 1] != '-')
            out[at++] = ' ';
        out[at++] = plain[i];
    }
    out[at] = '\0';
}

void hn_sheet_item_shown(const hn_sheet_item *item, char *out, size_t size)
{
    if (isnan(item->number))
        snprintf(out, size, "%s", item->missing);
    else if (item->is_plain)
        snprintf(out, size, "%.*f", item->decimals < 0 ? 0 : item->decimals, item->number);
    else
        hn_sheet_shown(item->number, item->decimals, out, size);
}

/* ---- clean characters, counted ---- */

/* Control characters, C1 included, and marks that turn the writing direction
 * (U+202A to U+202E, U+2066 to U+2069). */
static int is_unfit(const char *text)
{
    const unsigned char *c = (const unsigned char *)text;

    if (c[0] == 0xe2 && c[1] == 0x80)
        return c[2] >= 0xaa && c[2] <= 0xae;
    if (c[0] == 0xe2 && c[1] == 0x81)
        return c[2] >= 0xa6 && c[2] <= 0xa9;
    return c[0] < 0x20 || c[0] == 0x7f || (c[0] == 0xc2 && c[1] < 0xa0);
}

/* Writes one character, or a blank for one that is unfit; returns its bytes. */
static size_t put_character(hn_out *out, const char *text)
{
    size_t n = hn_utf8_length(text);

    if (n == 0)
        hn_put_text(out, "?");
    else if (is_unfit(text))
        hn_put_char(out, ' ');
    else
        hn_put_bytes(out, text, n);
    return n ? n : 1;
}

static int columns_of(const char *text)
{
    int n = 0;

    while (*text) {
        size_t bytes = hn_utf8_length(text);

        text += bytes ? bytes : 1;
        n++;
    }
    return n;
}

static void put_blanks(hn_out *out, int n)
{
    while (n-- > 0)
        hn_put_char(out, ' ');
}

static int put_clean(hn_out *out, const char *text, int most)
{
    int n = 0;

    while (*text && n < most) {
        text += put_character(out, text);
        n++;
    }
    return n;
}

/* ---- wrapped text ---- */

/* Bytes of the first line of at most `width` characters; *skip: blanks behind. */
static size_t line_bytes(const char *text, int width, size_t *skip)
{
    size_t at = 0, last_blank = 0, last_mark = 0;
    int n = 0;

    *skip = 0;
    while (text[at]) {
        size_t bytes = hn_utf8_length(text + at);

        if (text[at] == ' ')
            last_blank = at;
        if (++n > width) {
            *skip = last_blank ? 1 : 0;
            return last_blank ? last_blank : last_mark ? last_mark : at;
        }
        at += bytes ? bytes : 1;
        if (strchr("_/.,;", text[at - 1])) /* long names break after these */
            last_mark = at;
    }
    return at;
}

/* The first line begins where the cursor stands, the others at `indent`. */
static void put_wrapped(hn_out *out, const char *text, int indent, int width)
{
    int is_first = 1;

    do {
        size_t skip, bytes = line_bytes(text, width, &skip), done = 0;

        if (!is_first)
            put_blanks(out, indent);
        while (done < bytes)
            done += put_character(out, text + done);
        hn_put_char(out, '\n');
        text += bytes + skip;
        is_first = 0;
    } while (*text);
}

static void put_rule(hn_out *out, char c, int n)
{
    while (n-- > 0)
        hn_put_char(out, c);
    hn_put_char(out, '\n');
}

/* One empty line, not two. */
static void put_gap(hn_out *out)
{
    if (out->used < 2 || out->data[out->used - 1] != '\n' || out->data[out->used - 2] != '\n')
        hn_put_char(out, '\n');
}

/* ---- items ---- */

/* Label, and where the cursor then stands. */
static int put_label(const hn_sheet_item *item, hn_out *out)
{
    int at = 2;

    put_blanks(out, 2);
    at += put_clean(out, item->title, 72);
    if (item->symbol[0]) {
        hn_put_text(out, ", ");
        at += 2 + put_clean(out, item->symbol, 20);
    }
    return at;
}

static int go_to(hn_out *out, int at, int column)
{
    if (at >= column) {
        hn_put_char(out, '\n');
        at = 0;
    }
    put_blanks(out, column - at);
    return column;
}

static void put_basis(const hn_sheet_item *item, int at, hn_out *out)
{
    if (item->basis[0]) {
        at = at + 2 <= BASIS_AT ? go_to(out, at, BASIS_AT) : at + 2;
        if (at > BASIS_AT)
            put_blanks(out, 2);
        put_wrapped(out, item->basis, BASIS_AT, WIDTH - BASIS_AT);
    } else {
        hn_put_char(out, '\n');
    }
}

/* Text and basis side by side where they fit, else one after the other. */
static void put_word(const hn_sheet_item *item, int at, hn_out *out)
{
    char both[4096];
    int n = columns_of(item->text);

    at = go_to(out, at, LABEL);
    if (item->basis[0] && at + n + 2 <= BASIS_AT) {
        at += put_clean(out, item->text, WIDTH);
        put_basis(item, at, out);
        return;
    }
    snprintf(both, sizeof both, item->basis[0] ? "%s (%s)" : "%s%s", item->text, item->basis);
    put_wrapped(out, both, LABEL, WIDTH - LABEL);
}

static void put_value(const hn_sheet_item *item, hn_out *out)
{
    char shown[400];
    int at = put_label(item, out), n;

    if (item->text) {
        put_word(item, at, out);
        return;
    }
    hn_sheet_item_shown(item, shown, sizeof shown);
    n = columns_of(shown);
    at = go_to(out, at, VALUE_END - (n < VALUE_END - 2 ? n : VALUE_END - 2));
    hn_put_text(out, shown);
    at += n;
    if (item->unit[0] && !isnan(item->number)) {
        hn_put_char(out, ' ');
        at += 1 + put_clean(out, item->unit, 20);
    }
    put_basis(item, at, out);
}

static void put_formula(const hn_sheet_item *item, hn_out *out)
{
    const char *equals = strchr(item->symbols, '=');
    int indent = 6, left = equals ? (int)(equals - item->symbols) : 0;
    char shown[400];

    put_blanks(out, 2);
    put_wrapped(out, item->title, 4, WIDTH - 2);
    put_blanks(out, indent);
    put_wrapped(out, item->symbols, indent + left + 2, WIDTH - indent - left - 2);
    if (item->numbers) {
        put_blanks(out, indent + left);
        hn_put_text(out, "= ");
        put_wrapped(out, item->numbers, indent + left + 2, WIDTH - indent - left - 2);
    }
    put_blanks(out, indent + left);
    hn_sheet_item_shown(item, shown, sizeof shown);
    hn_put_text(out, "= ");
    hn_put_text(out, shown);
    if (item->unit[0] && !isnan(item->number)) {
        hn_put_char(out, ' ');
        put_clean(out, item->unit, 20);
    }
    hn_put_text(out, item->governs ? "   <- governs\n" : "\n");
    if (item->basis[0]) {
        put_blanks(out, indent);
        hn_put_char(out, '[');
        put_wrapped(out, item->basis, indent + 1, WIDTH - indent - 2);
        if (out->used && out->data[out->used - 1] == '\n')
            out->used--;
        hn_put_text(out, "]\n");
    }
}

/* ---- tables ---- */

static int is_number(const hn_view_column *column)
{
    return column->kind == HN_VIEW_REAL || column->kind == HN_VIEW_INT;
}

/* Sources are long and often the same: under the table, each once. */
typedef struct notes {
    const char *text[NOTES_MAX];
    size_t count;
} notes;

static int is_noted(const hn_view_column *column)
{
    return strcmp(column->name, "source") == 0;
}

static const char *note_mark(notes *n, const char *text, char *room, size_t size)
{
    size_t i = 0;

    while (i < n->count && strcmp(n->text[i], text) != 0)
        i++;
    if (i == NOTES_MAX)
        return text;
    if (i == n->count)
        n->text[n->count++] = text;
    snprintf(room, size, "[%zu]", i + 1);
    return room;
}

static void put_notes(const notes *n, hn_out *out)
{
    for (size_t i = 0; i < n->count; i++) {
        char mark[32];

        snprintf(mark, sizeof mark, "[%zu] ", i + 1);
        put_blanks(out, 2);
        hn_put_text(out, mark);
        put_wrapped(out, n->text[i], 6, WIDTH - 6);
    }
}

static const char *cell_text(const hn_view_column *column, const hn_cell *cell, notes *n,
                             char *room, size_t size)
{
    if (cell->is_null)
        return is_number(column) ? "-" : "";
    if (column->kind == HN_VIEW_TEXT)
        return is_noted(column) ? note_mark(n, cell->text, room, size) : cell->text;
    if (column->kind == HN_VIEW_REAL)
        hn_sheet_shown(cell->r, column->decimals, room, size);
    else
        snprintf(room, size, "%lld", (long long)cell->i);
    return room;
}

static void head_text(const hn_view_column *column, char *room, size_t size)
{
    snprintf(room, size, column->unit[0] ? "%s, %s" : "%s%s", column->title, column->unit);
}

/* Widths that the contents ask for; too wide a table takes from its texts. */
static void find_widths(const hn_sheet_item *t, notes *n, int *width)
{
    char room[400];
    int sum = 2, widest;

    for (size_t c = 0; c < t->column_count; c++) {
        head_text(&t->columns[c], room, sizeof room);
        width[c] = columns_of(room);
        if (width[c] > 14) /* a long heading wraps */
            width[c] = 14;
        for (size_t i = c; i < t->cell_count; i += t->column_count) {
            int needed = columns_of(cell_text(&t->columns[c], &t->cells[i], n, room, sizeof room));

            width[c] = needed > width[c] ? needed : width[c];
        }
        sum += width[c] + 2;
    }
    while (sum > WIDTH) {
        widest = -1;
        for (size_t c = 0; c < t->column_count; c++)
            if (!is_number(&t->columns[c]) && (widest < 0 || width[c] > width[widest]))
                widest = (int)c;
        if (widest < 0 || width[widest] <= 12)
            return;
        width[widest]--;
        sum--;
    }
}

/* One row of cells, each wrapped in its own column. */
static void put_line(const hn_sheet_item *t, const char **texts, const int *width, hn_out *out)
{
    int is_more = 1;

    while (is_more) {
        int owed = 2;

        is_more = 0;
        for (size_t c = 0; c < t->column_count; c++) {
            size_t skip, bytes = line_bytes(texts[c], width[c], &skip), done = 0;
            char part[512];
            int n;

            snprintf(part, sizeof part, "%.*s", (int)bytes, texts[c]);
            n = columns_of(part);
            if (is_number(&t->columns[c]))
                owed += width[c] - n;
            if (n) {
                put_blanks(out, owed);
                owed = 0;
                while (done < bytes)
                    done += put_character(out, texts[c] + done);
            }
            owed += is_number(&t->columns[c]) ? 2 : width[c] - n + 2;
            texts[c] += bytes + skip;
            is_more = is_more || texts[c][0];
        }
        hn_put_char(out, '\n');
    }
}

static void put_table(const hn_sheet_item *t, hn_out *out)
{
    char room[TABLE_MAX][400];
    const char *texts[TABLE_MAX];
    int width[TABLE_MAX], sum = 0;
    notes sources = {.count = 0};

    put_gap(out);
    if (t->title[0]) {
        put_blanks(out, 2);
        put_wrapped(out, t->title, 2, WIDTH - 2);
    }
    if (t->column_count == 0 || t->column_count > TABLE_MAX)
        return;
    find_widths(t, &sources, width);
    for (size_t c = 0; c < t->column_count; c++) {
        head_text(&t->columns[c], room[c], sizeof room[c]);
        texts[c] = room[c];
        sum += width[c] + 2;
    }
    put_line(t, texts, width, out);
    put_blanks(out, 2);
    put_rule(out, '-', (sum < WIDTH ? sum : WIDTH) - 2);
    for (size_t i = 0; i + t->column_count <= t->cell_count; i += t->column_count) {
        for (size_t c = 0; c < t->column_count; c++)
            texts[c] =
                cell_text(&t->columns[c], &t->cells[i + c], &sources, room[c], sizeof room[c]);
        put_line(t, texts, width, out);
    }
    put_notes(&sources, out);
    put_gap(out);
}

static void put_items(const hn_sheet_item *block, int level, hn_out *out);

static void put_block(const hn_sheet_item *block, int level, hn_out *out)
{
    int n;

    put_gap(out);
    n = columns_of(block->title);
    put_wrapped(out, block->title, 0, WIDTH);
    put_rule(out, level == 0 ? '=' : level == 1 ? '-' : '.', n < WIDTH ? n : WIDTH);
    put_items(block, level + 1, out);
}

static void put_items(const hn_sheet_item *block, int level, hn_out *out)
{
    for (const hn_sheet_item *i = block->first; i; i = i->next) {
        switch (i->kind) {
        case HN_SHEET_BLOCK:
            put_block(i, level, out);
            break;
        case HN_SHEET_TEXT:
            hn_put_text(out, i->is_emphasised ? "! " : "  ");
            put_wrapped(out, i->text, 2, WIDTH - 2);
            break;
        case HN_SHEET_VALUE:
            put_value(i, out);
            break;
        case HN_SHEET_FORMULA:
            put_formula(i, out);
            break;
        case HN_SHEET_TABLE:
            put_table(i, out);
            break;
        case HN_SHEET_FIGURE:
            hn_put_text(out, "  Figure, with --format html: ");
            put_wrapped(out, i->title, 2, WIDTH - 32);
            break;
        }
    }
}

void hn_sheet_to_text(const hn_sheet *sheet, hn_out *out)
{
    int n = columns_of(sheet->title);

    put_wrapped(out, sheet->title, 0, WIDTH);
    put_rule(out, '#', n < WIDTH ? n : WIDTH);
    put_items(&sheet->root, 0, out);
}
