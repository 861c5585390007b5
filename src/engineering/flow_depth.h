/* engineering/flow_depth.h - steady uniform flow at part depth.
 *
 * NaN in, NaN out. A closed section carries its most at part depth, just below
 * the crown, because the crown adds wall faster than area; so two depths can
 * carry the same flow, and the lower one is meant here.
 */
#ifndef HN_ENGINEERING_FLOW_DEPTH_H
#define HN_ENGINEERING_FLOW_DEPTH_H

#include "engineering/section.h"

typedef enum hn_flow_law { HN_FLOW_MANNING, HN_FLOW_COLEBROOK } hn_flow_law;

/* How velocity falls with depth.
 *   LAW           the law itself at the actual radius; Manning: constant n.
 *   RADIUS_5_8    V/Vfull = (R/Rfull)^(5/8), the rule of the German A 110
 *                 sheets (from memory).
 *   HALF_SURFACE  the law with half the free surface counted as wall.
 *                 Source: O. Akgiray, Environ. Eng. Sci. 21 (2004) 371. */
typedef enum hn_part_full_rule {
    HN_PART_FULL_LAW,
    HN_PART_FULL_RADIUS_5_8,
    HN_PART_FULL_HALF_SURFACE
} hn_part_full_rule;

typedef struct hn_flow_model {
    hn_flow_law law;
    hn_part_full_rule rule;
    double n;                  /* Manning, s/m^(1/3) */
    double k_mm;               /* Colebrook-White */
    double viscosity_m2_per_s; /* Colebrook-White */
    double slope_m_per_m;
} hn_flow_model;

/* Mean velocity (m/s) and flow (m3/s) of the full, surcharged section. */
double hn_velocity_full_m_per_s(const hn_section *section, const hn_flow_model *model);
double hn_flow_full_m3_per_s(const hn_section *section, const hn_flow_model *model);

/* Mean velocity (m/s) and flow (m3/s) at a depth in m in [0, height]; at the
 * crown the section counts as surcharged. Above it: NaN; so is a film thinner
 * than the roughness by Colebrook-White. */
double hn_velocity_at_depth_m_per_s(const hn_section *section, const hn_flow_model *model,
                                    double depth_m);
double hn_flow_at_depth_m3_per_s(const hn_section *section, const hn_flow_model *model,
                                 double depth_m);

/* Greatest velocity and greatest flow with a free surface, and their depths.
 * Where the maximum lies at a flat soffit it is the value just below it. The
 * depth is where dQ/dy = 0, found by bisection of the exact derivative. */
typedef struct hn_flow_peak {
    double depth_m, velocity_m_per_s, flow_m3_per_s;
} hn_flow_peak;
hn_flow_peak hn_peak_velocity(const hn_section *section, const hn_flow_model *model);
hn_flow_peak hn_peak_flow(const hn_section *section, const hn_flow_model *model);

typedef enum hn_answer { HN_NO, HN_YES, HN_UNANSWERED } hn_answer;

typedef struct hn_normal_flow {
    double depth_m;           /* normal depth; the height when surcharged */
    double fill_0_1;          /* depth / height */
    double velocity_m_per_s;  /* flow / wetted area */
    double full_m3_per_s;     /* surcharged full */
    double most_m3_per_s;     /* greatest flow with a free surface */
    hn_answer surcharged;     /* more flow than most_m3_per_s */
    hn_answer self_cleansing; /* velocity reaches the least one asked for */
} hn_normal_flow;

/* Normal depth of a flow (m3/s, >= 0) and two flags. The least self-cleansing
 * velocity is the caller's (commonly 0.6 to 0.75 m/s: common practice, no
 * source); NaN leaves that flag unknown. The lower of two possible depths is
 * given. A polygon with benches may have more: then one of them. */
hn_normal_flow hn_normal_depth(const hn_section *section, const hn_flow_model *model,
                               double flow_m3_per_s, double least_velocity_m_per_s);

#endif
