/* engineering/grouted_quantities.c - counts and volumes of a grouted lining. */
#include "engineering/grouted_quantities.h"

#include "engineering/range.h"

#include <math.h>

double hn_grout_allowance(hn_host_surface surface)
{
    static const double shares[HN_HOST_SURFACE_COUNT] = {0.05, 0.10, 0.10, 0.15};
    return (unsigned)surface < HN_HOST_SURFACE_COUNT ? shares[surface] : NAN;
}

double hn_annulus_m2(double outer_diameter_m, double inner_diameter_m)
{
    if (!hn_is_not_negative(inner_diameter_m) || !(outer_diameter_m >= inner_diameter_m))
        return NAN;
    return 3.14159265358979323846 / 4 * (outer_diameter_m - inner_diameter_m) *
           (outer_diameter_m + inner_diameter_m);
}

double hn_grout_volume_m3(double host_area_m2, double liner_area_m2, double length_m,
                          double allowance, double rings_m3)
{
    if (!hn_is_not_negative(liner_area_m2) || !(host_area_m2 > liner_area_m2) ||
        !hn_is_not_negative(length_m) || !hn_is_not_negative(allowance) ||
        !hn_is_not_negative(rings_m3))
        return NAN;
    const double volume = (host_area_m2 - liner_area_m2) * length_m * (1 + allowance) - rings_m3;
    return volume >= 0 ? volume : NAN;
}

/* Whole parts of `size` needed to cover `whole`; a rounding error above a whole
 * number does not cost one more. */
static double parts(double whole, double size)
{
    return hn_is_not_negative(whole) && hn_is_positive(size) ? fmax(ceil(whole / size - 1e-9), 0.0) : NAN;
}

static void count_rings(const hn_grouted_input *in, double perimeter_m, hn_grouted_quantities *out)
{
    if (isnan(in->ring_spacing_m)) { /* spirally wound or slip-lined: no frame rings */
        out->rings_m3 = 0;
        return;
    }
    const double bays = parts(in->length_m, in->ring_spacing_m);
    out->rings = bays + 1;
    out->panels = bays * in->panels_per_ring;
    out->ring_joints_m = hn_is_positive(perimeter_m) ? out->rings * perimeter_m : NAN;
    out->long_joints_m = in->panels_per_ring * in->length_m;
    out->rings_m3 = out->rings * in->ring_m3;
}

/* The first lift may have to end low down, where the lining would rise. */
static double count_lifts(const hn_grouted_input *in)
{
    if (in->first_lift_m > 0 && in->first_lift_m < in->lift_m &&
        in->first_lift_m < in->host_height_m)
        return 1 + parts(in->host_height_m - in->first_lift_m, in->lift_m);
    return parts(in->host_height_m, in->lift_m);
}

static void count_pours(const hn_grouted_input *in, hn_grouted_quantities *out)
{
    out->lifts = count_lifts(in);
    out->sections = parts(in->length_m, in->pour_length_m);
    out->pours = out->lifts * out->sections;
    /* Each section is closed by its own bulkheads, so it needs its own end vents. */
    out->vents = out->sections * (parts(in->length_m / out->sections, in->vent_spacing_m) + 1);
    out->deliveries = out->pours * parts(out->grout_m3 / out->pours, in->delivery_m3);
}

hn_grouted_quantities hn_grouted_takeoff(const hn_grouted_input *in, double liner_perimeter_m)
{
    hn_grouted_quantities out = {
        .rings = NAN, .panels = NAN, .ring_joints_m = NAN, .long_joints_m = NAN};
    count_rings(in, liner_perimeter_m, &out);
    out.grout_m3 = hn_grout_volume_m3(in->host_area_m2, in->liner_area_m2, in->length_m,
                                      in->allowance, out.rings_m3);
    out.grout_kg = hn_is_positive(in->grout_kg_per_m3) ? out.grout_m3 * in->grout_kg_per_m3 : NAN;
    count_pours(in, &out);
    return out;
}
