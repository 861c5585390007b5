/* engineering/capacity.h - full-flow capacity before and after a lining, with
 * everything that decided it, so that one struct feeds the batch and the
 * explanation sheet alike. */
#ifndef HN_ENGINEERING_CAPACITY_H
#define HN_ENGINEERING_CAPACITY_H

#include "engineering/flow_depth.h"

typedef struct hn_capacity_rules {
    hn_flow_law law;
    double slope_m_per_m;      /* NaN: only the Manning ratio is known */
    double viscosity_m2_per_s; /* Colebrook-White */
    double allowance_0_1;      /* share of capacity lost to manholes, laterals and slime:
                                  the same before and after; 0 for none */
    double required_m3_per_s;  /* NaN: no flow is asked for */
    double loss_limit_pct;     /* NaN: no limit */
} hn_capacity_rules;

typedef struct hn_capacity_side {
    hn_section_measures full;
    double roughness; /* n, or k in mm with Colebrook-White */
    double velocity_m_per_s, flow_m3_per_s;
} hn_capacity_side;

typedef struct hn_capacity_change {
    hn_capacity_side before, after;
    double ratio;               /* flow after / before */
    double loss_pct;            /* 100 (1 - ratio); negative is a gain */
    double break_even_n_ratio;  /* n after / before at which nothing changes (Manning) */
    hn_answer carries_required; /* the gate: UNKNOWN without a required flow or capacity */
    hn_answer loss_beyond_limit;
} hn_capacity_change;

/* Capacity of two finished sections under one slope. Roughness is n
 * (s/m^(1/3), > 0) or k (mm, >= 0) by rules->law. Without a slope Manning
 * still gives the ratio, since the slope cancels; Colebrook-White does not.
 * Source: formulas in engineering/flow.h; the equal allowance on both sides is
 * a local rule.
 * Golden: capacity_checks.csv. */
hn_capacity_change hn_capacity_compare(const hn_section *before, double roughness_before,
                                       const hn_section *after, double roughness_after,
                                       const hn_capacity_rules *rules);

/* The same in two steps, for one host under many linings. */
hn_capacity_side hn_capacity_side_of(const hn_section_measures *measures, double roughness,
                                     const hn_capacity_rules *rules);
hn_capacity_change hn_capacity_of_sides(const hn_capacity_side *before,
                                        const hn_capacity_side *after,
                                        const hn_capacity_rules *rules);

#endif
