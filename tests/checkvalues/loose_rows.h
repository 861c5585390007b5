/* checkvalues/loose_rows.h - finding numbers in loosely written inputs, such as
 * "liner OD 1.000 m; L=100 m; allowance 10 %".
 */
#ifndef HN_LOOSE_ROWS_H
#define HN_LOOSE_ROWS_H

#include "checkvalues.h"

/* The number of "name=number unit" or "name number unit" anywhere in the inputs, in
 * plain SI by check_unit_factor; `bare` is the unit when none that is known stands
 * behind it. NaN when it is not there. */
double row_si(const check_row *row, const char *name, const char *bare);
/* The same number as it is written. */
double row_plain(const check_row *row, const char *name);
/* The nth number behind an equals sign, as it is written. */
double row_nth(const check_row *row, int n);

/* The row that "as NAJ-11" or "as above" refers to; the row itself otherwise. */
check_row row_base(const check_row *row);

/* 1 when the text of the row has the word in its inputs, output or topic. */
int row_says(const check_row *row, const char *word);
int row_is(const check_row *row, const char *output); /* the quantity, whole */

/* An SI number in the unit of the row; NaN becomes "an input is not in the row". */
check_state row_in_unit(const check_row *row, check_result *result, double si);

#endif
