/* engineering/section.c - builders of sections. One idea: a builder checks its
 * sizes once, so that nothing after it has to; a bad size becomes a problem
 * text instead of a number. */
#include "engineering/section.h"

#include "engineering/section_profile.h"

#include <math.h>

static const double m_per_mm = 1e-3;

hn_section hn_section_broken(hn_section section, const char *problem)
{
    section.problem = problem;
    section.width_m = section.height_m = NAN;
    return section;
}

int hn_section_size_sound(double size_m)
{
    return size_m >= HN_SECTION_LEAST_M && size_m <= HN_SECTION_MOST_M;
}

static hn_section sized(hn_section_shape shape, double width_m, double height_m)
{
    hn_section s = {.shape = shape, .width_m = width_m, .height_m = height_m};

    s.area_factor = s.perimeter_factor = 1.0;
    s.area_m2 = s.perimeter_m = NAN;
    if (!hn_section_size_sound(width_m))
        return hn_section_broken(s, "the width is missing, not above 0 or beyond any sewer");
    if (!hn_section_size_sound(height_m))
        return hn_section_broken(s, "the height is missing, not above 0 or beyond any sewer");
    return s;
}

hn_section hn_section_circle(double diameter_mm)
{
    return sized(HN_SECTION_CIRCLE, diameter_mm * m_per_mm, diameter_mm * m_per_mm);
}

hn_section hn_section_egg(double crown_radius_mm, double invert_radius_mm, double height_mm)
{
    hn_section s = sized(HN_SECTION_EGG, 2.0 * crown_radius_mm * m_per_mm, height_mm * m_per_mm);

    s.invert_radius_m = invert_radius_mm * m_per_mm;
    return s.problem ? s : hn_section_check(s);
}

hn_section hn_section_egg_standard(double width_mm)
{
    return hn_section_egg(width_mm / 2.0, width_mm / 4.0, 1.5 * width_mm);
}

hn_section hn_section_egg_new(double width_mm)
{
    return hn_section_egg(width_mm / 2.0, width_mm / 8.0, 1.5 * width_mm);
}

/* A very flat arc is a line, and is worked out as one. */
static double flat_when_huge(double radius_m, double width_m)
{
    return radius_m > 1e4 * width_m ? INFINITY : radius_m;
}

hn_section hn_section_horseshoe(double width_mm, double height_mm, double wall_mm,
                                double side_radius_mm, double invert_radius_mm)
{
    hn_section s = sized(HN_SECTION_HORSESHOE, width_mm * m_per_mm, height_mm * m_per_mm);

    s.wall_m = wall_mm * m_per_mm;
    s.side_radius_m = flat_when_huge(side_radius_mm * m_per_mm, s.width_m);
    s.invert_radius_m = flat_when_huge(invert_radius_mm * m_per_mm, s.width_m);
    return s.problem ? s : hn_section_check(s);
}

hn_section hn_section_arch(double width_mm, double height_mm, double rise_mm)
{
    hn_section s = sized(HN_SECTION_ARCH, width_mm * m_per_mm, height_mm * m_per_mm);

    s.rise_m = rise_mm * m_per_mm;
    if (!s.problem && s.rise_m > s.height_m)
        return hn_section_broken(s, "the rise of the arch is more than its height");
    return s.problem ? s : hn_section_check(s);
}

hn_section hn_section_channel(double width_mm, double floor_width_mm, double depth_mm)
{
    hn_section s = sized(HN_SECTION_CHANNEL, width_mm * m_per_mm, depth_mm * m_per_mm);

    s.floor_width_m = floor_width_mm * m_per_mm;
    return s.problem ? s : hn_section_check(s);
}

hn_section hn_section_polygon(const double *xy_m, size_t points)
{
    hn_section s = sized(HN_SECTION_OTHER, 1.0, 1.0);

    s.xy = xy_m;
    s.points = xy_m ? points : 0;
    return hn_section_check(s);
}

hn_section hn_section_known(double area_m2, double hydraulic_radius_m)
{
    hn_section s = sized(HN_SECTION_OTHER, 1.0, 1.0);

    s.width_m = s.height_m = NAN;
    s.area_m2 = area_m2;
    s.perimeter_m = area_m2 / hydraulic_radius_m;
    if (!hn_section_size_sound(sqrt(area_m2)) || !hn_section_size_sound(hydraulic_radius_m))
        return hn_section_broken(s, "area or hydraulic radius is missing or not above 0");
    return s;
}

static hn_section round_or_oval(double width_mm, double height_mm)
{
    if (isnan(height_mm) || height_mm == width_mm)
        return hn_section_circle(width_mm);
    if (isnan(width_mm))
        return hn_section_circle(height_mm);
    return sized(HN_SECTION_ELLIPSE, width_mm * m_per_mm, height_mm * m_per_mm);
}

hn_section hn_section_from_size(hn_section_shape shape, double width_mm, double height_mm)
{
    switch (shape) {
    case HN_SECTION_CIRCLE:
        return round_or_oval(width_mm, height_mm);
    case HN_SECTION_EGG:
        return hn_section_egg(width_mm / 2.0, width_mm / 4.0, height_mm);
    case HN_SECTION_HORSESHOE:
        return hn_section_horseshoe(width_mm, height_mm, fmax(height_mm - width_mm, 0.0), width_mm,
                                    width_mm);
    case HN_SECTION_RECTANGLE:
    case HN_SECTION_ELLIPSE:
        return sized(shape, width_mm * m_per_mm, height_mm * m_per_mm);
    case HN_SECTION_ARCH:
        return hn_section_arch(width_mm, height_mm, height_mm);
    case HN_SECTION_CHANNEL:
        return hn_section_channel(width_mm, width_mm, height_mm);
    case HN_SECTION_OTHER:
    case HN_SECTION_SHAPE_COUNT:
    default:
        return hn_section_broken(sized(HN_SECTION_OTHER, 1.0, 1.0),
                                 "the shape is unknown, so width and height do not give an area");
    }
}

hn_section hn_section_override(hn_section section, double area_m2, double hydraulic_radius_m)
{
    const hn_section_measures plain = hn_section_full(&section);
    const double area = isnan(area_m2) ? plain.area_m2 : area_m2;
    const double perimeter =
        isnan(hydraulic_radius_m) ? plain.perimeter_m : area / hydraulic_radius_m;

    if (section.problem && !isnan(area_m2) && !isnan(hydraulic_radius_m))
        return hn_section_known(area_m2, hydraulic_radius_m);
    if (section.problem || (isnan(area_m2) && isnan(hydraulic_radius_m)))
        return section;
    if (!hn_section_size_sound(sqrt(area)) || !hn_section_size_sound(area / perimeter))
        return hn_section_broken(section, "an overriding area or radius is not above 0");
    section.area_factor *= area / plain.area_m2;
    section.perimeter_factor *= perimeter / plain.perimeter_m;
    if (section.shape == HN_SECTION_OTHER && !section.points)
        return hn_section_known(area, area / perimeter);
    return section;
}
