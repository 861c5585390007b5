#include "report/sheet.h"

#include "report/sheet_units.h"
#include "table/sentence.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void hn_sheet_init(hn_sheet *sheet, const char *segment_id, const char *currency, int is_us)
{
    memset(sheet, 0, sizeof *sheet);
    sheet->is_us = is_us;
    sheet->at = &sheet->root;
    sheet->root.key = "sheet";
    sheet->segment_id = hn_sheet_text(sheet, "%s", segment_id);
    sheet->currency = hn_sheet_text(sheet, "%s", currency);
    sheet->title = hn_sheet_text(sheet, "Segment %s", segment_id);
}

void hn_sheet_clear(hn_sheet *sheet)
{
    hn_arena_clear(&sheet->arena);
    memset(sheet, 0, sizeof *sheet);
}

hn_status hn_sheet_check(const hn_sheet *sheet, hn_error *err)
{
    if (sheet->out_of_memory)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for the sheet");
    return HN_OK;
}

/* ---- texts ---- */

const char *hn_sheet_text(hn_sheet *sheet, const char *format, ...)
{
    va_list args, again;
    char *text;
    int n;

    va_start(args, format);
    va_copy(again, args);
    n = vsnprintf(NULL, 0, format, args);
    va_end(args);
    text = n < 0 ? NULL : hn_arena_alloc(&sheet->arena, (size_t)n + 1, 1);
    if (text)
        vsnprintf(text, (size_t)n + 1, format, again);
    else
        sheet->out_of_memory = 1;
    va_end(again);
    return text ? text : "";
}

const char *hn_sheet_digits(hn_sheet *sheet, double value)
{
    char text[64];
    int whole;

    if (!(value - value == 0.0))
        return isnan(value) ? "unknown" : value > 0.0 ? "infinite" : "-infinite";
    whole = value == 0.0 ? 1 : (int)floor(log10(fabs(value))) + 1;
    hn_plain_number(value, whole >= 5 ? 0 : whole < -8 ? 12 : 5 - whole, text, sizeof text);
    return hn_sheet_text(sheet, "%s", text);
}

const char *hn_sheet_grouped(hn_sheet *sheet, double value, int decimals)
{
    char plain[64], out[96];
    size_t at = 0, whole;

    if (!(value - value == 0.0))
        return hn_sheet_digits(sheet, value);
    if (fabs(value) > 1e20)
        return hn_sheet_text(sheet, "%.5g", value);
    snprintf(plain, sizeof plain, "%.*f", decimals, value);
    if (strspn(plain, "-0.") == strlen(plain) && plain[0] == '-')
        memmove(plain, plain + 1, strlen(plain)); /* no "-0" */
    whole = strcspn(plain, ".");
    for (size_t i = 0; plain[i]; i++) {
        size_t left = i < whole ? whole - i : 0;

        if (i && left && left % 3 == 0 && plain[i - 1] != '-')
            out[at++] = ' ';
        out[at++] = plain[i];
    }
    out[at] = '\0';
    return hn_sheet_text(sheet, "%s", out);
}

const char *hn_sheet_money(hn_sheet *sheet, double value, int decimals)
{
    return isnan(value) ? "unknown"
                        : hn_sheet_text(sheet, "%s %s", hn_sheet_grouped(sheet, value, decimals),
                                        sheet->currency);
}

const char *hn_sheet_quantity(hn_sheet *sheet, double value, int decimals, const char *unit)
{
    hn_sheet_unit to = hn_sheet_unit_of(sheet->is_us, unit);

    if (isnan(value))
        return "unknown";
    return hn_sheet_text(sheet, "%s %s",
                         hn_sheet_grouped(sheet, value * to.factor, decimals + to.more_decimals),
                         to.unit);
}

/* ---- items ---- */

static hn_sheet_item *add(hn_sheet *sheet, hn_sheet_kind kind, const char *key, const char *title)
{
    hn_sheet_item *item = hn_arena_alloc(&sheet->arena, 1, sizeof *item);

    if (!item) {
        sheet->out_of_memory = 1;
        item = &sheet->spare;
        memset(item, 0, sizeof *item);
    }
    item->kind = kind;
    item->key = hn_sheet_text(sheet, "%s", key);
    item->title = hn_sheet_text(sheet, "%s", title ? title : "");
    item->symbol = item->unit = item->basis = "";
    item->missing = "unknown";
    item->number = (double)NAN;
    item->parent = sheet->at;
    if (item == &sheet->spare)
        return item;
    if (sheet->at->last)
        sheet->at->last->next = item;
    else
        sheet->at->first = item;
    sheet->at->last = item;
    return item;
}

hn_sheet_item *hn_sheet_begin(hn_sheet *sheet, const char *key, const char *title)
{
    hn_sheet_item *block = add(sheet, HN_SHEET_BLOCK, key, title);

    if (block != &sheet->spare)
        sheet->at = block;
    return block;
}

void hn_sheet_end(hn_sheet *sheet)
{
    if (sheet->at->parent)
        sheet->at = sheet->at->parent;
}

hn_sheet_item *hn_sheet_say(hn_sheet *sheet, const char *key, const char *format, ...)
{
    hn_sheet_item *item = add(sheet, HN_SHEET_TEXT, key, NULL);
    char *text;
    va_list args;
    int n;

    va_start(args, format);
    n = vsnprintf(NULL, 0, format, args);
    va_end(args);
    text = n < 0 ? NULL : hn_arena_alloc(&sheet->arena, (size_t)n + 1, 1);
    item->text = text ? text : "";
    if (!text) {
        sheet->out_of_memory = 1;
        return item;
    }
    va_start(args, format);
    vsnprintf(text, (size_t)n + 1, format, args);
    va_end(args);
    return item;
}

static const char *shown_unit(hn_sheet *sheet, const char *unit)
{
    if (strcmp(unit, "-") == 0)
        return "";
    return strncmp(unit, "money", 5) == 0 ? hn_sheet_text(sheet, "%s%s", sheet->currency, unit + 5)
                                          : unit;
}

/* The number in the units of the sheet; key and unit follow. */
static void set_number(hn_sheet *sheet, hn_sheet_item *item, double value, int decimals,
                       const char *unit)
{
    hn_sheet_unit to = hn_sheet_unit_of(sheet->is_us, unit);

    item->number = value * to.factor;
    item->decimals = decimals + to.more_decimals;
    item->unit = shown_unit(sheet, to.unit);
    item->key = hn_sheet_unit_key(sheet, item->key, &to);
}

hn_sheet_item *hn_sheet_number(hn_sheet *sheet, const char *key, const char *label,
                               const char *symbol, double value, int decimals, const char *unit,
                               const char *basis)
{
    hn_sheet_item *item = add(sheet, HN_SHEET_VALUE, key, label);

    item->symbol = symbol ? symbol : "";
    item->basis = basis ? basis : "";
    set_number(sheet, item, value, decimals, unit);
    return item;
}

hn_sheet_item *hn_sheet_word(hn_sheet *sheet, const char *key, const char *label, const char *text,
                             const char *basis)
{
    hn_sheet_item *item = add(sheet, HN_SHEET_VALUE, key, label);

    item->text = text && text[0] ? hn_sheet_text(sheet, "%s", text) : NULL;
    item->basis = basis ? basis : "";
    return item;
}

hn_sheet_item *hn_sheet_formula(hn_sheet *sheet, const char *key, const char *title,
                                const char *symbols, const char *numbers, double value,
                                int decimals, const char *unit, const char *source)
{
    hn_sheet_item *item = add(sheet, HN_SHEET_FORMULA, key, title);

    item->symbols = symbols;
    item->numbers = numbers;
    item->basis = source ? source : "";
    set_number(sheet, item, value, decimals, unit);
    if (numbers && hn_sheet_unit_of(sheet->is_us, unit).factor != 1.0) /* its numbers are SI */
        item->numbers =
            hn_sheet_text(sheet, "%s = %s %s", numbers, hn_sheet_digits(sheet, value), unit);
    return item;
}

hn_sheet_item *hn_sheet_table(hn_sheet *sheet, const char *key, const char *title,
                              const hn_view_column *columns, size_t column_count)
{
    hn_sheet_item *item = add(sheet, HN_SHEET_TABLE, key, title);
    hn_view_column *shown = hn_arena_alloc(&sheet->arena, column_count, sizeof *shown);

    item->factor = hn_arena_alloc(&sheet->arena, column_count, sizeof *item->factor);
    if (!shown || !item->factor) {
        sheet->out_of_memory = 1;
        return item;
    }
    for (size_t c = 0; c < column_count; c++) {
        hn_sheet_unit to = hn_sheet_unit_of(sheet->is_us, columns[c].unit);

        shown[c] = columns[c];
        shown[c].name = hn_sheet_unit_key(sheet, columns[c].name, &to);
        shown[c].unit = shown_unit(sheet, to.unit);
        shown[c].decimals += to.more_decimals;
        item->factor[c] = to.factor;
    }
    item->columns = shown;
    item->column_count = column_count;
    return item;
}

static hn_cell *next_cell(hn_sheet *sheet, hn_sheet_item *table)
{
    if (table->column_count == 0)
        return NULL;
    if (table->cell_count == table->cell_room) {
        size_t room = table->cell_room ? 2 * table->cell_room : 8 * table->column_count;
        hn_cell *cells = hn_arena_alloc(&sheet->arena, room, sizeof *cells);

        if (!cells) {
            sheet->out_of_memory = 1;
            return NULL;
        }
        if (table->cell_count)
            memcpy(cells, table->cells, table->cell_count * sizeof *cells);
        table->cells = cells;
        table->cell_room = room;
    }
    return &table->cells[table->cell_count++];
}

void hn_sheet_cell_number(hn_sheet *sheet, hn_sheet_item *table, double value)
{
    hn_cell *cell = next_cell(sheet, table);

    if (cell)
        hn_cell_real(cell, value * table->factor[(table->cell_count - 1) % table->column_count]);
}

void hn_sheet_cell_whole(hn_sheet *sheet, hn_sheet_item *table, int64_t value)
{
    hn_cell *cell = next_cell(sheet, table);

    if (cell)
        hn_cell_int(cell, value);
}

void hn_sheet_cell_word(hn_sheet *sheet, hn_sheet_item *table, const char *text)
{
    hn_cell *cell = next_cell(sheet, table);

    if (cell)
        hn_cell_text(cell, text ? hn_sheet_text(sheet, "%s", text) : NULL);
}

hn_sheet_item *hn_sheet_figure(hn_sheet *sheet, const char *key, const char *title, const char *svg)
{
    hn_sheet_item *item = add(sheet, HN_SHEET_FIGURE, key, title);

    item->text = svg;
    return item;
}

const hn_sheet_item *hn_sheet_find(const hn_sheet_item *block, const char *key)
{
    for (const hn_sheet_item *i = block->first; i; i = i->next)
        if (strcmp(i->key, key) == 0)
            return i;
    return NULL;
}
