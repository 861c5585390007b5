/* engineering/trench.c - open-cut takeoff by plain geometry. */
#include "engineering/trench.h"

#include "engineering/range.h"

#include <math.h>

static double width_by_pipe(double inside_m, double outside_m)
{
    if (inside_m <= 0.225)
        return outside_m + 0.40;
    if (inside_m <= 0.350)
        return outside_m + 0.50;
    if (inside_m <= 0.700)
        return outside_m + 0.70;
    return outside_m + (inside_m <= 1.200 ? 0.85 : 1.00);
}

static double width_by_depth(double depth_m)
{
    if (depth_m < 1.00)
        return 0;
    if (depth_m <= 1.75)
        return 0.80;
    return depth_m <= 4.00 ? 0.90 : 1.00;
}

double hn_trench_least_width_m(double inside_diameter_m, double outside_diameter_m, double depth_m)
{
    if (!hn_is_positive(inside_diameter_m) || !(outside_diameter_m >= inside_diameter_m) ||
        !isfinite(outside_diameter_m) || !hn_is_not_negative(depth_m))
        return NAN;
    return fmax(width_by_pipe(inside_diameter_m, outside_diameter_m), width_by_depth(depth_m));
}

static int allowed(const hn_trench_input *in, const hn_trench *out)
{
    return hn_is_not_negative(in->length_m) && hn_is_positive(in->outside_diameter_m) &&
           hn_is_not_negative(in->cover_m) && hn_is_not_negative(in->bedding_m) &&
           hn_is_not_negative(in->surround_m) && hn_is_not_negative(in->slope) &&
           hn_is_not_negative(in->pavement_extra_m) && hn_is_not_negative(in->pavement_m) &&
           in->reuse_share >= 0 && in->reuse_share <= 1 && in->bulking >= 1 &&
           isfinite(in->bulking) && out->width_m >= in->outside_diameter_m &&
           isfinite(out->width_m) && in->surround_m + in->pavement_m <= in->cover_m;
}

/* Solid volume between two heights above the trench bottom. */
static double layer_m3(const hn_trench_input *in, double width_m, double from_m, double to_m)
{
    const double mean = width_m + in->slope * (from_m + to_m);
    return in->length_m * (to_m - from_m) * mean;
}

static void fill_volumes(const hn_trench_input *in, hn_trench *out)
{
    const double roof_m = in->bedding_m + in->outside_diameter_m + in->surround_m;
    const double subgrade_m = out->depth_m - in->pavement_m;
    out->dug_m3 = layer_m3(in, out->width_m, 0, subgrade_m);
    out->pipe_m3 =
        in->length_m * 3.14159265358979323846 / 4 * in->outside_diameter_m * in->outside_diameter_m;
    out->bedding_m3 = layer_m3(in, out->width_m, 0, roof_m) - out->pipe_m3;
    out->backfill_m3 = layer_m3(in, out->width_m, roof_m, subgrade_m);
    const double reused = fmin(out->backfill_m3, in->reuse_share * out->dug_m3);
    out->imported_m3 = out->backfill_m3 - reused;
    out->spoil_m3 = (out->dug_m3 - reused) * in->bulking;
}

static void fill_areas(const hn_trench_input *in, hn_trench *out)
{
    const int upright = in->slope <= 0;
    out->shoring_m2 =
        upright && out->depth_m >= in->shored_from_m ? 2 * out->depth_m * in->length_m : 0;
    out->pavement_m2 =
        in->pavement_m > 0 ? in->length_m * (out->top_width_m + 2 * in->pavement_extra_m) : 0;
    out->drained_m = in->water_depth_m < out->depth_m ? in->length_m : 0;
    if (isnan(in->water_depth_m))
        out->drained_m = NAN;
    if (isnan(in->shored_from_m))
        out->shoring_m2 = NAN;
}

hn_trench hn_trench_takeoff(const hn_trench_input *in)
{
    hn_trench out = {.depth_m = in->cover_m + in->outside_diameter_m + in->bedding_m};
    const double least =
        hn_trench_least_width_m(in->inside_diameter_m, in->outside_diameter_m, out.depth_m);
    out.width_m = isnan(in->width_m) ? least : in->width_m;
    out.top_width_m = out.width_m + 2 * in->slope * out.depth_m;
    if (!allowed(in, &out))
        return (hn_trench){NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    fill_volumes(in, &out);
    fill_areas(in, &out);
    return out;
}
