/* checkvalues/wall_rows.c - rows of E1 to E8: flexible liners in circular hosts. */
#include "structural_rows.h"

#include "engineering/liner_wall.h"
#include "engineering/load.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double psi_mpa = 0.006894757293168, foot_m = 0.3048, lb_ft3_kn = 0.157087463846246;

/* The 48 in example of Najafi 2010, Sec. 2.7, to which rows refer by name. */
static hn_liner_wall_input example(hn_liner_constants constants)
{
    return (hn_liner_wall_input){
        .diameter_mm = 48 * 25.4,
        .ovality_pct = 2,
        .modulus_short_mpa = 250000 * psi_mpa,
        .modulus_long_mpa = 125000 * psi_mpa,
        .strength_long_mpa = 4500 * psi_mpa,
        .poisson = 0.3,
        .enhancement = 7,
        .safety = 2,
        .groundwater_above_invert_m = 12 * foot_m,
        .groundwater_above_crown_m = 8 * foot_m,
        .cover_m = 16 * foot_m,
        .soil_weight_kn_per_m3 = 120 * lb_ft3_kn,
        .soil_modulus_mpa = 1000 * psi_mpa,
        .live_load_mpa = 0.35 * psi_mpa,
        .fully_deteriorated = 1,
        .constants = constants,
    };
}

static int in_si(const check_row *row)
{
    return row_says(row, "SI") || strstr(check_cell(row, "equation"), "SI") != NULL;
}

static void set(double *field, double value)
{
    if (!isnan(value))
        *field = value;
}

/* The example with what the row itself gives put over it; numbers without a unit
 * are in the US units of the source, or SI where the row says so. */
static hn_liner_wall_input input_of(const check_row *row)
{
    const int si = in_si(row);
    hn_liner_wall_input in = example(si ? HN_LINER_SI : HN_LINER_US);
    const char *length = si ? "m" : "ft", *stress = si ? "MPa" : "psi";

    set(&in.diameter_mm, row_si(row, "D", si ? "mm" : "in") * 1000);
    set(&in.ovality_pct, row_plain(row, "q"));
    set(&in.modulus_short_mpa, row_si(row, "E", stress) / 1e6);
    set(&in.modulus_long_mpa, row_si(row, "EL", stress) / 1e6);
    set(&in.strength_long_mpa, row_si(row, "S", stress) / 1e6);
    set(&in.poisson, row_plain(row, "nu"));
    set(&in.enhancement, row_plain(row, "K"));
    set(&in.safety, row_plain(row, "N"));
    set(&in.groundwater_above_crown_m, row_si(row, "Hw", length));
    set(&in.cover_m, row_si(row, "H", length));
    set(&in.soil_weight_kn_per_m3, row_si(row, "w", si ? "kN/m3" : "lb/ft3") / 1000);
    set(&in.soil_modulus_mpa, row_si(row, "E's", stress) / 1e6);
    set(&in.live_load_mpa, row_si(row, "Ws", stress) / 1e6);
    return in;
}

static check_state e1_row(const check_row *row, check_result *result)
{
    const check_row base = row_base(row);
    const hn_liner_wall_input in = input_of(&base);
    double c = row_plain(&base, "C");

    if (isnan(c))
        c = hn_ovality_factor(in.ovality_pct);
    return row_in_unit(row, result, hn_wall_e1_mm(&in, c, row_si(&base, "P", "psi") / 1e6) / 1000);
}

static check_state e2_row(const check_row *row, check_result *result)
{
    const check_row base = row_base(row);
    const hn_liner_wall_input in = input_of(&base);
    const double pressure_mpa = row_si(&base, "P", "psi") / 1e6;
    hn_e2_terms terms = hn_wall_e2_terms(&in, isnan(pressure_mpa) ? 1 : pressure_mpa);
    double r, b_in, a_in2;

    if (row_is(row, "S/(PN)"))
        return check_number(result, terms.r);
    if (row_is(row, "coefficient"))
        return row_in_unit(row, result,
                           strcmp(check_unit(row), "in2") == 0 ? terms.a_mm2 / 1e6
                                                               : terms.b_mm / 1000);
    if (sscanf(check_inputs(&base), "%lf t^2 + %lf t - %lf", &r, &b_in, &a_in2) == 3)
        terms = (hn_e2_terms){r, a_in2 * 25.4 * 25.4, b_in * 25.4};
    return row_in_unit(row, result, hn_wall_e2_root_mm(&terms) / 1000);
}

static check_state e3_row(const check_row *row, check_result *result)
{
    hn_liner_wall_input in = input_of(row);
    hn_liner_wall loads = hn_liner_wall_design(&in);

    if (strncmp(check_cell(row, "equation"), "E3a", 3) == 0)
        in.era = HN_LINER_BEFORE_2007B;
    set(&loads.total_load_mpa, row_si(row, "qt", "psi") / 1e6);
    set(&loads.buoyancy, row_plain(row, "Rw"));
    set(&loads.elastic_support, row_plain(row, "B'"));
    set(&loads.ovality_factor, row_plain(row, "C"));
    return row_in_unit(row, result, hn_wall_e3_mm(&in, &loads) / 1000);
}

static check_state era_ratio_row(const check_row *row, check_result *result)
{
    hn_liner_wall_input in = input_of(row);
    const double since = hn_liner_wall_design(&in).t_e3_mm;

    in.era = HN_LINER_BEFORE_2007B;
    return check_number(result, since / hn_liner_wall_design(&in).t_e3_mm);
}

static check_state partial_row(const check_row *row, check_result *result)
{
    hn_liner_wall_input in = example(HN_LINER_US);

    in.fully_deteriorated = 0;
    return row_in_unit(row, result, hn_liner_wall_design(&in).required_mm / 1000);
}

static check_state load_factor_row(const check_row *row, check_result *result)
{
    const hn_liner_wall_input in = input_of(row);
    const hn_liner_wall wall = hn_liner_wall_design(&in);
    double above_invert_m = row_si(row, "head above invert", "ft");

    if (row_is(row, "C"))
        return check_number(result, wall.ovality_factor);
    if (row_is(row, "B'"))
        return check_number(result, wall.elastic_support);
    if (row_is(row, "Rw"))
        return check_number(result, wall.buoyancy);
    if (row_is(row, "qt"))
        return row_in_unit(row, result, wall.total_load_mpa * 1e6);
    if (row_is(row, "P") && !isnan(above_invert_m)) {
        hn_liner_wall_input wet = in;
        wet.groundwater_above_invert_m = above_invert_m;
        return row_in_unit(row, result, hn_liner_wall_design(&wet).water_pressure_mpa * 1e6);
    }
    if (row_is(row, "EL"))
        return row_in_unit(
            row, result,
            1e6 * hn_long_term_modulus_mpa(in.modulus_short_mpa, row_si(row, "retention", "%")));
    return check_cannot(result, "no wall function gives %s", row->quantity);
}

static check_state e4_row(const check_row *row, check_result *result)
{
    const hn_liner_wall_input in = input_of(row);

    return row_in_unit(row, result, hn_wall_e4_mm(&in) / 1000);
}

check_state wall_row(const check_row *row, check_result *result)
{
    static const struct {
        const char *equation;
        check_state (*compute)(const check_row *row, check_result *result);
    } known[] = {
        {"E3b/E3a", era_ratio_row},
        {"max(E1,E2)", partial_row},
        {"E1", e1_row},
        {"E2", e2_row},
        {"E3", e3_row},
        {"E4", e4_row},
    };
    const char *equation = check_cell(row, "equation");

    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (strncmp(equation, known[i].equation, strlen(known[i].equation)) == 0)
            return known[i].compute(row, result);
    return load_factor_row(row, result);
}

/* Full designs in US units. A dry trench has no pressure at the invert either, and
 * the traffic pressure was a whole number of lb/ft2 before it was printed in psi. */
static hn_liner_wall_input matrix_input(const check_row *row)
{
    hn_liner_wall_input in = input_of(row);
    const double crown_m = in.groundwater_above_crown_m;

    in.live_load_mpa = round(in.live_load_mpa / psi_mpa * 144) / 144 * psi_mpa;
    in.groundwater_above_invert_m = crown_m > 0 ? crown_m + in.diameter_mm / 1000 : 0;
    return in;
}

check_state wall_matrix_row(const check_row *row, check_result *result)
{
    hn_liner_wall_input in = matrix_input(row);
    const int before = strstr(row->quantity, "pre") != NULL;

    if (before)
        in.era = HN_LINER_BEFORE_2007B;
    const hn_liner_wall wall = hn_liner_wall_design(&in);
    if (strncmp(row->quantity, "governs", 7) == 0)
        return check_word(result, hn_liner_governs_name(wall.governs, in.era));
    if (row_is(row, "t_full"))
        return row_in_unit(row, result, wall.t_e3_mm / 1000);
    if (row_is(row, "t_stiff"))
        return row_in_unit(row, result, wall.t_e4_mm / 1000);
    if (row_is(row, "t_part"))
        return row_in_unit(row, result, wall.t_e1_mm / 1000);
    if (row_is(row, "t_bend"))
        return row_in_unit(row, result, wall.t_e2_mm / 1000);
    return row_in_unit(row, result, wall.required_mm / 1000);
}
