/* engineering/section_check.c - do the sizes of a section fit its shape? */
#include "engineering/section_profile.h"

#include <math.h>

/* Sizes come from tables in whole mm, so ties are judged with a little slack. */
static const double slack = 1e-9;

static hn_section check_egg(hn_section s)
{
    const double r = s.width_m / 2.0;

    if (!(s.invert_radius_m >= 0.0 && s.invert_radius_m < r))
        return hn_section_broken(s, "the invert radius of the egg is not below its crown radius");
    if (s.height_m < s.width_m * (1.0 - slack))
        return hn_section_broken(s, "the egg is lower than wide");
    return s;
}

static hn_section check_horseshoe(hn_section s)
{
    const double r = s.width_m / 2.0, side_y = s.height_m - r - s.wall_m;
    double x, y;

    if (!(s.wall_m >= 0.0) || isinf(s.wall_m))
        return hn_section_broken(s, "the upright wall of the horseshoe is missing or below 0");
    if (!(s.side_radius_m >= r * (1.0 - slack) && s.invert_radius_m > 0.0))
        return hn_section_broken(s, "a radius of the horseshoe is missing or too small");
    hn_horseshoe_corner(&s, &x, &y);
    /* An invert arc that meets the sides above its own middle is wider than they. */
    if (!(x > 0.0 && y >= 0.0 && y <= side_y + slack * s.height_m) ||
        y > s.invert_radius_m * (1.0 + slack) || x > r * (1.0 + slack))
        return hn_section_broken(s, "the sides and the invert of the horseshoe do not meet");
    return s;
}

static hn_section check_arch(hn_section s)
{
    if (!hn_section_size_sound(s.rise_m))
        return hn_section_broken(s, "the rise of the arch is missing or not above 0");
    return s;
}

static hn_section check_channel(hn_section s)
{
    if (!(s.floor_width_m >= 0.0 && s.floor_width_m <= s.width_m * (1.0 + slack)))
        return hn_section_broken(s, "the channel floor is missing or wider than the bank");
    return s;
}

hn_section hn_section_check(hn_section section)
{
    switch (section.shape) {
    case HN_SECTION_EGG:
        return check_egg(section);
    case HN_SECTION_HORSESHOE:
        return check_horseshoe(section);
    case HN_SECTION_ARCH:
        return check_arch(section);
    case HN_SECTION_CHANNEL:
        return check_channel(section);
    case HN_SECTION_OTHER:
        return hn_polygon_check(section);
    case HN_SECTION_CIRCLE:
    case HN_SECTION_RECTANGLE:
    case HN_SECTION_ELLIPSE:
    case HN_SECTION_SHAPE_COUNT:
    default:
        return section;
    }
}
