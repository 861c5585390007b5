/* checkvalues/check_section.c - rows about cross-sections: full measures,
 * part-full ratios, the maxima of velocity and flow, and outline points. */
#include "checkvalues.h"

#include "engineering/flow_depth.h"
#include "engineering/section_depth.h"
#include "engineering/section_profile.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static int claims(const check_row *row)
{
    return check_has_column(row, "shape");
}

/* Sections by name. Ratios do not depend on the size, so 1 m high will do
 * unless the row gives sizes; an ellipse's ratios do not depend on its axes. */
static hn_section section_named(const char *shape)
{
    if (strcmp(shape, "circular") == 0)
        return hn_section_circle(1000.0);
    if (strcmp(shape, "egg_std_2:3") == 0)
        return hn_section_egg_standard(2000.0 / 3.0);
    if (strcmp(shape, "egg_new_2:3") == 0 || strcmp(shape, "egg") == 0)
        return hn_section_egg_new(2000.0 / 3.0);
    if (strcmp(shape, "horseshoe_std") == 0)
        return hn_section_from_size(HN_SECTION_HORSESHOE, 1000.0, 1000.0);
    if (strcmp(shape, "ellipse_horizontal") == 0)
        return hn_section_from_size(HN_SECTION_ELLIPSE, 1600.0, 1000.0);
    if (strcmp(shape, "ellipse_vertical") == 0)
        return hn_section_from_size(HN_SECTION_ELLIPSE, 625.0, 1000.0);
    return hn_section_from_size(HN_SECTION_OTHER, NAN, NAN);
}

static hn_section_shape sized_shape(const char *shape)
{
    if (strncmp(shape, "rectang", 7) == 0)
        return HN_SECTION_RECTANGLE;
    if (strncmp(shape, "ellip", 5) == 0)
        return HN_SECTION_ELLIPSE;
    if (strcmp(shape, "channel") == 0)
        return HN_SECTION_CHANNEL;
    if (strncmp(shape, "arch", 4) == 0)
        return HN_SECTION_ARCH;
    if (strncmp(shape, "egg", 3) == 0)
        return HN_SECTION_EGG;
    if (strncmp(shape, "horseshoe", 9) == 0)
        return HN_SECTION_HORSESHOE;
    return strncmp(shape, "circ", 4) == 0 ? HN_SECTION_CIRCLE : HN_SECTION_OTHER;
}

static hn_section section_of(const check_row *row)
{
    const char *shape = check_case(row);
    double width_m = check_input_si(row, "W", "m"), height_m = check_input_si(row, "H", "m");

    if (isnan(width_m)) {
        width_m = 2.0 * check_input_si(row, "semi-width", "m");
        if (!isnan(width_m))
            height_m = 2.0 * check_input_si(row, "semi-height", "m");
    }
    if (isnan(width_m) || isnan(height_m))
        return section_named(shape);
    return hn_section_from_size(sized_shape(shape), width_m * 1e3, height_m * 1e3);
}

/* The finished section when the row gives a lining thickness t. */
static hn_section lined_section_of(const check_row *row)
{
    const hn_section section = section_of(row);
    const double t_m = check_input_si(row, "t", "m");

    return isnan(t_m) ? section : hn_section_inset(&section, t_m * 1e3);
}

/* Depth in m: a share of the height or of half the height. */
static double depth_of(const check_row *row, const hn_section *section)
{
    static const char *const names[] = {"y/H", "y/D", "h/H", "h/D"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (!isnan(check_input(row, names[i], NULL)))
            return check_input(row, names[i], NULL) * section->height_m;
    return check_input(row, "depth/radius", NULL) * section->height_m / 2.0;
}

static int starts(const char *text, const char *begin)
{
    return strncmp(text, begin, strlen(begin)) == 0;
}

static double full_number(const hn_section *section, const char *quantity)
{
    const hn_section_measures full = hn_section_full(section);
    const double h = full.height_m;

    if (starts(quantity, "A_full_ft2"))
        return full.area_m2 / check_unit_factor("ft2");
    if (strcmp(quantity, "A_full/H^2") == 0)
        return full.area_m2 / (h * h);
    if (strcmp(quantity, "P_full/H") == 0)
        return full.perimeter_m / h;
    if (strcmp(quantity, "R_full/H") == 0)
        return full.hydraulic_radius_m / h;
    if (starts(quantity, "A_full"))
        return full.area_m2;
    if (starts(quantity, "P_full"))
        return full.perimeter_m;
    if (starts(quantity, "R_full"))
        return full.hydraulic_radius_m;
    return NAN;
}

/* "A/A_full", "T/D", "R/radius^2" ...: the part before the bar over the rest. */
static double wet_number(const hn_section *section, double depth_m, const char *quantity)
{
    const hn_section_wet wet = hn_section_at_depth(section, depth_m);
    const hn_section_measures full = hn_section_full(section);
    const char *below = strchr(quantity, '/');
    const double diameter_m = full.height_m, radius_m = diameter_m / 2.0;
    double above = NAN;

    switch (quantity[0]) {
    case 'A':
        above = wet.area_m2;
        break;
    case 'P':
        above = wet.perimeter_m;
        break;
    case 'R':
        above = wet.hydraulic_radius_m;
        break;
    case 'T':
    case 'W':
        above = wet.top_width_m;
        break;
    default:
        break;
    }
    if (!below || strchr("[ ", quantity[1]))
        return above; /* "A [m2]": the measure itself */
    below++;
    if (strcmp(below, "A_full") == 0)
        return above / full.area_m2;
    if (strcmp(below, "P_full") == 0)
        return above / full.perimeter_m;
    if (strcmp(below, "R_full") == 0)
        return above / full.hydraulic_radius_m;
    if (strcmp(below, "W_max") == 0)
        return above / full.width_m;
    if (strcmp(below, "D") == 0 || strcmp(below, "H") == 0)
        return above / diameter_m;
    if (strcmp(below, "D^2") == 0 || strcmp(below, "H^2") == 0)
        return above / (diameter_m * diameter_m);
    if (strcmp(below, "radius") == 0)
        return above / radius_m;
    return strcmp(below, "radius^2") == 0 ? above / (radius_m * radius_m) : NAN;
}

static hn_flow_model model_of(const char *quantity)
{
    const int rule_5_8 = strstr(quantity, "0.625") != NULL || strstr(quantity, "5/8") != NULL;

    return (hn_flow_model){.law = HN_FLOW_MANNING,
                           .rule = rule_5_8 ? HN_PART_FULL_RADIUS_5_8 : HN_PART_FULL_LAW,
                           .n = 0.013,
                           .slope_m_per_m = 0.01};
}

static double flow_number(const hn_section *section, double depth_m, const char *quantity)
{
    const hn_flow_model model = model_of(quantity);

    if (starts(quantity, "V/V_full"))
        return hn_velocity_at_depth_m_per_s(section, &model, depth_m) /
               hn_velocity_full_m_per_s(section, &model);
    if (starts(quantity, "Q/Q_full"))
        return hn_flow_at_depth_m3_per_s(section, &model, depth_m) /
               hn_flow_full_m3_per_s(section, &model);
    return NAN;
}

static double peak_number(const hn_section *section, const char *quantity)
{
    const hn_flow_model model = model_of(quantity);
    const hn_flow_peak fastest = hn_peak_velocity(section, &model);
    const hn_flow_peak most = hn_peak_flow(section, &model);

    if (starts(quantity, "V_max/V_full"))
        return fastest.velocity_m_per_s / hn_velocity_full_m_per_s(section, &model);
    if (starts(quantity, "Q_max/Q_full"))
        return most.flow_m3_per_s / hn_flow_full_m3_per_s(section, &model);
    if (starts(quantity, "y/H at V_max"))
        return fastest.depth_m / section->height_m;
    return starts(quantity, "y/H at Q_max") ? most.depth_m / section->height_m : NAN;
}

static double outline_number(const hn_section *section, const char *quantity)
{
    if (starts(quantity, "side radius / crown radius"))
        return hn_section_egg_side_radius_m(section) / (section->width_m / 2.0);
    if (starts(quantity, "y/H of "))
        return hn_profile_of(section).piece[0].y1_m / section->height_m;
    return NAN;
}

/* "R at 0.99H [m]" and the like. */
static double share_of_height_number(const hn_section *section, const char *quantity)
{
    char *end;
    const double share = strlen(quantity) > 5 ? strtod(quantity + 5, &end) : NAN;

    if (strncmp(quantity + 1, " at ", 4) != 0 || isnan(share))
        return NAN;
    const hn_section_wet wet = hn_section_at_depth(section, share * section->height_m);
    if (quantity[0] == 'R')
        return wet.hydraulic_radius_m;
    if (quantity[0] == 'P')
        return wet.perimeter_m;
    return quantity[0] == 'A' ? wet.area_m2 : NAN;
}

static check_state compute(const check_row *row, check_result *result)
{
    const hn_section section = lined_section_of(row);
    const char *quantity = row->quantity;
    double number = NAN;

    if (section.problem)
        return check_cannot(result, "shape %s: %s", check_case(row), section.problem);
    const double depth_m = depth_of(row, &section);
    if (strstr(quantity, "_full") && !strchr(quantity, '/'))
        number = full_number(&section, quantity);
    if (isnan(number) && isnan(depth_m))
        number = full_number(&section, quantity);
    if (isnan(number))
        number = outline_number(&section, quantity);
    if (isnan(number))
        number = peak_number(&section, quantity);
    if (isnan(number) && *quantity)
        number = share_of_height_number(&section, quantity);
    if (isnan(number))
        number = flow_number(&section, depth_m, quantity);
    if (isnan(number))
        number = wet_number(&section, depth_m, quantity);
    if (isnan(number))
        return check_cannot(result, "the quantity or its inputs are not understood");
    /* A place of a maximum found by comparing values is good to 5 digits only. */
    if (starts(quantity, "y/H at "))
        result->digits = 5;
    return check_number(result, number);
}

const check_family check_section = {"section", 8, claims, compute};
