/* engineering/grouted_quantities.h - takeoff of a grouted lining: mortar, pours,
 * rings, panels, joints, vents, deliveries. m, m2, m3, kg.
 */
#ifndef HN_ENGINEERING_GROUTED_QUANTITIES_H
#define HN_ENGINEERING_GROUTED_QUANTITIES_H

/* State of the host's inner face, which decides how much grout it swallows. */
typedef enum hn_host_surface {
    HN_HOST_SMOOTH,     /* 0.05 */
    HN_HOST_CORRUGATED, /* 0.10 */
    HN_HOST_BRICK,      /* 0.10 */
    HN_HOST_DAMAGED,    /* 0.15 */
    HN_HOST_SURFACE_COUNT
} hn_host_surface;

/* Share of grout on top of the plain annulus: 5 % smooth, 10 to 15 % corrugated,
 * brick or damaged. Source: common practice, no source; the split of the range is
 * a local rule. */
double hn_grout_allowance(hn_host_surface surface);

/* Volume of grout, m3. E20: (A_host - A_liner) L (1 + a) - V_rings. NaN when the
 * liner is not smaller than the host or the rings leave no room.
 * Source: geometry; checked against a published annulus (6 in and 4 in, 50 ft). */
double hn_grout_volume_m3(double host_area_m2, double liner_area_m2, double length_m,
                          double allowance, double rings_m3);

/* Area between two circles, m2: pi/4 (D^2 - d^2). */
double hn_annulus_m2(double outer_diameter_m, double inner_diameter_m);

typedef struct hn_grouted_input {
    double length_m;
    double host_area_m2, liner_area_m2; /* liner: outside */
    double host_height_m;               /* height that the lifts have to climb */
    double allowance;                   /* share, see hn_grout_allowance */
    double ring_spacing_m;              /* NaN: a lining without frame rings */
    int panels_per_ring;                /* panels around, between two rings */
    double ring_m3;                     /* body of one ring */
    double lift_m;                      /* greatest lift, from E18 or E21 */
    double first_lift_m; /* where the lining would float (E19) and the first lift ends; 0 or
                            NaN: it does not float */
    double pour_length_m;               /* between bulkheads */
    double vent_spacing_m;              /* along the crown */
    double grout_kg_per_m3;
    double delivery_m3; /* mixer truck, or one hand-mixed batch */
} hn_grouted_input;

typedef struct hn_grouted_quantities {
    double rings;         /* L / spacing, rounded up, plus the one that closes the end */
    double panels;        /* bays x panels around */
    double ring_joints_m; /* joints around, one at each ring: rings x perimeter */
    double long_joints_m; /* joints along the pipe between panels: panels around x L */
    double rings_m3;
    double grout_m3;
    double grout_kg;
    double lifts;      /* host height / lift, rounded up; the first one may be lower */
    double sections;   /* L / pour length, rounded up */
    double pours;      /* lifts x sections */
    double vents;      /* one at each end of a section and every vent spacing */
    double deliveries; /* the grout of each pour in whole deliveries */
} hn_grouted_quantities;

/* Counts and volumes of one run of grouted lining. Whole numbers are whole
 * doubles, so that a missing one can be NaN. liner_perimeter_m: outside, for the
 * joints at the rings; NaN leaves ring_joints_m NaN.
 * Source: counting; the counting rules above are local rules. */
hn_grouted_quantities hn_grouted_takeoff(const hn_grouted_input *in, double liner_perimeter_m);

#endif
