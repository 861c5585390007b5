/* engineering/load.c - soil and water loads, equations E7, E8, E12 to E14. */
#include "engineering/load.h"

#include "engineering/range.h"

#include <math.h>
#include <stddef.h>

enum { PROJECTING_ROWS = 6 };
static const double water_kn_per_m3 = 9.81; /* from memory, SI form of F1216 X1 */

double hn_buoyancy_factor(double water_above_crown_m, double cover_m)
{
    if (!isfinite(water_above_crown_m) || !hn_is_not_negative(cover_m))
        return NAN;
    if (cover_m <= 0 || water_above_crown_m <= 0)
        return 1;
    const double share = water_above_crown_m < cover_m ? water_above_crown_m / cover_m : 1;
    return 1 - 0.33 * share;
}

double hn_total_load_mpa(double water_above_crown_m, double cover_m, double soil_weight_kn_per_m3,
                         double buoyancy, double live_mpa)
{
    if (!isfinite(water_above_crown_m) || !hn_is_not_negative(cover_m) ||
        !hn_is_positive(soil_weight_kn_per_m3) || !hn_is_not_negative(buoyancy) ||
        !hn_is_not_negative(live_mpa))
        return NAN;
    const double head_m = water_above_crown_m < 0 ? 0 : water_above_crown_m;
    return water_kn_per_m3 * head_m / 1000 + soil_weight_kn_per_m3 * cover_m * buoyancy / 1000 +
           live_mpa;
}

double hn_prism_load_kn_per_m(double soil_weight_kn_per_m3, double cover_m, double outside_width_m)
{
    if (!hn_is_positive(soil_weight_kn_per_m3) || !hn_is_not_negative(cover_m) ||
        !hn_is_positive(outside_width_m))
        return NAN;
    return soil_weight_kn_per_m3 * cover_m * outside_width_m;
}

double hn_backfill_kmu(hn_backfill backfill)
{
    static const double kmu[HN_BACKFILL_COUNT] = {0.192, 0.165, 0.150, 0.130, 0.110};
    return (unsigned)backfill < HN_BACKFILL_COUNT ? kmu[backfill] : NAN;
}

double hn_marston_coefficient(double kmu, double cover_m, double trench_width_m)
{
    if (!hn_is_not_negative(kmu) || !hn_is_not_negative(cover_m) || !hn_is_positive(trench_width_m))
        return NAN;
    const double slenderness = cover_m / trench_width_m;
    if (kmu <= 0)
        return slenderness;
    return -expm1(-2 * kmu * slenderness) / (2 * kmu);
}

double hn_marston_load_kn_per_m(double kmu, double soil_weight_kn_per_m3, double cover_m,
                                double trench_width_m)
{
    if (!hn_is_positive(soil_weight_kn_per_m3))
        return NAN;
    return hn_marston_coefficient(kmu, cover_m, trench_width_m) * soil_weight_kn_per_m3 *
           trench_width_m * trench_width_m;
}

/* Moser, Table 2.2: settlement ratio x projection ratio, slope, intercept. */
static const double projecting[PROJECTING_ROWS][3] = {
    {0.1, 1.23, -0.02}, {0.3, 1.39, -0.05}, {0.5, 1.50, -0.07},
    {0.7, 1.59, -0.09}, {1.0, 1.69, -0.12}, {2.0, 1.93, -0.17},
};

double hn_projecting_coefficient(double settlement_projection, double cover_over_width)
{
    if (!(settlement_projection >= projecting[0][0]) ||
        !(settlement_projection <= projecting[PROJECTING_ROWS - 1][0]))
        return NAN;
    size_t i = 1;
    while (i < PROJECTING_ROWS - 1 && settlement_projection > projecting[i][0])
        i++;
    const double *low = projecting[i - 1], *high = projecting[i];
    const double share = (settlement_projection - low[0]) / (high[0] - low[0]);
    const double slope = low[1] + share * (high[1] - low[1]);
    const double coefficient = slope * cover_over_width + low[2] + share * (high[2] - low[2]);
    return coefficient >= cover_over_width ? coefficient : NAN;
}

double hn_projecting_load_kn_per_m(double settlement_projection, double soil_weight_kn_per_m3,
                                   double cover_m, double outside_width_m)
{
    if (!hn_is_positive(soil_weight_kn_per_m3) || !hn_is_not_negative(cover_m) ||
        !hn_is_positive(outside_width_m))
        return NAN;
    return hn_projecting_coefficient(settlement_projection, cover_m / outside_width_m) *
           soil_weight_kn_per_m3 * outside_width_m * outside_width_m;
}

double hn_three_edge_load_kn_per_m(double load_kn_per_m, double safety, double bedding_factor)
{
    if (!hn_is_not_negative(load_kn_per_m) || !hn_is_positive(safety) ||
        !hn_is_positive(bedding_factor))
        return NAN;
    return load_kn_per_m * safety / bedding_factor;
}

double hn_d_load_kn_per_m2(double three_edge_kn_per_m, double inside_diameter_m)
{
    if (!hn_is_not_negative(three_edge_kn_per_m) || !hn_is_positive(inside_diameter_m))
        return NAN;
    return three_edge_kn_per_m / inside_diameter_m;
}
