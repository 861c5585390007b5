/* write/cell_guard.h - texts that a spreadsheet would run as a formula.
 * Source: common practice, no source (the "formula injection" guard list). */
#ifndef HN_WRITE_CELL_GUARD_H
#define HN_WRITE_CELL_GUARD_H

/* 1 when a cell with this text must be marked as text. */
static inline int hn_cell_is_risky(const char *text)
{
    switch (text[0]) {
    case '=':
    case '+':
    case '-':
    case '@':
    case '\t':
    case '\r':
    case '\n':
        return 1;
    default:
        return 0;
    }
}

#endif
