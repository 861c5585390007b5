/* checkvalues/load_rows.c - rows of E9 to E14: soil and traffic on a pipe. */
#include "structural_rows.h"

#include "engineering/load.h"
#include "engineering/load_traffic.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double foot_m = 0.3048;

static double width_of(const check_row *row)
{
    static const char *const names[] = {"Bd", "Bc", "B"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const double width = row_si(row, names[i], row_says(row, "kN") ? "m" : "ft");
        if (!isnan(width))
            return width;
    }
    return NAN;
}

static double cover_over_width(const check_row *row)
{
    static const char *const names[] = {"H/Bd", "H/Bc", "H/B"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (!isnan(row_plain(row, names[i])))
            return row_plain(row, names[i]);
    return row_si(row, "H", row_says(row, "kN") ? "m" : "ft") / width_of(row);
}

static double given_coefficient(const check_row *row)
{
    static const char *const names[] = {"Cd", "Cc", "C"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (!isnan(row_plain(row, names[i])))
            return row_plain(row, names[i]);
    return NAN;
}

/* Line load by a coefficient that the row gives, or by the engine's own. */
static check_state line_load(const check_row *row, check_result *result, int projecting)
{
    const double width = width_of(row), given = given_coefficient(row);
    const double weight_kn = row_si(row, "w", "lb/ft3") / 1000;
    const double cover = cover_over_width(row) * width;

    if (!isnan(given))
        return row_in_unit(row, result, 1000 * given * weight_kn * width * width);
    if (projecting)
        return row_in_unit(row, result,
                           1000 * hn_projecting_load_kn_per_m(0.5, weight_kn, cover, width));
    return row_in_unit(
        row, result,
        1000 * hn_marston_load_kn_per_m(row_plain(row, "Kmu"), weight_kn, cover, width));
}

static check_state bearing_row(const check_row *row, check_result *result)
{
    const double load_kn = row_si(row, "W", "lb/ft") / 1000;
    const double test_kn =
        hn_three_edge_load_kn_per_m(load_kn, row_plain(row, "SF"), row_plain(row, "BF"));

    if (row_is(row, "D-load"))
        return row_in_unit(row, result,
                           1000 * hn_d_load_kn_per_m2(test_kn, row_si(row, "D", "ft")));
    return row_in_unit(row, result, 1000 * test_kn);
}

check_state soil_row(const check_row *row, check_result *result)
{
    const char *equation = check_cell(row, "equation");
    const int projecting = strncmp(equation, "E14", 3) == 0;

    if (strncmp(equation, "E13", 3) == 0)
        return bearing_row(row, result);
    if (strncmp(row->quantity, "H/B", 3) == 0)
        return check_number(result, cover_over_width(row));
    if (strncmp(row->quantity, "W", 1) == 0)
        return line_load(row, result, projecting);
    if (projecting)
        return check_number(result, hn_projecting_coefficient(0.5, cover_over_width(row)));
    return check_number(result,
                        hn_marston_coefficient(row_plain(row, "Kmu"), cover_over_width(row), 1));
}

static check_state share_row(const check_row *row, check_result *result)
{
    const char *equation = check_cell(row, "equation");
    double width = row_si(row, "outside diameter", "in");

    if (isnan(width))
        width = row_si(row, "OD", "in");
    if (strstr(equation, "superposed"))
        return row_in_unit(row, result,
                           hn_two_truck_share_per_m(width, 3 * foot_m, row_si(row, "H", "ft")));
    if (strstr(equation, "3 ft"))
        return row_in_unit(row, result,
                           hn_point_load_share(width / 2, 1.5 * foot_m, row_si(row, "H", "ft")) /
                               (3 * foot_m));
    if (row_says(row, "/(2H)")) /* both sides as halves of the depth */
        return check_number(result, hn_point_load_share(row_nth(row, 1), row_nth(row, 2), 1));
    return check_number(result,
                        hn_point_load_share(row_si(row, "Bc", "ft") / 2, row_si(row, "L", "ft") / 2,
                                            row_si(row, "H", "ft")));
}

static check_state wheel_row(const check_row *row, check_result *result)
{
    const double width = row_si(row, "D", "in"), wheel_kn = row_si(row, "P", "lb") / 1000;
    const double share = row_plain(row, "C");

    return row_in_unit(
        row, result,
        1000 * hn_wheel_pressure_kpa(share, wheel_kn, row_plain(row, "F"), 3 * foot_m, width));
}

static check_state spread_row(const check_row *row, check_result *result)
{
    const double cover = row_si(row, "H", "ft");

    if (row_says(row, "HL-93"))
        return row_in_unit(row, result, 1000 * hn_lrfd_spread_kpa(cover));
    if (row_says(row, "LM1"))
        return row_in_unit(row, result, 1000 * hn_tandem_spread_kpa(cover));
    if (!row_says(row, "one wheel"))
        return check_cannot(result, "this spread is not known");
    return row_in_unit(row, result,
                       1000 * hn_square_spread_kpa(row_si(row, "one wheel", "lb") / 1000, cover));
}

/* "cover 0-1 ft" is tried in the middle, "cover over 3 ft" just below. */
static double impact_cover(const check_row *row)
{
    const char *text = strstr(check_inputs(row), "cover");
    double low, high;

    if (text && sscanf(text, "cover over %lf", &low) == 1)
        return (low + 0.01) * foot_m;
    if (text && sscanf(text, "cover %lf-%lf", &low, &high) == 2)
        return (low + high) / 2 * foot_m;
    return row_si(row, "cover", "ft");
}

static check_state lookup_row(const check_row *row, check_result *result)
{
    const double cover = row_si(row, "cover", "ft");

    if (row_says(row, "impact factor"))
        return check_number(result, hn_impact_factor(impact_cover(row)));
    if (row_says(row, "rigid pavement"))
        return check_number(result, hn_rigid_pavement_factor(row_si(row, "H", "ft"),
                                                             row_si(row, "pavement", "in")));
    if (row_says(row, "rail"))
        return row_in_unit(row, result,
                           1000 * hn_live_load_table_kpa(HN_LOAD_TABLE_RAILWAY, cover));
    if (row_says(row, "highway"))
        return row_in_unit(row, result,
                           1000 * hn_live_load_table_kpa(HN_LOAD_TABLE_HIGHWAY, cover));
    return check_cannot(result, "this table is not known");
}

check_state traffic_row(const check_row *row, check_result *result)
{
    const char *equation = check_cell(row, "equation");

    if (strncmp(equation, "E10", 3) == 0)
        return share_row(row, result);
    if (strncmp(equation, "E11", 3) == 0)
        return spread_row(row, result);
    if (strncmp(equation, "E9", 2) == 0)
        return wheel_row(row, result);
    return lookup_row(row, result);
}
