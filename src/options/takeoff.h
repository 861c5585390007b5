/* options/takeoff.h - what a method takes: areas, volumes, counts, days, and
 * the checks that decide how a grouted lining is poured. Worked out from an
 * hn_option, so prices, the quantities table and the explanation agree.
 */
#ifndef HN_OPTIONS_TAKEOFF_H
#define HN_OPTIONS_TAKEOFF_H

#include "engineering/grouted.h"
#include "engineering/grouted_quantities.h"
#include "engineering/trench.h"
#include "options/options.h"

/* What limits the height of a lift of grout. */
typedef enum hn_lift_limit {
    HN_LIFT_UNKNOWN,  /* no modulus for this lining: lifts are not counted */
    HN_LIFT_BUCKLING, /* E17, E18 */
    HN_LIFT_PANEL,    /* E21: the panel between two rings */
    HN_LIFT_FLOATING, /* E19: the lining would rise */
    HN_LIFT_TOO_WEAK, /* cannot stand wet grout by itself: brace it or fill it with water */
    HN_LIFT_NONE      /* the whole height at once */
} hn_lift_limit;

/* Grouted linings. Screening: the numbers of config/takeoff.csv, most of them
 * local rules, stand for a project's own. */
typedef struct hn_grouting {
    hn_grouted_input in;
    hn_grouted_quantities out;
    hn_host_surface surface;
    double pressure_kpa;        /* the wet grout may put on the lining, before safety */
    double lift_by_strength_m;  /* E18 from buckling, or E21 from the panel */
    double lift_by_floating_m;  /* E19: depth at which the empty lining rises */
    double uplift_kn_per_m;     /* E19, grouted to the top; positive rises */
    hn_lift_limit limit;
    int is_ring;                /* circular host: the ring formulas hold; else E13c, E17 and the
                                   floating depth are NaN */
    hn_composite composite;     /* E15: host (cracked when worn out), grout, lining as one wall;
                                   stiffness in terms of the host's modulus */
    hn_composite inside;        /* grout and lining alone, the host not counted, same modulus */
    double load_kpa;            /* prism load and live load on the crown */
    double ring_radius_m;       /* middle of the host wall */
    double demand_knm_per_m;    /* E13c */
    double cracking_knm_per_m;  /* of the grout's inner face, all bonded */
    double cracking_inside_knm_per_m; /* the host not counted */
} hn_grouting;

typedef struct hn_takeoff {
    double amount[HN_TAKE_COUNT]; /* NaN: not known, or not of this method */
    hn_grouting grouting;
    hn_trench_input trench_in;
    hn_trench trench;
    double carbon_kg; /* NaN without factors for the method, or with an unknown amount */
} hn_takeoff;

/* All of it. After hn_option_evaluate for the same row and method. */
void hn_option_takeoff(const hn_options *options, size_t row, const hn_option *option,
                       hn_takeoff *out);

/* "buckling", "panel", ... */
const char *hn_lift_limit_name(hn_lift_limit limit);

#endif
