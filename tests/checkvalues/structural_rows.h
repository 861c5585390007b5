/* checkvalues/structural_rows.h - one function per group of equations of the
 * structural check files. */
#ifndef HN_STRUCTURAL_ROWS_H
#define HN_STRUCTURAL_ROWS_H

#include "loose_rows.h"

check_state wall_row(const check_row *row, check_result *result);        /* E1 to E8 */
check_state wall_matrix_row(const check_row *row, check_result *result); /* whole designs */
check_state soil_row(const check_row *row, check_result *result);        /* E12 to E14 */
check_state traffic_row(const check_row *row, check_result *result);     /* E9 to E11, tables */
check_state grouted_row(const check_row *row, check_result *result);     /* E13b to E21 */

#endif
