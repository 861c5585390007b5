/* engineering/grouted.h - linings that are grouted into the host: composite
 * section, ring moments, and what the wet grout does to the lining.
 *
 * No published worked section could be read, so this is standard mechanics; the
 * lower bounds are the default and the upper (bonded) one is printed beside
 * them. mm, MPa, kPa, kN, m. NaN in, infinite or out of range, NaN out; loads,
 * pressures and weights are 0 or more, sizes above 0. E-numbers are
 * those of docs/engineering/grouted.md.
 */
#ifndef HN_ENGINEERING_GROUTED_H
#define HN_ENGINEERING_GROUTED_H

#include <stddef.h>

/* One layer of the wall; layers are listed from the outside in. */
typedef struct hn_wall_layer {
    double thickness_mm;
    double modulus_mpa;
} hn_wall_layer;

typedef struct hn_composite {
    double thickness_mm;               /* all layers */
    double area_mm2_per_m;             /* transformed */
    double centroid_mm;                /* from the outside */
    double inertia_mm4_per_m;          /* bonded: one plane section (E15) */
    double slip_inertia_mm4_per_m;     /* the host slips on the lining inside it */
    double unbonded_inertia_mm4_per_m; /* every layer slips (E16) */
    double bond_ratio;                 /* bonded / host slips, >= 1 */
} hn_composite;

/* Stiffness of a layered wall for all three bounds.
 * E15: A = sum n t, ybar = sum n t y / A, I = sum n (t^3/12 + t (y - ybar)^2),
 * n = E / reference. E16: I = sum n t^3/12; "host slips" is the host alone plus
 * E15 of the layers inside it, which anchors or ribs hold together.
 * count >= 1; reference_mpa: modulus the section is expressed in.
 * Source: standard mechanics (transformed section). Take the bonded value only
 * for a roughened, cleaned host and a tested bond: interface slip came first in
 * tests with sprayed mortar (Materials 2025, 18(13) 3130, abstract). */
hn_composite hn_composite_wall(const hn_wall_layer *layers, size_t count, double reference_mpa);

/* The section with the host, layer 0, cracked: its part in tension is left out
 * and the centroid found again. tension_outside: 1 when the outer face is
 * pulled (springline of a squeezed ring), 0 when the inner face is (crown).
 * thickness_mm and centroid_mm stay measured from the outer face of the host. */
hn_composite hn_cracked_composite_wall(const hn_wall_layer *layers, size_t count,
                                       double reference_mpa, int tension_outside);

/* Moment at which a layer cracks, kNm per metre.
 * Mcr = fr I / (n |y - ybar|), bonded. y_mm: face of the layer, from the outside. */
double hn_cracking_moment_knm_per_m(const hn_composite *wall, double y_mm, double rupture_mpa,
                                    double modular_ratio);

/* Moments of a thin ring, kNm per metre of pipe.
 * E13b, line load W (kN/m) at crown and invert: crown W r / pi (0.318), springline
 * W r (1/2 - 1/pi) (0.182). E13c, pressure p with lateral k p: 0.25 (1 - k) p r^2.
 * Source: standard ring theory. */
double hn_ring_crown_moment(double line_kn_per_m, double radius_m);
double hn_ring_springline_moment(double line_kn_per_m, double radius_m);
double hn_ring_pressure_moment(double pressure_kpa, double lateral_ratio, double radius_m);

/* Pressure at which a lining buckles while the grout is wet, kPa: no host or soil
 * holds it. E17: p = 2 E/(1 - nu^2) (t/Dmean)^3; profile wall, with its EI in
 * kNm2 per metre: p = 24 EI / ((1 - nu^2) Dmean^3). Short-term modulus.
 * Source: A. P. Moser, Buried Pipe Design, p. 111, eq. 3.14. */
double hn_grouting_buckling_kpa(double modulus_short_mpa, double thickness_mm,
                                double mean_diameter_mm, double poisson);
double hn_profile_buckling_kpa(double stiffness_knm2_per_m, double mean_diameter_m, double poisson);

/* Greatest height of one grout lift, m; below 0 when the pump alone is too much.
 * E18: h = (p_cr/FS + p_inside - p_pump) / gamma_g. safety: 2 (common practice, no
 * source). inside_kpa: water fill or bracing. */
double hn_grout_lift_m(double buckling_kpa, double safety, double inside_kpa, double pump_kpa,
                       double grout_kn_per_m3);

/* Area of a circle below the depth h, m2.
 * E19: r^2 acos((r-h)/r) - (r-h) sqrt(2 r h - h^2). depth_m from 0 to 2 r. */
double hn_circle_segment_m2(double radius_m, double depth_m);

typedef struct hn_flotation_input {
    double outside_diameter_m;
    double grout_kn_per_m3;
    double liner_kn_per_m; /* weight of the lining */
    double water_kn_per_m; /* weight of water put inside; 0: empty */
    double hold_down_kn_per_m;
} hn_flotation_input;

/* Upward force per metre with the grout at depth_m above the bottom of the
 * lining, kN/m; positive floats. E19: gamma_g A_sub - weights - hold-down. */
double hn_flotation_kn_per_m(const hn_flotation_input *in, double depth_m);

/* Depth of grout at which the lining begins to float, m: the first lift ends
 * here. The full diameter when it never floats. Source: statics; later lifts
 * after the first has set (common practice, no source). */
double hn_first_lift_m(const hn_flotation_input *in);

/* Facing panel between two frame rings under wet grout, per metre.
 * E21: M = p s^2 / 8 (kNm/m), deflection = 5 p s^4 / (384 EI) (m), p in kPa, ring
 * spacing s in m, EI in kNm2 per metre; and the spacing at which M reaches a
 * capacity: s = sqrt(8 M / p). Source: simple beam. */
double hn_panel_moment_knm_per_m(double pressure_kpa, double spacing_m);
double hn_panel_deflection_m(double pressure_kpa, double spacing_m, double stiffness_knm2_per_m);
double hn_panel_span_m(double pressure_kpa, double capacity_knm_per_m);

#endif
