/* read/crs_area.h - lines that cannot lie where their CRS puts them. */
#ifndef HN_READ_CRS_AREA_H
#define HN_READ_CRS_AREA_H

#include "table/issues.h"
#include "table/segment_table.h"

/* Lists rows whose first point lies beyond the area of use of the CRS,
 * widened by half its size on every side; the rows are kept. After
 * HN_OFF_AREA_LISTED rows only their number is told. Nothing happens when the
 * CRS states no area. Errors: HN_ERR_INPUT when PROJ cannot use the CRS. */
enum { HN_OFF_AREA_LISTED = 50 };
HN_MUST_CHECK hn_status hn_crs_area_check(const char *crs_wkt, const hn_table *table,
                                          hn_issue_list *issues, hn_error *err);

#endif
