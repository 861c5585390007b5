/* report/sheet_render.h - a sheet as text, HTML or JSON.
 *
 * text: at most 96 columns, for a terminal or an e-mail; control characters in
 *       names never reach the terminal.
 * html: one self-contained file without script, well-formed as XML too.
 * json: objects by key in the order of the sheet; numbers as numbers, unknown
 *       null. Every value is {"label", "value", "unit", "basis"}.
 *
 * Failures stay in out->error.
 */
#ifndef HN_REPORT_SHEET_RENDER_H
#define HN_REPORT_SHEET_RENDER_H

#include "report/sheet.h"
#include "write/text_out.h"

void hn_sheet_to_text(const hn_sheet *sheet, hn_out *out);
void hn_sheet_to_html(const hn_sheet *sheet, hn_out *out);
void hn_sheet_to_json(const hn_sheet *sheet, hn_out *out);

/* Number as people read it: blanks between thousands, fixed decimals, "unknown"
 * for NaN. Cut to `size`. */
void hn_sheet_shown(double value, int decimals, char *out, size_t size);
/* Number of an item, its own way of saying "unknown" included. */
void hn_sheet_item_shown(const hn_sheet_item *item, char *out, size_t size);

#endif
