/* engineering/grouted.c - E13 and E15 to E21: sections, rings, wet grout. */
#include "engineering/grouted.h"

#include "engineering/range.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

static int layers_allowed(const hn_wall_layer *layers, size_t count, double reference_mpa)
{
    if (count == 0 || !hn_is_positive(reference_mpa))
        return 0;
    for (size_t i = 0; i < count; i++) {
        if (!hn_is_positive(layers[i].thickness_mm) || !hn_is_positive(layers[i].modulus_mpa))
            return 0;
    }
    return 1;
}

/* Sums over the strips of a section: n t, n t y, n t y^2, n t^3/12. */
typedef struct sums {
    double area, first, second, own;
} sums;

static void add_strip(sums *s, double ratio, double top_mm, double bottom_mm)
{
    const double t = bottom_mm - top_mm, y = (top_mm + bottom_mm) / 2;
    s->area += ratio * t;
    s->first += ratio * t * y;
    s->second += ratio * t * y * y;
    s->own += ratio * t * t * t / 12;
}

static double bonded_mm3(const sums *s)
{
    return s->area > 0 ? s->own + s->second - s->first * s->first / s->area : 0;
}

/* The host, layer 0, counts from host_top_mm to host_bottom_mm only. */
static hn_composite section_with_host(const hn_wall_layer *layers, size_t count,
                                      double reference_mpa, double host_top_mm,
                                      double host_bottom_mm)
{
    sums all = {0}, lining = {0}, host = {0};
    double depth_mm = layers[0].thickness_mm;
    add_strip(&host, layers[0].modulus_mpa / reference_mpa, host_top_mm, host_bottom_mm);
    all = host;
    for (size_t i = 1; i < count; i++) {
        const double bottom_mm = depth_mm + layers[i].thickness_mm;
        add_strip(&lining, layers[i].modulus_mpa / reference_mpa, depth_mm, bottom_mm);
        add_strip(&all, layers[i].modulus_mpa / reference_mpa, depth_mm, bottom_mm);
        depth_mm = bottom_mm;
    }
    const double slip = bonded_mm3(&host) + bonded_mm3(&lining);
    /* x 1000: from a strip 1 mm wide to one metre of pipe */
    return (hn_composite){
        .thickness_mm = depth_mm,
        .area_mm2_per_m = all.area * 1000,
        .centroid_mm = all.first / all.area,
        .inertia_mm4_per_m = bonded_mm3(&all) * 1000,
        .slip_inertia_mm4_per_m = slip * 1000,
        .unbonded_inertia_mm4_per_m = all.own * 1000,
        .bond_ratio = bonded_mm3(&all) / slip,
    };
}

static const hn_composite no_wall = {NAN, NAN, NAN, NAN, NAN, NAN, NAN};

hn_composite hn_composite_wall(const hn_wall_layer *layers, size_t count, double reference_mpa)
{
    if (!layers_allowed(layers, count, reference_mpa))
        return no_wall;
    return section_with_host(layers, count, reference_mpa, 0, layers[0].thickness_mm);
}

hn_composite hn_cracked_composite_wall(const hn_wall_layer *layers, size_t count,
                                       double reference_mpa, int tension_outside)
{
    /* A host that is the whole wall cannot be left out of it. */
    if (count < 2 || !layers_allowed(layers, count, reference_mpa))
        return no_wall;
    const double host = layers[0].thickness_mm;
    hn_composite wall = hn_composite_wall(layers, count, reference_mpa);
    /* The centroid that fits its own cracked section lies between these two. */
    double low = 0, high = wall.thickness_mm;
    for (int i = 0; i < 60; i++) {
        const double axis = (low + high) / 2, inside = fmin(axis, host);
        wall = tension_outside ? section_with_host(layers, count, reference_mpa, inside, host)
                               : section_with_host(layers, count, reference_mpa, 0, inside);
        if (wall.centroid_mm > axis)
            low = axis;
        else
            high = axis;
    }
    return wall;
}

double hn_cracking_moment_knm_per_m(const hn_composite *wall, double y_mm, double rupture_mpa,
                                    double modular_ratio)
{
    const double arm_mm = fabs(y_mm - wall->centroid_mm);
    if (!hn_is_positive(wall->inertia_mm4_per_m) || !hn_is_positive(arm_mm) ||
        !hn_is_positive(rupture_mpa) || !hn_is_positive(modular_ratio))
        return NAN;
    return rupture_mpa * wall->inertia_mm4_per_m / (modular_ratio * arm_mm) / 1e6;
}

double hn_ring_crown_moment(double line_kn_per_m, double radius_m)
{
    if (!hn_is_not_negative(line_kn_per_m) || !hn_is_positive(radius_m))
        return NAN;
    return line_kn_per_m * radius_m / pi;
}

double hn_ring_springline_moment(double line_kn_per_m, double radius_m)
{
    if (!hn_is_not_negative(line_kn_per_m) || !hn_is_positive(radius_m))
        return NAN;
    return line_kn_per_m * radius_m * (0.5 - 1 / pi);
}

double hn_ring_pressure_moment(double pressure_kpa, double lateral_ratio, double radius_m)
{
    if (!hn_is_not_negative(pressure_kpa) || !hn_is_not_negative(lateral_ratio) ||
        !hn_is_positive(radius_m))
        return NAN;
    return 0.25 * (1 - lateral_ratio) * pressure_kpa * radius_m * radius_m;
}

double hn_grouting_buckling_kpa(double modulus_short_mpa, double thickness_mm,
                                double mean_diameter_mm, double poisson)
{
    if (!hn_is_positive(modulus_short_mpa) || !hn_is_positive(thickness_mm) ||
        !(mean_diameter_mm > thickness_mm) || !isfinite(mean_diameter_mm) ||
        !hn_is_not_negative(poisson) || !(poisson < 1))
        return NAN;
    const double slender = thickness_mm / mean_diameter_mm;
    return 1000 * 2 * modulus_short_mpa / (1 - poisson * poisson) * slender * slender * slender;
}

double hn_profile_buckling_kpa(double stiffness_knm2_per_m, double mean_diameter_m, double poisson)
{
    if (!hn_is_positive(stiffness_knm2_per_m) || !hn_is_positive(mean_diameter_m) ||
        !hn_is_not_negative(poisson) || !(poisson < 1))
        return NAN;
    return 24 * stiffness_knm2_per_m / ((1 - poisson * poisson) * pow(mean_diameter_m, 3));
}

double hn_grout_lift_m(double buckling_kpa, double safety, double inside_kpa, double pump_kpa,
                       double grout_kn_per_m3)
{
    if (!hn_is_positive(buckling_kpa) || !hn_is_positive(safety) ||
        !hn_is_not_negative(inside_kpa) || !hn_is_not_negative(pump_kpa) ||
        !hn_is_positive(grout_kn_per_m3))
        return NAN;
    return (buckling_kpa / safety + inside_kpa - pump_kpa) / grout_kn_per_m3;
}

double hn_circle_segment_m2(double radius_m, double depth_m)
{
    if (!hn_is_positive(radius_m) || !hn_is_not_negative(depth_m) || !(depth_m <= 2 * radius_m))
        return NAN;
    const double rest = radius_m - depth_m;
    const double half_chord = sqrt(fmax(0, 2 * radius_m * depth_m - depth_m * depth_m));
    return radius_m * radius_m * acos(rest / radius_m) - rest * half_chord;
}

double hn_flotation_kn_per_m(const hn_flotation_input *in, double depth_m)
{
    if (!hn_is_positive(in->grout_kn_per_m3) || !hn_is_not_negative(in->liner_kn_per_m) ||
        !hn_is_not_negative(in->water_kn_per_m) || !hn_is_not_negative(in->hold_down_kn_per_m))
        return NAN;
    return in->grout_kn_per_m3 * hn_circle_segment_m2(in->outside_diameter_m / 2, depth_m) -
           in->liner_kn_per_m - in->water_kn_per_m - in->hold_down_kn_per_m;
}

double hn_first_lift_m(const hn_flotation_input *in)
{
    double low = 0, high = in->outside_diameter_m;
    const double full = hn_flotation_kn_per_m(in, high);
    if (isnan(full))
        return NAN;
    if (full <= 0)
        return high;
    for (int i = 0; i < 60; i++) { /* uplift rises with depth */
        const double depth = (low + high) / 2;
        if (hn_flotation_kn_per_m(in, depth) > 0)
            high = depth;
        else
            low = depth;
    }
    return low;
}

double hn_panel_moment_knm_per_m(double pressure_kpa, double spacing_m)
{
    if (!hn_is_not_negative(pressure_kpa) || !hn_is_not_negative(spacing_m))
        return NAN;
    return pressure_kpa * spacing_m * spacing_m / 8;
}

double hn_panel_deflection_m(double pressure_kpa, double spacing_m, double stiffness_knm2_per_m)
{
    if (!hn_is_not_negative(pressure_kpa) || !hn_is_not_negative(spacing_m) ||
        !hn_is_positive(stiffness_knm2_per_m))
        return NAN;
    return 5 * pressure_kpa * pow(spacing_m, 4) / (384 * stiffness_knm2_per_m);
}

double hn_panel_span_m(double pressure_kpa, double capacity_knm_per_m)
{
    if (!hn_is_positive(pressure_kpa) || !hn_is_not_negative(capacity_knm_per_m))
        return NAN;
    return sqrt(8 * capacity_knm_per_m / pressure_kpa);
}
