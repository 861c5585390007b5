/* engineering/load_traffic.h - traffic pressure that reaches a buried pipe.
 *
 * The default is the exact share of a point load (E10); tables and code spreads
 * are options. SI inside: m, kN, kPa. NaN or infinite in, or out of the stated
 * range, NaN out.
 */
#ifndef HN_ENGINEERING_LOAD_TRAFFIC_H
#define HN_ENGINEERING_LOAD_TRAFFIC_H

/* Impact factor of a highway wheel by cover: up to 0.3048 m (1 ft) 1.5, up to
 * 2 ft 1.35, up to 3 ft 1.15, deeper 1.0. A cover on a limit takes the greater.
 * Source: A. P. Moser, Buried Pipe Design, Table 2.5, p. 34. */
double hn_impact_factor(double cover_m);

/* Share, 0 to 1, of a surface point load that reaches a rectangle 2A x 2B whose
 * centre lies depth_m below the load.
 * E10: C = 1 - (2/pi) asin(H sqrt((A^2+B^2+H^2) / ((A^2+H^2)(B^2+H^2))))
 *          + (2/pi) A B H / sqrt(A^2+B^2+H^2) (1/(A^2+H^2) + 1/(B^2+H^2)).
 * half_width_m, half_length_m > 0; depth_m >= 0 (0 gives 1).
 * Source: Hall and Newmark, as in Moser, pp. 34-36. */
double hn_point_load_share(double half_width_m, double half_length_m, double depth_m);

/* The same with the load `offset_m` from the centre along the side 2A. By superposing rectangles
 * that have the load above a corner. Source: standard mechanics; Newmark's corner rule. */
double hn_offset_load_share(double half_width_m, double half_length_m, double depth_m,
                            double offset_m);

/* Share per metre of pipe of two trucks that pass above it, 1/m. The pipe crosses
 * the road; inner wheels stand 3 ft apart and each truck is 6 ft wide, so four
 * wheels load the piece of pipe from 1.5 ft and 7.5 ft on either side:
 * (2 E10(1.5 ft) + 2 E10(7.5 ft)) / L.
 * Source: Facility Piping Systems Handbook, McGraw-Hill 2009, Table 6.11, p. 6.56
 * (from ANSI A21.1); its sizes below 12 in run low. */
double hn_two_truck_share_per_m(double outside_width_m, double length_m, double depth_m);

typedef struct hn_wheel_load {
    double share;         /* C of E10 */
    double impact;        /* F */
    double line_kn_per_m; /* Wsc = C P F / L */
    double pressure_kpa;  /* Wsc / outside width */
} hn_wheel_load;

/* One wheel above the pipe. E9: Wsc = C P F / L, Ws = Wsc / Bc.
 * wheel_kn: 71.17 (16,000 lb) for a highway truck; length_m: effective length of
 * pipe, 0.9144 (3 ft). Source: Moser, pp. 34-36; Najafi 2010, p. 76. */
hn_wheel_load hn_wheel_load_on_pipe(double outside_width_m, double cover_m, double wheel_kn,
                                    double length_m);

/* The same pressure, kPa, with the share known from a table: C P F / (L Bc). */
double hn_wheel_pressure_kpa(double share, double wheel_kn, double impact, double length_m,
                             double outside_width_m);

/* Reading tables. Straight between rows. Each value with its own reach: below
 * the least cover of a table there is no value (NaN); highway and railway loads
 * below the deepest row are neglected (0). */
typedef enum hn_load_table {
    HN_LOAD_TABLE_HIGHWAY, /* HS-20 truck with impact, 1 to 8 ft. From memory */
    HN_LOAD_TABLE_RAILWAY  /* E-80 train with impact, 2 to 30 ft. From memory */
} hn_load_table;

double hn_live_load_table_kpa(hn_load_table table, double cover_m);

/* Surface load factor C of one truck on a rigid pavement, as printed. cover_m
 * 0.6096 to 3.048 (2 to 10 ft), pavement_m 0.1016 to 0.254 (4 to 10 in);
 * bilinear inside, NaN outside.
 * Source: Facility Piping Systems Handbook, McGraw-Hill 2009, Table 6.12, p. 6.57
 * (slab theory of PCA Bulletin ST65), transcribed, not recomputed. */
double hn_rigid_pavement_factor(double cover_m, double pavement_m);

/* Code spreads, kPa, without impact unless said.
 * E11: wheel over a square of side 1.75 H. AASHTO Standard Specifications, from
 * memory.
 * E11b: HL-93 axle, tyre 20 x 10 in, spread 1.15 H, impact 33 (1 - 0.125 H[ft]) %,
 * not below 0. AASHTO LRFD 3.6.1.2.6, from memory; without the 1.2 for one lane.
 * E11c: load model 1, tandem of two 300 kN axles (wheels 2.0 m and axles 1.2 m
 * apart), patches 0.4 m, spread 30 degrees. Wheels whose areas touch are taken
 * together. EN 1991-2, 4.3.2 and 4.9.1, from memory; add 9 kPa. */
double hn_square_spread_kpa(double wheel_kn, double cover_m);
double hn_lrfd_spread_kpa(double cover_m);
double hn_tandem_spread_kpa(double cover_m);

#endif
