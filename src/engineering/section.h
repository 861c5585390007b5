/* engineering/section.h - the inner outline of a sewer, and what it measures.
 *
 * Every outline is a few circular arcs, straight lines or half ellipses,
 * symmetric about a vertical axis (a closed polygon need not be). The struct
 * is a plain value: no heap, no ownership, cheap to copy. A section that has
 * no geometry (a size is missing, or the sizes contradict the shape) is legal:
 * `problem` says why and every measure of it is NaN.
 *
 * "Full" means surcharged: the whole outline is wetted, soffit included. An
 * open channel has no crown; full means bank-full.
 */
#ifndef HN_ENGINEERING_SECTION_H
#define HN_ENGINEERING_SECTION_H

#include <stddef.h>

/* Same order as hn_shape of the segment table. */
typedef enum hn_section_shape {
    HN_SECTION_CIRCLE,
    HN_SECTION_EGG,
    HN_SECTION_HORSESHOE,
    HN_SECTION_RECTANGLE,
    HN_SECTION_ELLIPSE,
    HN_SECTION_ARCH,
    HN_SECTION_CHANNEL, /* open, no crown */
    HN_SECTION_OTHER,   /* a closed polygon, or only area and radius are known */
    HN_SECTION_SHAPE_COUNT
} hn_section_shape;

typedef struct hn_section {
    const char *problem; /* NULL: sound; else why there is no geometry (static text) */
    hn_section_shape shape;
    double width_m, height_m; /* greatest inner width; invert to crown or bank */
    double invert_radius_m;   /* egg, horseshoe; INFINITY: flat floor (horseshoe) */
    double side_radius_m;     /* horseshoe; INFINITY: upright sides */
    double wall_m;            /* horseshoe: upright wall between crown and side arcs */
    double rise_m;            /* arch: height of the half ellipse */
    double floor_width_m;     /* channel */
    const double *xy;         /* polygon: borrowed, 2 per point, metres */
    size_t points;
    double turn;                          /* polygon: 1 anticlockwise, -1 clockwise */
    double low_m;                         /* polygon: level of its invert */
    double inset_m[3];                    /* polygon: crown, side, invert */
    double area_factor, perimeter_factor; /* 1 unless hn_section_override was used */
    double area_m2, perimeter_m;          /* OTHER without points only */
} hn_section;

typedef struct hn_section_measures {
    double area_m2, perimeter_m, hydraulic_radius_m, width_m, height_m;
} hn_section_measures;

/* Section of a shape from its width and height in mm.
 *   circle     width; the height may be NaN. A height that differs makes it an
 *              ellipse of these axes (a pipe out of round). Width NaN: height.
 *   egg        standard egg: crown radius W/2, invert radius W/4, sides tangent
 *              to both. H = 1.5 W is the standard 2:3 egg; any other H >= W
 *              keeps both radii and fits the side radius. H < W: no such egg.
 *   horseshoe  crown W/2, sides and invert of radius W. H > W: upright walls of
 *              H - W are put in. H < W: the invert is raised, down to 0.634 W.
 *   rectangle, ellipse (upright or lying), channel (upright sides): W and H.
 *   arch       flat floor and half ellipse of rise H: area is pi/4 W H.
 *   other      none (problem set); see hn_section_polygon, hn_section_known.
 * Sizes: 1 mm to 100 km, else a problem. Errors: in `problem`.
 * Source: egg and horseshoe radii as in hn_section_egg, hn_section_horseshoe;
 * the rules for unusual H/W are local rules. Golden: section_checks.csv. */
hn_section hn_section_from_size(hn_section_shape shape, double width_mm, double height_mm);

hn_section hn_section_circle(double diameter_mm);

/* Egg from crown radius r, invert radius b and height H, in mm. The sides are
 * arcs tangent to both, centred on the springline (height H - r):
 *   side radius = ((H - r - b)^2 + r^2 - b^2) / (2 (r - b)).
 * Standard egg 2:3: b = r/2, H = 3 r, sides 3 r. New egg: b = r/4, H = 3 r,
 * sides 8/3 r. Range: 0 <= b < r, H >= 2 r. b = 0: the sides meet in a point.
 * Source: standard egg, US EPA SWMM 5.2 cross-section tables (2022) agree with
 * these radii; the new egg's radii from memory of DIN 4263; the tangency rule
 * is derived, docs/engineering/sections.md. */
hn_section hn_section_egg(double crown_radius_mm, double invert_radius_mm, double height_mm);
hn_section hn_section_egg_standard(double width_mm);
hn_section hn_section_egg_new(double width_mm);
double hn_section_egg_side_radius_m(const hn_section *egg);

/* Horseshoe, sizes in mm: half-circle crown of radius W/2; below the
 * springline an upright wall (0: none), then side arcs tangent to it, of
 * radius side_radius >= W/2 or INFINITY; an invert arc centred on the axis of
 * radius >= W/2 or INFINITY (flat floor) meets the sides in a corner. A radius
 * above 10,000 W counts as INFINITY.
 * Standard: H = W = D, sides and invert radius D.
 * Source: G. P. Merkley, Agricultural Water Management 71 (2005) 61-70. */
hn_section hn_section_horseshoe(double width_mm, double height_mm, double wall_mm,
                                double side_radius_mm, double invert_radius_mm);

/* Flat floor, upright walls of H - rise, half-ellipse crown of that rise.
 * rise = W/2 is a half-circle vault. Common practice, no source. */
hn_section hn_section_arch(double width_mm, double height_mm, double rise_mm);

/* Open trapezoid: width at the bank, width of the floor, depth, in mm. */
hn_section hn_section_channel(double width_mm, double floor_width_mm, double depth_mm);

/* Closed polygon in metres, x right and y up, 2 numbers per point, not
 * self-crossing, either turn, first point not repeated. Borrowed: must live as
 * long as the section and its insets. The lowest point is the invert. An outline
 * that does not turn once around gets a problem; not every crossing is seen. */
hn_section hn_section_polygon(const double *xy_m, size_t points);

/* Only full area (m2) and hydraulic radius (m) are known; part flow is NaN. */
hn_section hn_section_known(double area_m2, double hydraulic_radius_m);

/* Catalogue area or hydraulic radius in place of the formula's; NaN keeps the
 * formula. Part-flow area and perimeter are scaled by the same factors. Area
 * alone keeps the perimeter; radius alone keeps the area. */
hn_section hn_section_override(hn_section section, double area_m2, double hydraulic_radius_m);

/* Measures of the full section; NaN in all five when there is no geometry. */
hn_section_measures hn_section_full(const hn_section *section);

/* Finished section inside a lining of even thickness, measured normal to the
 * wall (mm, >= 0). Arcs keep their centres and lose the thickness from their
 * radius; straight lines move in; corners are where the moved lines or arcs
 * meet, so they stay sharp. An egg whose invert radius is used up ends in a
 * point. Exact for all but the half ellipse and ellipse, whose axes lose the
 * thickness: the area is then too large, of an ellipse by (P - pi (a + b)) t: 0.05 %
 * for axes 3:2 and t = a/50, up to 2 or 3 % for a slip-lining (table in
 * docs/engineering/sections.md). An open channel is lined on floor and sides only.
 * Overridden sections keep their factors; OTHER without points uses
 * A - P t + pi t^2 (Steiner).
 * Errors: `problem` when the lining fills the section. Derived. */
hn_section hn_section_inset(const hn_section *section, double thickness_mm);

/* The same with one thickness at crown, sides and invert (mm, >= 0). Heights
 * lose crown and invert, widths lose twice the side, each arc its own zone's
 * thickness. Unequal values turn a circle into an ellipse; an egg or horseshoe
 * keeps a half-circle crown as wide as the section. Edges of a polygon belong
 * to the zone they face (45 degree rule). Local rule. */
hn_section hn_section_inset_unequal(const hn_section *section, double crown_mm, double side_mm,
                                    double invert_mm);

#endif
