/* engineering/section_inset.c - the finished section inside a lining. One idea:
 * every shape stays in its own family when its outline moves in, so an inset is
 * a change of a few sizes, then the same check that the builders use. */
#include "engineering/section_profile.h"

#include <math.h>

static const double pi = 3.14159265358979323846;
static const char *const filled = "the lining leaves no opening";

/* Once the invert radius is used up the side arcs end in a point on the axis;
 * the height is then measured from that point. */
static void sharpen_egg(const hn_section *old, double spring_drop_m, double side_m, hn_section *s)
{
    const double r = old->width_m / 2.0, side = hn_section_egg_side_radius_m(old);
    const double aside = side - r, reach = side - side_m;

    if (s->invert_radius_m >= 0.0)
        return;
    s->invert_radius_m = 0.0;
    s->height_m = s->width_m / 2.0 + sqrt((reach - aside) * (reach + aside)) - spring_drop_m;
}

static void inset_channel(double side_m, double invert_m, hn_section *s)
{
    const double lean = (s->width_m - s->floor_width_m) / (2.0 * s->height_m);
    const double shift = side_m * sqrt(1.0 + lean * lean);

    s->width_m -= 2.0 * shift;
    s->floor_width_m += 2.0 * (lean * invert_m - shift);
    s->height_m -= invert_m;
    if (s->floor_width_m < 0.0 && lean > 0.0) {
        s->height_m += s->floor_width_m / (2.0 * lean);
        s->floor_width_m = 0.0;
    }
}

static hn_section inset_known(hn_section s, double crown_m, double side_m, double invert_m)
{
    const double t = side_m;

    if (crown_m != side_m || invert_m != side_m)
        return hn_section_broken(s, "uneven lining needs an outline, not only an area");
    s.area_m2 += -s.perimeter_m * t + pi * t * t;
    s.perimeter_m -= 2.0 * pi * t;
    return s.area_m2 > 0.0 && s.perimeter_m > 0.0 ? s : hn_section_broken(s, filled);
}

static hn_section inset_polygon(hn_section s, double crown_m, double side_m, double invert_m)
{
    s.inset_m[0] += crown_m;
    s.inset_m[1] += side_m;
    s.inset_m[2] += invert_m;
    return hn_section_check(s);
}

static hn_section inset_shape(const hn_section *old, double crown_m, double side_m, double invert_m)
{
    hn_section s = *old;

    if (s.shape == HN_SECTION_CHANNEL) {
        inset_channel(side_m, invert_m, &s);
        return s;
    }
    s.width_m -= 2.0 * side_m;
    s.height_m -= crown_m + invert_m;
    s.side_radius_m -= side_m;
    s.invert_radius_m -= invert_m;
    s.rise_m -= crown_m;
    if (s.shape == HN_SECTION_CIRCLE && s.width_m != s.height_m)
        s.shape = HN_SECTION_ELLIPSE;
    if (s.shape == HN_SECTION_EGG)
        sharpen_egg(old, crown_m - side_m, side_m, &s);
    return s;
}

hn_section hn_section_inset_unequal(const hn_section *section, double crown_mm, double side_mm,
                                    double invert_mm)
{
    const double crown_m = crown_mm * 1e-3, side_m = side_mm * 1e-3, invert_m = invert_mm * 1e-3;

    if (section->problem)
        return *section;
    if (!(crown_mm >= 0.0 && side_mm >= 0.0 && invert_mm >= 0.0) ||
        !isfinite(crown_mm + side_mm + invert_mm))
        return hn_section_broken(*section, "the lining thickness is missing or below 0");
    if (section->shape == HN_SECTION_OTHER && !section->points)
        return inset_known(*section, crown_m, side_m, invert_m);
    if (section->shape == HN_SECTION_OTHER)
        return inset_polygon(*section, crown_m, side_m, invert_m);

    const hn_section s = inset_shape(section, crown_m, side_m, invert_m);
    if (!hn_section_size_sound(s.width_m) || !hn_section_size_sound(s.height_m))
        return hn_section_broken(s, filled);
    return hn_section_check(s);
}

hn_section hn_section_inset(const hn_section *section, double thickness_mm)
{
    return hn_section_inset_unequal(section, thickness_mm, thickness_mm, thickness_mm);
}
