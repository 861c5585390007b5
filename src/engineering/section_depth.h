/* engineering/section_depth.h - the part of a section below a water level.
 *
 * Everything comes from exact arc and line integrals; nothing is tabulated.
 * Depth counts from the lowest point of the invert. NaN or infinite in, NaN out; a section
 * with a problem, or of which only area and radius are known, gives NaN.
 */
#ifndef HN_ENGINEERING_SECTION_DEPTH_H
#define HN_ENGINEERING_SECTION_DEPTH_H

#include "engineering/section.h"

typedef struct hn_section_wet {
    double depth_m;
    double area_m2, perimeter_m, hydraulic_radius_m; /* radius 0 at depth 0 */
    double top_width_m;                              /* free surface; 0 when surcharged */
} hn_section_wet;

/* Wetted area, perimeter, radius and surface width at a depth in m (>= 0). At
 * and above the crown the section is surcharged: full values, soffit wetted,
 * no surface. A channel above its bank gives its bank-full values.
 * Circle: theta = 2 acos(1 - 2 y/D), A = D^2 (theta - sin theta)/8,
 * P = D theta/2, T = D sin(theta/2). Source: Chow, Open-Channel Hydraulics
 * (1959), Table 2-1 (table number from memory). Golden: section_checks.csv. */
hn_section_wet hn_section_at_depth(const hn_section *section, double depth_m);

/* Depth in m at which the wetted area (m2) is reached, in [0, height]; NaN when
 * the area is below 0 or above the full area. Bisection to the last bit. */
double hn_section_depth_from_area(const hn_section *section, double area_m2);

#endif
