/* report/sheet_units.h - SI into US customary units on a sheet. Lengths and
 * flows as in the layers (table/view_units.c); pressures, weights and areas
 * stand on sheets alone. Names that end in the unit change with it. */
#ifndef HN_REPORT_SHEET_UNITS_H
#define HN_REPORT_SHEET_UNITS_H

#include "report/sheet.h"

typedef struct hn_sheet_unit {
    const char *unit;
    const char *suffix, *new_suffix; /* of keys; NULL: none */
    double factor;
    int more_decimals;
} hn_sheet_unit;

hn_sheet_unit hn_sheet_unit_of(int is_us, const char *unit);
/* The key with the new unit at its end. */
const char *hn_sheet_unit_key(hn_sheet *sheet, const char *key, const hn_sheet_unit *to);

#endif
