/* engineering/section_full.c - measures of the full section. One idea: the
 * common shapes have one-line closed forms, because a batch asks for millions
 * of them; the rest is a sum over the outline pieces. */
#include "engineering/section_elliptic.h"
#include "engineering/section_profile.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

static void by_pieces(const hn_section *s, hn_section_measures *m)
{
    const hn_profile profile = hn_profile_of(s);
    const hn_profile_sum half = hn_profile_below(&profile, s->height_m);

    m->area_m2 = 2.0 * half.area_m2;
    m->perimeter_m = 2.0 * half.length_m + profile.soffit_m;
}

static void by_points(const hn_section *s, hn_section_measures *m)
{
    const hn_profile_sum whole = hn_polygon_below(s, s->height_m);

    m->area_m2 = whole.area_m2;
    m->perimeter_m = whole.length_m;
}

static void plain_measures(const hn_section *s, hn_section_measures *m)
{
    const double w = s->width_m, h = s->height_m;

    switch (s->shape) {
    case HN_SECTION_CIRCLE:
        m->area_m2 = pi * w * w / 4.0;
        m->perimeter_m = pi * w;
        break;
    case HN_SECTION_RECTANGLE:
        m->area_m2 = w * h;
        m->perimeter_m = 2.0 * (w + h);
        break;
    case HN_SECTION_ELLIPSE:
        m->area_m2 = pi * w * h / 4.0;
        m->perimeter_m = hn_ellipse_perimeter(w / 2.0, h / 2.0);
        break;
    case HN_SECTION_OTHER:
        if (s->points) {
            by_points(s, m);
            break;
        }
        m->area_m2 = s->area_m2;
        m->perimeter_m = s->perimeter_m;
        break;
    case HN_SECTION_EGG:
    case HN_SECTION_HORSESHOE:
    case HN_SECTION_ARCH:
    case HN_SECTION_CHANNEL:
    case HN_SECTION_SHAPE_COUNT:
    default:
        by_pieces(s, m);
    }
}

hn_section_measures hn_section_full(const hn_section *section)
{
    hn_section_measures m = {NAN, NAN, NAN, section->width_m, section->height_m};

    if (section->problem)
        return (hn_section_measures){NAN, NAN, NAN, NAN, NAN};
    plain_measures(section, &m);
    m.area_m2 *= section->area_factor;
    m.perimeter_m *= section->perimeter_factor;
    m.hydraulic_radius_m = m.area_m2 / m.perimeter_m;
    return m;
}
