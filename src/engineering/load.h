/* engineering/load.h - what presses on a buried pipe: soil, water, traffic.
 *
 * Pure functions, SI inside: m, kN, kN/m3, kPa (kN/m2), MPa where the name says
 * so. A NaN or infinite argument, or one outside its stated range, gives NaN. E-numbers are
 * those of docs/engineering/loads.md.
 */
#ifndef HN_ENGINEERING_LOAD_H
#define HN_ENGINEERING_LOAD_H

/* Water buoyancy factor of the soil above the crown, 0.67 to 1.
 * E7: Rw = 1 - 0.33 Hw/H, with Hw capped at H; H = 0 gives 1 (local rule).
 * water_above_crown_m: below 0 is taken as 0; cover_m >= 0.
 * Source: M. Najafi, Trenchless Technology Piping, McGraw-Hill 2010, p. 75. */
double hn_buoyancy_factor(double water_above_crown_m, double cover_m);

/* Total pressure on a flexible liner in a host that carries nothing, MPa.
 * E8: qt = gamma_w Hw + w H Rw + Ws, with gamma_w = 9.81 kN/m3.
 * soil_weight_kn_per_m3: total weight; live_mpa: traffic pressure at the crown.
 * Source: Najafi 2010, p. 75 (US form); SI form from memory. Water standing
 * above the ground: Hw in full in the water term (local rule). */
double hn_total_load_mpa(double water_above_crown_m, double cover_m, double soil_weight_kn_per_m3,
                         double buoyancy, double live_mpa);

/* Soil prism above the pipe, kN per metre of pipe: W = w H Bc. It is the upper
 * bound for a flexible pipe.
 * Source: A. P. Moser, Buried Pipe Design, McGraw-Hill (edition not identified). */
double hn_prism_load_kn_per_m(double soil_weight_kn_per_m3, double cover_m, double outside_width_m);

/* Kmu of the backfill: lateral pressure ratio times friction on the trench wall.
 * Source: Moser, pp. 81-82; the headings of the Marston load tables. */
typedef enum hn_backfill {
    HN_BACKFILL_GRANULAR,       /* 0.192 */
    HN_BACKFILL_SAND_GRAVEL,    /* 0.165 */
    HN_BACKFILL_TOPSOIL,        /* 0.150 */
    HN_BACKFILL_CLAY,           /* 0.130 */
    HN_BACKFILL_SATURATED_CLAY, /* 0.110 */
    HN_BACKFILL_COUNT
} hn_backfill;

double hn_backfill_kmu(hn_backfill backfill); /* NaN outside the list */

/* Marston load coefficient of a trench, no unit.
 * E12: Cd = (1 - exp(-2 Kmu H/Bd)) / (2 Kmu); Kmu = 0 gives H/Bd.
 * Source: Moser, pp. 81-82. */
double hn_marston_coefficient(double kmu, double cover_m, double trench_width_m);

/* Trench load on a rigid pipe, kN per metre. E12: W = Cd w Bd^2.
 * trench_width_m: at the crown of the pipe. Source: Moser, pp. 81-82. */
double hn_marston_load_kn_per_m(double kmu, double soil_weight_kn_per_m3, double cover_m,
                                double trench_width_m);

/* Load coefficient of a pipe that projects into an embankment, no unit.
 * E14: Cc = a H/Bc + b with a and b by settlement ratio times projection ratio
 * (0.1 to 2, straight between the rows), Kmu 0.19. NaN where Cc would fall below
 * the prism's H/Bc: the straight lines do not hold for so little cover.
 * Source: Moser, Table 2.2, p. 19. */
double hn_projecting_coefficient(double settlement_projection, double cover_over_width);

/* Load on that pipe, kN per metre. E14: W = Cc w Bc^2. Use it when the trench is
 * wider than the transition width. Source: Moser, p. 19. */
double hn_projecting_load_kn_per_m(double settlement_projection, double soil_weight_kn_per_m3,
                                   double cover_m, double outside_width_m);

/* Load per metre that brings a rigid pipe to its three-edge bearing test, kN/m.
 * E13: W3EB = W SF / BF; the D-load is W3EB / D, kN/m per m.
 * bedding_factor: class B 1.9, C 1.5, D 1.1. Source: Moser, p. 81. */
double hn_three_edge_load_kn_per_m(double load_kn_per_m, double safety, double bedding_factor);
double hn_d_load_kn_per_m2(double three_edge_kn_per_m, double inside_diameter_m);

#endif
