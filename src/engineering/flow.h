/* engineering/flow.h - steady uniform flow in a full section.
 *
 * NaN in, NaN out; so does anything infinite or not above 0 that has to be. Slopes are
 * those of the pipe (m/m). Part-full flow is in engineering/flow_depth.h.
 */
#ifndef HN_ENGINEERING_FLOW_H
#define HN_ENGINEERING_FLOW_H

#include "engineering/section.h"

/* Standard sheets for sewer hydraulics use 9.81 m/s2 (common practice). */
#define HN_GRAVITY_M_PER_S2 9.81
/* Kinematic viscosity of water: 1.31e-6 at 10 C (the value of the German sheet
 * A 110), 1.141e-6 at 15 C. Both from memory. */
#define HN_VISCOSITY_10C_M2_PER_S 1.31e-6
#define HN_VISCOSITY_15C_M2_PER_S 1.141e-6

/* Mean velocity in m/s: V = R^(2/3) S^(1/2) / n (Manning, SI).
 * R > 0 in m, n > 0 in s/m^(1/3), S >= 0 in m/m (0 gives 0).
 * Source: V. T. Chow, Open-Channel Hydraulics (1959), ch. 5 (page from memory);
 * check: Vesilind, Peirce and Weiner, Environmental Engineering, Example 8.1. */
double hn_manning_velocity_m_per_s(double hydraulic_radius_m, double n, double slope_m_per_m);

/* Full-flow capacity in m3/s: Q = A R^(2/3) S^(1/2) / n. */
double hn_manning_full_m3_per_s(const hn_section_measures *full, double n, double slope_m_per_m);

/* Capacity after / before, both full, same slope (which cancels):
 *   Q2/Q1 = (n1/n2) (A2/A1) (R2/R1)^(2/3).
 * For a close-fit circle this is (n1/n2) (1 - 2 t/D)^(8/3). The pair of n
 * decides the sign: print both. Source: M. Najafi, Trenchless Technology
 * Piping (2010), Table 2.14. Golden: capacity_checks.csv. */
double hn_manning_capacity_ratio(const hn_section_measures *before, double n_before,
                                 const hn_section_measures *after, double n_after);

/* The n_after / n_before at which the full capacity does not change:
 * (A2/A1) (R2/R1)^(2/3). A smoother lining than that gains capacity. */
double hn_break_even_roughness(const hn_section_measures *before, const hn_section_measures *after);

/* Mean velocity in m/s by Colebrook-White, D = 4 R for other than circles:
 *   V = -2 sqrt(2 g D S) log10( k/(3.71 D) + 2.51 nu/(D sqrt(2 g D S)) ).
 * R > 0 in m, k >= 0 in mm, S >= 0 (0 gives 0), nu > 0 in m2/s. Turbulent flow
 * only; k up to about D/20. Source: C. F. Colebrook, J. Inst. Civ. Eng. 11
 * (1939) 133-156, solved for V (from memory); German sheet A 110 uses it. */
double hn_colebrook_velocity_m_per_s(double hydraulic_radius_m, double k_mm, double slope_m_per_m,
                                     double viscosity_m2_per_s);
double hn_colebrook_full_m3_per_s(const hn_section_measures *full, double k_mm,
                                  double slope_m_per_m, double viscosity_m2_per_s);

/* The Manning n that gives a section the same full velocity. */
double hn_equivalent_manning_n(double hydraulic_radius_m, double velocity_m_per_s,
                               double slope_m_per_m);

#endif
