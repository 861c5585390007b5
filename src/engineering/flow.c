/* engineering/flow.c - full-flow velocity and capacity. */
#include "engineering/flow.h"

#include "engineering/range.h"

#include <math.h>

/* x^(2/3): the cube root is exact where pow is merely close, and faster. */
static double two_thirds_power(double x)
{
    const double root = cbrt(x);

    return root * root;
}

double hn_manning_velocity_m_per_s(double hydraulic_radius_m, double n, double slope_m_per_m)
{
    if (!hn_is_positive(hydraulic_radius_m) || !hn_is_positive(n) ||
        !hn_is_not_negative(slope_m_per_m))
        return NAN;
    return two_thirds_power(hydraulic_radius_m) * sqrt(slope_m_per_m) / n;
}

static double area_of(const hn_section_measures *full)
{
    return hn_is_positive(full->area_m2) ? full->area_m2 : NAN;
}

double hn_manning_full_m3_per_s(const hn_section_measures *full, double n, double slope_m_per_m)
{
    return area_of(full) * hn_manning_velocity_m_per_s(full->hydraulic_radius_m, n, slope_m_per_m);
}

double hn_break_even_roughness(const hn_section_measures *before, const hn_section_measures *after)
{
    if (!hn_is_positive(before->hydraulic_radius_m) || !hn_is_positive(after->hydraulic_radius_m))
        return NAN;
    return area_of(after) / area_of(before) *
           two_thirds_power(after->hydraulic_radius_m / before->hydraulic_radius_m);
}

double hn_manning_capacity_ratio(const hn_section_measures *before, double n_before,
                                 const hn_section_measures *after, double n_after)
{
    if (!hn_is_positive(n_before) || !hn_is_positive(n_after))
        return NAN;
    return n_before / n_after * hn_break_even_roughness(before, after);
}

double hn_colebrook_velocity_m_per_s(double hydraulic_radius_m, double k_mm, double slope_m_per_m,
                                     double viscosity_m2_per_s)
{
    const double diameter_m = 4.0 * hydraulic_radius_m;

    if (!hn_is_positive(hydraulic_radius_m) || !hn_is_not_negative(k_mm) ||
        !hn_is_not_negative(slope_m_per_m) || !hn_is_positive(viscosity_m2_per_s))
        return NAN;
    if (slope_m_per_m == 0.0)
        return 0.0;
    const double root = sqrt(2.0 * HN_GRAVITY_M_PER_S2 * diameter_m * slope_m_per_m);
    const double rough = k_mm * 1e-3 / (3.71 * diameter_m);
    const double smooth = 2.51 * viscosity_m2_per_s / (diameter_m * root);
    /* Above 1 the formula would give a flow uphill: far outside its range. */
    return rough + smooth < 1.0 ? -2.0 * root * log10(rough + smooth) : NAN;
}

double hn_colebrook_full_m3_per_s(const hn_section_measures *full, double k_mm,
                                  double slope_m_per_m, double viscosity_m2_per_s)
{
    return area_of(full) * hn_colebrook_velocity_m_per_s(full->hydraulic_radius_m, k_mm,
                                                         slope_m_per_m, viscosity_m2_per_s);
}

double hn_equivalent_manning_n(double hydraulic_radius_m, double velocity_m_per_s,
                               double slope_m_per_m)
{
    if (!hn_is_positive(hydraulic_radius_m) || !hn_is_positive(velocity_m_per_s) ||
        !hn_is_positive(slope_m_per_m))
        return NAN;
    return two_thirds_power(hydraulic_radius_m) * sqrt(slope_m_per_m) / velocity_m_per_s;
}
