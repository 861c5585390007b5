/* engineering/section_profile.h - inside view of a section: its right half as
 * a short list of pieces from the invert upwards. Private to section*.c. */
#ifndef HN_ENGINEERING_SECTION_PROFILE_H
#define HN_ENGINEERING_SECTION_PROFILE_H

#include "engineering/section.h"

enum { HN_PROFILE_PIECES_MAX = 4 };

/* Sizes outside are no sewer and would only overflow: 1 mm, 100 km. */
#define HN_SECTION_LEAST_M 1e-3
#define HN_SECTION_MOST_M  1e5

/* x(y) from y0 to y1: an elliptic arc when radius_y_m > 0 (circular when both
 * radii agree), else the straight line from x0 to x1. */
typedef struct hn_profile_piece {
    double y0_m, y1_m;
    double x0_m, x1_m;             /* line */
    double centre_x_m, centre_y_m; /* arc */
    double radius_x_m, radius_y_m; /* arc */
} hn_profile_piece;

typedef struct hn_profile {
    int pieces;
    double floor_m, soffit_m; /* full widths of a flat floor and a flat soffit */
    hn_profile_piece piece[HN_PROFILE_PIECES_MAX];
} hn_profile;

/* What lies below a level: area, wetted length, width at the level, and the
 * change of the last two per metre of depth. A profile gives the right half, a
 * polygon the whole. */
typedef struct hn_profile_sum {
    double area_m2, length_m, width_m, length_rate, width_rate;
} hn_profile_sum;

int hn_section_size_sound(double size_m);

/* The section with its problem set when its sizes contradict each other. */
hn_section hn_section_check(hn_section section);
hn_section hn_section_broken(hn_section section, const char *problem);

/* Pieces of any shape but OTHER. */
hn_profile hn_profile_of(const hn_section *section);
hn_profile_sum hn_profile_below(const hn_profile *profile, double depth_m);

/* Polygon (section_polygon.c): sets turn and sizes, or a problem. */
hn_section hn_polygon_check(hn_section section);
hn_profile_sum hn_polygon_below(const hn_section *section, double depth_m);

/* A section made ready for many depths; sums are whole, overrides applied, and
 * a flat soffit stays dry. NaN when the section has no outline. */
typedef struct hn_wet_view {
    const hn_section *section;
    int known;
    hn_profile profile;
} hn_wet_view;

hn_wet_view hn_wet_view_of(const hn_section *section);
hn_profile_sum hn_wet_below(const hn_wet_view *view, double depth_m);

/* Where invert and side arcs of a horseshoe meet; x is NaN when they do not. */
void hn_horseshoe_corner(const hn_section *section, double *x_m, double *y_m);

#endif
