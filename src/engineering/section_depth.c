/* engineering/section_depth.c - part-full geometry. */
#include "engineering/section_depth.h"

#include "engineering/range.h"
#include "engineering/section_profile.h"

#include <math.h>

hn_wet_view hn_wet_view_of(const hn_section *section)
{
    hn_wet_view view = {.section = section};

    view.known = !section->problem && (section->shape != HN_SECTION_OTHER || section->points > 0);
    if (view.known && section->shape != HN_SECTION_OTHER)
        view.profile = hn_profile_of(section);
    return view;
}

hn_profile_sum hn_wet_below(const hn_wet_view *view, double depth_m)
{
    const hn_section *s = view->section;
    hn_profile_sum sum;

    if (!view->known || isnan(depth_m))
        return (hn_profile_sum){NAN, NAN, NAN, NAN, NAN};
    if (s->shape == HN_SECTION_OTHER) {
        /* A hair below the top, so that a flat soffit stays dry. */
        sum = hn_polygon_below(s, fmin(depth_m, s->height_m * (1.0 - 1e-12)));
    } else {
        sum = hn_profile_below(&view->profile, depth_m);
        sum.area_m2 *= 2.0;
        sum.length_m *= 2.0;
        sum.width_m *= 2.0;
        sum.length_rate *= 2.0;
        sum.width_rate *= 2.0;
    }
    sum.area_m2 = fmax(sum.area_m2, 0.0) * s->area_factor; /* a film may round below 0 */
    sum.width_m *= s->area_factor;                         /* stays the change of area with depth */
    sum.width_rate *= s->area_factor;
    sum.length_m *= s->perimeter_factor;
    sum.length_rate *= s->perimeter_factor;
    return sum;
}

hn_section_wet hn_section_at_depth(const hn_section *section, double depth_m)
{
    const hn_wet_view view = hn_wet_view_of(section);
    hn_section_wet wet = {NAN, NAN, NAN, NAN, NAN};

    if (!view.known || !hn_is_not_negative(depth_m))
        return wet;
    if (depth_m >= section->height_m) {
        const hn_section_measures full = hn_section_full(section);
        const double top_m = section->shape == HN_SECTION_CHANNEL ? section->width_m : 0.0;
        return (hn_section_wet){section->height_m, full.area_m2, full.perimeter_m,
                                full.hydraulic_radius_m, top_m};
    }
    const hn_profile_sum sum = hn_wet_below(&view, depth_m);
    wet.depth_m = depth_m;
    wet.area_m2 = sum.area_m2;
    wet.perimeter_m = sum.length_m;
    wet.hydraulic_radius_m = sum.area_m2 > 0.0 ? sum.area_m2 / sum.length_m : 0.0;
    wet.top_width_m = sum.width_m / section->area_factor;
    return wet;
}

double hn_section_depth_from_area(const hn_section *section, double area_m2)
{
    const hn_wet_view view = hn_wet_view_of(section);
    const double full_m2 = hn_section_full(section).area_m2;
    double low_m = 0.0, high_m = section->height_m;

    if (!view.known || !(area_m2 >= 0.0 && area_m2 <= full_m2))
        return NAN;
    if (area_m2 == 0.0 || area_m2 == full_m2)
        return area_m2 > 0.0 ? high_m : 0.0;
    for (int i = 0; i < 100; i++) {
        const double middle_m = 0.5 * (low_m + high_m);
        if (middle_m <= low_m || middle_m >= high_m)
            break;
        if (hn_wet_below(&view, middle_m).area_m2 < area_m2)
            low_m = middle_m;
        else
            high_m = middle_m;
    }
    return 0.5 * (low_m + high_m);
}
