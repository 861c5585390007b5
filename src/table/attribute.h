/* table/attribute.h - the recorded attribute that a column stands for. */
#ifndef HN_TABLE_ATTRIBUTE_H
#define HN_TABLE_ATTRIBUTE_H

/* "depth_m" for cover_m and the depths of the ends, "width_mm" for heights and end
 * widths, "year_built" for age_years, else the column itself. (local rule) */
const char *hn_attribute_of(const char *column);

#endif
