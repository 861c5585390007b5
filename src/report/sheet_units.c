#include "report/sheet_units.h"

#include <string.h>

#define FOOT_M   0.3048                                 /* exactly, 1959 */
#define POUND_KN (0.45359237 * 9.80665 / 1000.0)        /* pound-force, exactly */
#define PSI_MPA  (0.45359237 * 9.80665 / (25.4 * 25.4)) /* N/mm2 of one lbf/in2 */

static const struct {
    const char *si;
    hn_sheet_unit to;
} conversions[] = {
    {"mm", {"in", "_mm", "_in", 1.0 / 25.4, 1}},
    {"m", {"ft", "_m", "_ft", 1.0 / FOOT_M, 0}},
    {"m2", {"ft2", "_m2", "_ft2", 1.0 / (FOOT_M * FOOT_M), 0}},
    {"m/s", {"ft/s", "_m_per_s", "_ft_per_s", 1.0 / FOOT_M, 0}},
    {"m3/s", {"ft3/s", "_m3_per_s", "_ft3_per_s", 1.0 / (FOOT_M * FOOT_M * FOOT_M), 0}},
    {"MPa", {"psi", "_mpa", "_psi", 1.0 / PSI_MPA, -2}},
    {"kN/m3", {"lbf/ft3", "_kn_per_m3", "_lbf_per_ft3", FOOT_M *FOOT_M *FOOT_M / POUND_KN, 0}},
};

hn_sheet_unit hn_sheet_unit_of(int is_us, const char *unit)
{
    for (size_t i = 0; is_us && i < sizeof conversions / sizeof conversions[0]; i++)
        if (strcmp(unit, conversions[i].si) == 0)
            return conversions[i].to;
    return (hn_sheet_unit){unit, NULL, NULL, 1.0, 0};
}

const char *hn_sheet_unit_key(hn_sheet *sheet, const char *key, const hn_sheet_unit *to)
{
    size_t n = strlen(key), m = to->suffix ? strlen(to->suffix) : 0;

    if (m == 0 || n <= m || strcmp(key + n - m, to->suffix) != 0)
        return key;
    return hn_sheet_text(sheet, "%.*s%s", (int)(n - m), key, to->new_suffix);
}
