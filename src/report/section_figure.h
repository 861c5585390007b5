/* report/section_figure.h - cross-section before and after, to scale, as SVG. */
#ifndef HN_REPORT_SECTION_FIGURE_H
#define HN_REPORT_SECTION_FIGURE_H

#include "options/options.h"
#include "report/sheet.h"

/* A whole <svg> element with title and desc; dimensions in the units of the
 * sheet. The method's number makes its inner names unique in the file. NULL when
 * the section has no outline. */
const char *hn_section_figure(const hn_option *option, hn_sheet *sheet);

#endif
