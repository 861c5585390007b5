/* checkvalues/grouted_rows.c - rows of E13 and E15 to E21: grouted linings. */
#include "structural_rows.h"

#include "engineering/grouted.h"
#include "engineering/grouted_quantities.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

static double or_else(double value, double other)
{
    return isnan(value) ? other : value;
}

/* "host 100 mm E=25 GPa; mortar 40 mm 20 GPa; ..." from the outside in. */
static size_t read_layers(const char *inputs, hn_wall_layer layers[8])
{
    size_t count = 0;

    for (const char *p = inputs; p && count < 8; p = strchr(p, ';'), p = p ? p + 1 : NULL) {
        const char *text = strstr(p, "from outside: ");
        double thickness, gpa;
        if (sscanf(text ? text + 14 : p, " %*s %lf mm E=%lf GPa", &thickness, &gpa) == 2 ||
            sscanf(text ? text + 14 : p, " %*s %lf mm %lf GPa", &thickness, &gpa) == 2)
            layers[count++] = (hn_wall_layer){thickness, gpa * 1000};
    }
    return count;
}

static check_state section_row(const check_row *row, check_result *result)
{
    check_row base = row_base(row);
    hn_wall_layer layers[8];
    size_t count = read_layers(check_inputs(&base), layers);

    /* "same layers" or a ratio alone: the section stands in a row above. */
    while (count == 0 && base.index > 1) {
        base.index--;
        count = read_layers(check_inputs(&base), layers);
    }
    if (count < 2)
        return check_cannot(result, "the layers are not in the file");
    const hn_composite wall = hn_composite_wall(layers, count, layers[1].modulus_mpa);
    if (row_is(row, "ybar"))
        return row_in_unit(row, result, wall.centroid_mm / 1000);
    if (row_is(row, "I_tr"))
        return row_in_unit(row, result, wall.inertia_mm4_per_m * 1e-12);
    if (row_is(row, "I_sum")) /* the example keeps mortar and facing together */
        return row_in_unit(row, result, wall.slip_inertia_mm4_per_m * 1e-12);
    if (row_is(row, "ratio"))
        return check_number(result, wall.bond_ratio);
    if (row_is(row, "M_cr"))
        return row_in_unit(
            row, result,
            1000 * hn_cracking_moment_knm_per_m(&wall, row_si(row, "y", "mm") * 1000,
                                                row_si(row, "modulus of rupture", "MPa") / 1e6, 1));
    return check_cannot(result, "no section function gives %s", row->quantity);
}

static check_state ring_row(const check_row *row, check_result *result)
{
    if (row_says(row, "crown"))
        return check_number(result, hn_ring_crown_moment(1, 1));
    if (row_says(row, "springline"))
        return check_number(result, hn_ring_springline_moment(1, 1));
    return check_number(result, hn_ring_pressure_moment(1, row_plain(row, "k"), 1));
}

static double buckling_kpa(const check_row *row)
{
    return hn_grouting_buckling_kpa(row_si(row, "E", "MPa") / 1e6, row_si(row, "t", "mm") * 1000,
                                    row_si(row, "Dmean", "mm") * 1000, row_plain(row, "nu"));
}

static check_state lift_row(const check_row *row, check_result *result)
{
    const check_row base = row_base(row);
    const double inside_kpa = or_else(row_si(row, "inside", "kPa") / 1000, 0);

    return row_in_unit(row, result,
                       hn_grout_lift_m(buckling_kpa(&base), row_plain(row, "FS"), inside_kpa,
                                       or_else(row_si(row, "pump", "kPa") / 1000, 0),
                                       row_si(row, "grout", "kN/m3") / 1000));
}

/* The example of the dossier: 1.0 m, grout and wall of 18 kN/m3, wall 18 mm. */
static check_state flotation_row(const check_row *row, check_result *result)
{
    const double d = or_else(row_si(row, "D", "m"), 1), grout_kn = 18, wall_kn = 18;
    const double t = or_else(row_si(row, "liner wall", "mm"), 0.018);
    hn_flotation_input in = {.outside_diameter_m = d, .grout_kn_per_m3 = grout_kn};
    const double liner_kn = wall_kn * hn_annulus_m2(d, d - 2 * t);

    if (row_is(row, "segment area"))
        return row_in_unit(row, result,
                           hn_circle_segment_m2(row_si(row, "r", "m"), row_si(row, "h", "m")));
    if (row_is(row, "liner weight"))
        return row_in_unit(row, result, 1000 * liner_kn);
    if (row_is(row, "uplift"))
        return row_in_unit(row, result, 1000 * hn_flotation_kn_per_m(&in, d));
    in.liner_kn_per_m = liner_kn;
    if (row_says(row, "full of water"))
        in.water_kn_per_m = 9.81 * pi / 4 * (d - 2 * t) * (d - 2 * t);
    if (row_is(row, "h"))
        return row_in_unit(row, result, hn_first_lift_m(&in));
    return row_in_unit(row, result, 1000 * hn_flotation_kn_per_m(&in, d));
}

static check_state volume_row(const check_row *row, check_result *result)
{
    const check_row base = row_base(row);
    const double host = or_else(row_si(&base, "host", "m"), row_si(&base, "D", "in"));
    const double liner = or_else(row_si(&base, "liner OD", "m"), row_si(&base, "d", "in"));
    const double allowance = or_else(row_si(row, "allowance", "%"), 0);

    if (row_is(row, "A"))
        return row_in_unit(row, result, hn_annulus_m2(host, liner));
    return row_in_unit(row, result,
                       hn_grout_volume_m3(pi / 4 * host * host, pi / 4 * liner * liner,
                                          row_si(&base, "L", "ft"), allowance, 0));
}

static check_state panel_row(const check_row *row, check_result *result)
{
    const double head_m = row_si(row, "head", "m"), grout_kn = row_si(row, "of", "kN/m3") / 1000;

    return row_in_unit(
        row, result,
        1000 * hn_panel_moment_knm_per_m(head_m * grout_kn, row_si(row, "spacing", "m")));
}

check_state grouted_row(const check_row *row, check_result *result)
{
    static const struct {
        const char *equation;
        check_state (*compute)(const check_row *row, check_result *result);
    } known[] = {
        {"E13", ring_row},      {"E15", section_row}, {"E16", section_row}, {"E18", lift_row},
        {"E19", flotation_row}, {"E20", volume_row},  {"E21", panel_row},
    };
    const char *equation = check_cell(row, "equation");

    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (strncmp(equation, known[i].equation, 3) == 0)
            return known[i].compute(row, result);
    return row_in_unit(row, result, 1000 * buckling_kpa(row));
}
