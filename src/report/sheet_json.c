/* A sheet as JSON: blocks are objects, items stand under their keys. Source:
 * RFC 8259. */
#include "report/sheet_render.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static void put_string(hn_out *out, const char *text)
{
    hn_put_char(out, '"');
    while (*text) {
        size_t n = hn_utf8_length(text);
        unsigned char c = (unsigned char)*text;
        char escape[8];

        if (n == 0)
            hn_put_text(out, "\xEF\xBF\xBD");
        else if (c == '"' || c == '\\') {
            hn_put_char(out, '\\');
            hn_put_char(out, (char)c);
        } else if (c < 0x20 || c == 0x7f) {
            snprintf(escape, sizeof escape, "\\u%04x", c);
            hn_put_text(out, escape);
        } else {
            hn_put_bytes(out, text, n);
        }
        text += n ? n : 1;
    }
    hn_put_char(out, '"');
}

/* The shortest of 15 to 17 digits that reads back as the same double. */
static void put_number(hn_out *out, double value)
{
    char text[40];

    if (!(value - value == 0.0)) {
        hn_put_text(out, "null");
        return;
    }
    for (int digits = 15; digits <= 17; digits++) {
        snprintf(text, sizeof text, "%.*g", digits, value);
        if (strtod(text, NULL) == value)
            break;
    }
    hn_put_text(out, text);
}

static void put_key(hn_out *out, const char *key)
{
    put_string(out, key);
    hn_put_text(out, ": ");
}

static void put_text_pair(hn_out *out, const char *key, const char *text)
{
    if (!text || !text[0])
        return;
    hn_put_text(out, ", ");
    put_key(out, key);
    put_string(out, text);
}

static void new_line(hn_out *out, int depth)
{
    hn_put_char(out, '\n');
    for (int i = 0; i < depth; i++)
        hn_put_text(out, "  ");
}

static void put_value(const hn_sheet_item *item, hn_out *out)
{
    hn_put_text(out, "{\"value\": ");
    if (item->text)
        put_string(out, item->text);
    else
        put_number(out, item->number);
    put_text_pair(out, "unit", item->unit);
    put_text_pair(out, "label", item->title);
    put_text_pair(out, "symbol", item->symbol);
    put_text_pair(out, item->kind == HN_SHEET_FORMULA ? "source" : "basis", item->basis);
    put_text_pair(out, "symbols", item->symbols);
    put_text_pair(out, "numbers", item->numbers);
    put_text_pair(out, "layer_column", item->layer_column);
    if (item->kind == HN_SHEET_FORMULA)
        hn_put_text(out, item->governs ? ", \"governs\": true" : "");
    hn_put_char(out, '}');
}

static void put_cell(const hn_view_column *column, const hn_cell *cell, hn_out *out)
{
    char text[32];

    if (cell->is_null) {
        hn_put_text(out, "null");
    } else if (column->kind == HN_VIEW_TEXT) {
        put_string(out, cell->text);
    } else if (column->kind == HN_VIEW_REAL) {
        put_number(out, cell->r);
    } else {
        snprintf(text, sizeof text, "%lld", (long long)cell->i);
        hn_put_text(out, text);
    }
}

static void put_table(const hn_sheet_item *t, int depth, hn_out *out)
{
    hn_put_text(out, "{\"label\": ");
    put_string(out, t->title);
    hn_put_text(out, ", \"units\": {");
    for (size_t c = 0, n = 0; c < t->column_count; c++) {
        if (!t->columns[c].unit[0])
            continue;
        hn_put_text(out, n++ ? ", " : "");
        put_key(out, t->columns[c].name);
        put_string(out, t->columns[c].unit);
    }
    hn_put_text(out, "}, \"rows\": [");
    for (size_t i = 0; t->column_count && i + t->column_count <= t->cell_count;
         i += t->column_count) {
        hn_put_text(out, i ? "," : "");
        new_line(out, depth + 1);
        hn_put_char(out, '{');
        for (size_t c = 0; c < t->column_count; c++) {
            hn_put_text(out, c ? ", " : "");
            put_key(out, t->columns[c].name);
            put_cell(&t->columns[c], &t->cells[i + c], out);
        }
        hn_put_char(out, '}');
    }
    hn_put_text(out, "]}");
}

static void put_block(const hn_sheet_item *block, int depth, hn_out *out)
{
    hn_put_text(out, "{\"label\": ");
    put_string(out, block->title);
    for (const hn_sheet_item *i = block->first; i; i = i->next) {
        hn_put_char(out, ',');
        new_line(out, depth + 1);
        put_key(out, i->key);
        if (i->kind == HN_SHEET_BLOCK)
            put_block(i, depth + 1, out);
        else if (i->kind == HN_SHEET_TABLE)
            put_table(i, depth + 1, out);
        else if (i->kind == HN_SHEET_TEXT || i->kind == HN_SHEET_FIGURE)
            put_string(out, i->kind == HN_SHEET_TEXT ? i->text : i->title);
        else
            put_value(i, out);
    }
    hn_put_char(out, '}');
}

void hn_sheet_to_json(const hn_sheet *sheet, hn_out *out)
{
    hn_put_text(out, "{\n  \"sheet\": \"haunch segment\",\n  \"format\": 1,\n  \"segment_id\": ");
    put_string(out, sheet->segment_id);
    hn_put_text(out, sheet->is_us ? ",\n  \"units\": \"us\"" : ",\n  \"units\": \"si\"");
    hn_put_text(out, ",\n  \"currency\": ");
    put_string(out, sheet->currency);
    hn_put_text(out, ",\n  \"title\": ");
    put_string(out, sheet->title);
    for (const hn_sheet_item *i = sheet->root.first; i; i = i->next) {
        hn_put_text(out, ",\n  ");
        put_key(out, i->key);
        put_block(i, 1, out);
    }
    hn_put_text(out, "\n}\n");
}
