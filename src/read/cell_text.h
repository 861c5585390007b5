/* read/cell_text.h - one OGR cell as text, the same for every format: dates
 * as ISO, reals with the fewest digits that give the number back, trimmed. */
#ifndef HN_READ_CELL_TEXT_H
#define HN_READ_CELL_TEXT_H

#include <ogr_api.h>
#include <stddef.h>

/* Bytes that are not owned and need not end in NUL. */
typedef struct hn_span {
    const char *text;
    size_t length;
} hn_span;

enum { HN_CELL_TEXT_MAX = 64 };

/* Without blanks at both ends: space, tab, line ends, no-break space. */
hn_span hn_trim(const char *text, size_t length);
/* Fewest digits of 15 to 17 that read back as the same number. */
hn_span hn_real_span(double value, char room[HN_CELL_TEXT_MAX]);
/* Empty for NULL. Borrowed from the feature or from `room`. */
hn_span hn_cell_span(OGRFeatureH feature, int field, char room[HN_CELL_TEXT_MAX]);

#endif
