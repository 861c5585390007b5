/* read/latin_text.h - texts that are not UTF-8 are taken for Windows-1252,
 * the usual code page of old desktop files, so that results stay valid. */
#ifndef HN_READ_LATIN_TEXT_H
#define HN_READ_LATIN_TEXT_H

#include "read/cell_text.h"

int hn_is_utf8(hn_span text);
/* UTF-8 of a Windows-1252 text in `room`, cut at a whole character. */
hn_span hn_utf8_of_latin(hn_span text, char *room, size_t size);

#endif
