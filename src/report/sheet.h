/* report/sheet.h - a calculation sheet before it has a form.
 *
 * Builders (sheet_*.c, one topic each) add blocks, paragraphs, values, formulas,
 * tables and figures in the order in which a person reads them; renderers
 * (sheet_render.h) turn the same sheet into text, HTML or JSON. The sheet keeps
 * no formula: a builder prints what a result struct holds.
 *
 * Numbers go in as SI. When the plan asks for US customary units, values, units
 * and the unit suffix of keys are converted here and nowhere else.
 *
 * Everything lies in the sheet's arena. Adding never fails to the caller's face:
 * a lack of memory is remembered and told by hn_sheet_check.
 */
#ifndef HN_REPORT_SHEET_H
#define HN_REPORT_SHEET_H

#include "base/arena.h"
#include "table/view.h"

typedef enum hn_sheet_kind {
    HN_SHEET_BLOCK,   /* title and what is inside */
    HN_SHEET_TEXT,    /* a paragraph */
    HN_SHEET_VALUE,   /* label, symbol, number or text, unit, basis */
    HN_SHEET_FORMULA, /* symbols = numbers = result */
    HN_SHEET_TABLE,
    HN_SHEET_FIGURE /* SVG */
} hn_sheet_kind;

typedef struct hn_sheet_item {
    hn_sheet_kind kind;
    const char *key;   /* snake_case, unique in its block, the same in every release */
    const char *title; /* label of a value */
    const char *text;  /* paragraph; value that is a text; SVG; NULL: `number` counts */
    const char *symbol;
    const char *symbols, *numbers; /* formula: right-hand sides */
    double number;                 /* NaN: unknown */
    int decimals;
    const char *unit;  /* "" for none */
    const char *basis; /* where the value comes from; source of a formula */
    /* Column of layer `segments` that must hold the same number, or NULL. */
    const char *layer_column;
    const char *missing;           /* what is said for an unknown value: "unknown" */
    int is_plain;                  /* no blanks between thousands: a year, a number of a thing */
    int is_emphasised;             /* a caution, or the value that decides */
    int governs;                   /* the formula whose result is taken */
    const hn_view_column *columns; /* table */
    double *factor;                /* table: per column, to the unit of the sheet */
    size_t column_count;
    hn_cell *cells; /* row by row */
    size_t cell_count, cell_room;
    struct hn_sheet_item *next, *first, *last, *parent;
} hn_sheet_item;

typedef struct hn_sheet {
    hn_arena arena;
    const char *title, *segment_id, *currency;
    int is_us;
    hn_sheet_item root;  /* its children are the blocks */
    hn_sheet_item *at;   /* block that is being filled */
    hn_sheet_item spare; /* takes what there is no memory for */
    int out_of_memory;
} hn_sheet;

void hn_sheet_init(hn_sheet *sheet, const char *segment_id, const char *currency, int is_us);
void hn_sheet_clear(hn_sheet *sheet);
HN_MUST_CHECK hn_status hn_sheet_check(const hn_sheet *sheet, hn_error *err);

/* Blocks may lie in blocks. */
hn_sheet_item *hn_sheet_begin(hn_sheet *sheet, const char *key, const char *title);
void hn_sheet_end(hn_sheet *sheet);

hn_sheet_item *hn_sheet_say(hn_sheet *sheet, const char *key, const char *format, ...)
    HN_PRINTF(3, 4);
/* unit "money" reads in the plan's currency, "money/year" likewise. */
hn_sheet_item *hn_sheet_number(hn_sheet *sheet, const char *key, const char *label,
                               const char *symbol, double value, int decimals, const char *unit,
                               const char *basis);
/* An empty or NULL text is unknown. */
hn_sheet_item *hn_sheet_word(hn_sheet *sheet, const char *key, const char *label, const char *text,
                             const char *basis);
/* numbers are SI; in US units the SI result stands behind them.
 * title: what is worked out; symbols: "t = D / 2"; numbers: "300 / 2", may be NULL. */
hn_sheet_item *hn_sheet_formula(hn_sheet *sheet, const char *key, const char *title,
                                const char *symbols, const char *numbers, double value,
                                int decimals, const char *unit, const char *source);
hn_sheet_item *hn_sheet_table(hn_sheet *sheet, const char *key, const char *title,
                              const hn_view_column *columns, size_t column_count);
/* Cells of the table, row by row. */
void hn_sheet_cell_number(hn_sheet *sheet, hn_sheet_item *table, double value);
void hn_sheet_cell_whole(hn_sheet *sheet, hn_sheet_item *table, int64_t value);
void hn_sheet_cell_word(hn_sheet *sheet, hn_sheet_item *table, const char *text);
/* svg: a whole <svg> element. */
hn_sheet_item *hn_sheet_figure(hn_sheet *sheet, const char *key, const char *title,
                               const char *svg);

/* Texts that live as long as the sheet; never NULL. */
const char *hn_sheet_text(hn_sheet *sheet, const char *format, ...) HN_PRINTF(2, 3);
/* About five significant digits, no exponent, no needless zeros: "0.029427". */
const char *hn_sheet_digits(hn_sheet *sheet, double value);
/* Blanks between thousands: "12 340.50"; "unknown" for NaN. */
const char *hn_sheet_grouped(hn_sheet *sheet, double value, int decimals);
/* The same with the currency behind it. */
const char *hn_sheet_money(hn_sheet *sheet, double value, int decimals);
/* A length in the units of the sheet, with the unit: "300 mm", "11.8 in". */
const char *hn_sheet_quantity(hn_sheet *sheet, double value, int decimals, const char *unit);

/* Item of a key in a block, NULL: none. For tests and for the guard. */
const hn_sheet_item *hn_sheet_find(const hn_sheet_item *block, const char *key);

#endif
