/* A sheet as one self-contained HTML file: no script, nothing fetched, prints
 * on A4, well-formed as XML. Colours keep a contrast of 4.5 and more (WCAG 2.1,
 * 1.4.3), and none carries a meaning alone. */
#include "report/sheet_render.h"

#include <math.h>
#include <stdio.h>

static const char style[] =
    "html{font:15px/1.45 system-ui,'Liberation Sans',Arial,sans-serif;color:#1b1b1b;"
    "background:#fff}\n"
    "body{max-width:60rem;margin:0 auto;padding:1rem}\n"
    "h1{font-size:1.5rem;margin:.2rem 0}\n"
    "h2{font-size:1.2rem;margin:1.6rem 0 .4rem;padding-bottom:.15rem;border-bottom:2px solid "
    "#00204d}\n"
    "h3{font-size:1.05rem;margin:1.2rem 0 .3rem}\n"
    "h4{font-size:.95rem;margin:.9rem 0 .2rem}\n"
    "p{margin:.3rem 0}\n"
    "p.strong{border-left:.3rem solid #7a4b00;padding:.2rem .6rem;background:#fff6e0}\n"
    "table{border-collapse:collapse;width:100%;margin:.3rem 0;font-size:.86rem}\n"
    "caption{text-align:left;font-weight:600;padding:.2rem 0}\n"
    "th,td{text-align:left;vertical-align:top;padding:.14rem .5rem .14rem 0;border-bottom:1px "
    "solid #c9c9c9}\n"
    "thead th{border-bottom:2px solid #6b6b6b}\n"
    "table.values{table-layout:fixed}\n"
    "table.values th{font-weight:400}\n"
    "col.label{width:36%}col.value{width:16%}col.unit{width:11%}\n"
    "td.n,th.n{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}\n"
    "td{overflow-wrap:break-word}td.unit{white-space:nowrap}\n"
    "td.basis,p.source{color:#4a4a4a;font-size:.8rem}\n"
    "div.scroll{overflow-x:auto}\n"
    "div.formula{margin:.5rem 0 .6rem;padding-left:.7rem;border-left:2px solid #b5b5b5;"
    "break-inside:avoid}\n"
    "div.formula.governs{border-left:4px solid #00204d}\n"
    "div.formula p{margin:.05rem 0}\n"
    "div.formula code{font-family:'Liberation Mono',monospace;font-size:.84rem;display:block;"
    "overflow-wrap:anywhere}\n"
    "figure{margin:.6rem 0;break-inside:avoid}\n"
    "figcaption{font-size:.86rem}\n"
    "svg{max-width:100%;height:auto}\n"
    "@page{size:A4;margin:15mm}\n"
    "@media print{html{font-size:10pt}body{max-width:none;padding:0}h2,h3,h4{break-after:avoid}"
    "tr{break-inside:avoid}div.scroll{overflow:visible}a{color:inherit}}\n";

static void put_element(hn_out *out, const char *open, const char *text, const char *close)
{
    hn_put_text(out, open);
    hn_put_xml(out, text);
    hn_put_text(out, close);
}

/* Blanks inside a number do not break. */
static void put_unbroken(hn_out *out, const char *shown)
{
    for (const char *c = shown; *c; c++)
        hn_put_text(out, *c == ' ' ? "&#160;" : (char[]){*c, '\0'});
}

static void put_shown(hn_out *out, double value, int decimals)
{
    char shown[400];

    hn_sheet_shown(value, decimals, shown, sizeof shown);
    put_unbroken(out, shown);
}

static void put_item_shown(hn_out *out, const hn_sheet_item *item)
{
    char shown[400];

    hn_sheet_item_shown(item, shown, sizeof shown);
    put_unbroken(out, shown);
}

static void put_value(const hn_sheet_item *item, hn_out *out)
{
    put_element(out, "<tr><th scope=\"row\">", item->title, "");
    if (item->symbol[0])
        put_element(out, ", <i>", item->symbol, "</i>");
    hn_put_text(out, "</th>");
    if (item->text) {
        put_element(out, item->basis[0] ? "<td colspan=\"2\">" : "<td colspan=\"3\">", item->text,
                    "</td>");
    } else {
        hn_put_text(out, "<td class=\"n\">");
        put_item_shown(out, item);
        put_element(out, "</td><td class=\"unit\">", isnan(item->number) ? "" : item->unit,
                    "</td>");
    }
    if (item->basis[0] || !item->text)
        put_element(out, "<td class=\"basis\">", item->basis, "</td>");
    hn_put_text(out, "</tr>\n");
}

/* Values that follow each other stand in one table; returns the last of them. */
static const hn_sheet_item *put_values(const hn_sheet_item *first, hn_out *out)
{
    const hn_sheet_item *item = first;

    hn_put_text(out, "<div class=\"scroll\"><table class=\"values\"><colgroup>"
                     "<col class=\"label\"/><col class=\"value\"/><col class=\"unit\"/><col/>"
                     "</colgroup><tbody>\n");
    for (;; item = item->next) {
        put_value(item, out);
        if (!item->next || item->next->kind != HN_SHEET_VALUE)
            break;
    }
    hn_put_text(out, "</tbody></table></div>\n");
    return item;
}

static void put_formula(const hn_sheet_item *item, hn_out *out)
{
    hn_put_text(out, item->governs ? "<div class=\"formula governs\"><p>"
                                   : "<div class=\"formula\"><p>");
    hn_put_xml(out, item->title);
    hn_put_text(out, item->governs ? " <strong>(governs)</strong></p>" : "</p>");
    put_element(out, "<code>", item->symbols, "</code>");
    if (item->numbers)
        put_element(out, "<code>= ", item->numbers, "</code>");
    hn_put_text(out, "<code>= <strong>");
    put_item_shown(out, item);
    hn_put_char(out, ' ');
    put_element(out, "", isnan(item->number) ? "" : item->unit, "</strong></code>");
    if (item->basis[0])
        put_element(out, "<p class=\"source\">", item->basis, "</p>");
    hn_put_text(out, "</div>\n");
}

static void put_cell(const hn_view_column *column, const hn_cell *cell, hn_out *out)
{
    char text[32];

    hn_put_text(out, column->kind == HN_VIEW_TEXT ? "<td>" : "<td class=\"n\">");
    if (cell->is_null) {
        hn_put_text(out, column->kind == HN_VIEW_TEXT ? "" : "-");
    } else if (column->kind == HN_VIEW_TEXT) {
        hn_put_xml(out, cell->text);
    } else if (column->kind == HN_VIEW_REAL) {
        put_shown(out, cell->r, column->decimals);
    } else {
        snprintf(text, sizeof text, "%lld", (long long)cell->i);
        hn_put_text(out, text);
    }
    hn_put_text(out, "</td>");
}

static void put_table(const hn_sheet_item *t, hn_out *out)
{
    hn_put_text(out, "<div class=\"scroll\"><table>");
    if (t->title[0])
        put_element(out, "<caption>", t->title, "</caption>");
    hn_put_text(out, "<thead><tr>");
    for (size_t c = 0; c < t->column_count; c++) {
        hn_put_text(out, t->columns[c].kind == HN_VIEW_TEXT ? "<th scope=\"col\">"
                                                            : "<th scope=\"col\" class=\"n\">");
        hn_put_xml(out, t->columns[c].title);
        if (t->columns[c].unit[0])
            put_element(out, ",<br/>", t->columns[c].unit, "");
        hn_put_text(out, "</th>");
    }
    hn_put_text(out, "</tr></thead><tbody>\n");
    for (size_t i = 0; t->column_count && i + t->column_count <= t->cell_count;
         i += t->column_count) {
        hn_put_text(out, "<tr>");
        for (size_t c = 0; c < t->column_count; c++)
            put_cell(&t->columns[c], &t->cells[i + c], out);
        hn_put_text(out, "</tr>\n");
    }
    hn_put_text(out, "</tbody></table></div>\n");
}

static void put_block(const hn_sheet_item *block, int level, hn_out *out)
{
    char tag[] = {'h', (char)('0' + (level > 6 ? 6 : level)), '\0'};

    hn_put_text(out, level == 2 ? "<section>\n<" : "<");
    hn_put_text(out, tag);
    put_element(out, ">", block->title, "</");
    hn_put_text(out, tag);
    hn_put_text(out, ">\n");
    for (const hn_sheet_item *i = block->first; i; i = i->next) {
        switch (i->kind) {
        case HN_SHEET_BLOCK:
            put_block(i, level + 1, out);
            break;
        case HN_SHEET_TEXT:
            put_element(out, i->is_emphasised ? "<p class=\"strong\">" : "<p>", i->text, "</p>\n");
            break;
        case HN_SHEET_VALUE:
            i = put_values(i, out);
            break;
        case HN_SHEET_FORMULA:
            put_formula(i, out);
            break;
        case HN_SHEET_TABLE:
            put_table(i, out);
            break;
        case HN_SHEET_FIGURE:
            hn_put_text(out, "<figure>\n");
            hn_put_text(out, i->text ? i->text : "");
            put_element(out, "<figcaption>", i->title, "</figcaption>\n</figure>\n");
            break;
        }
    }
    hn_put_text(out, level == 2 ? "</section>\n" : "");
}

void hn_sheet_to_html(const hn_sheet *sheet, hn_out *out)
{
    hn_put_text(out, "<!DOCTYPE html>\n<html lang=\"en\" xmlns=\"http://www.w3.org/1999/xhtml\">\n"
                     "<head>\n<meta charset=\"utf-8\"/>\n"
                     "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n");
    put_element(out, "<title>", sheet->title, "</title>\n<style>\n");
    hn_put_text(out, style);
    put_element(out, "</style>\n</head>\n<body>\n<main>\n<h1>", sheet->title, "</h1>\n");
    for (const hn_sheet_item *i = sheet->root.first; i; i = i->next)
        put_block(i, 2, out);
    hn_put_text(out, "</main>\n</body>\n</html>\n");
}
