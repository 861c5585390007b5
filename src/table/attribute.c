#include "table/attribute.h"

#include <stddef.h>
#include <string.h>

const char *hn_attribute_of(const char *column)
{
    static const char *const family[][2] = {
        {"cover_m", "depth_m"},      {"depth_up_m", "depth_m"},   {"depth_down_m", "depth_m"},
        {"height_mm", "width_mm"},   {"width_up_mm", "width_mm"}, {"width_down_mm", "width_mm"},
        {"age_years", "year_built"},
    };

    for (size_t i = 0; i < sizeof family / sizeof family[0]; i++)
        if (strcmp(family[i][0], column) == 0)
            return family[i][1];
    return column;
}
