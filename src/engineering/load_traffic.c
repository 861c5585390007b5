/* engineering/load_traffic.c - point load share E10, wheel on pipe E9, spreads
 * E11. */
#include "engineering/load_traffic.h"

#include "engineering/range.h"

#include <math.h>

static const double foot_m = 0.3048, inch_m = 0.0254, pi = 3.14159265358979323846;
static const double kip_kn = 4.4482216152605; /* 1000 x 0.45359237 kg x 9.80665 m/s2 */

double hn_impact_factor(double cover_m)
{
    if (!hn_is_not_negative(cover_m))
        return NAN;
    if (cover_m <= foot_m)
        return 1.5;
    if (cover_m <= 2 * foot_m)
        return 1.35;
    return cover_m <= 3 * foot_m ? 1.15 : 1.0;
}

/* Share on a rectangle [0,a] x [0,b] with the load above its corner; odd in a.
 * E10 with 1 - (2/pi) asin(x) written as (2/pi) atan: (a2 + h2)(b2 + h2) is
 * h2 (a2 + b2 + h2) + a2 b2, and asin near 1 costs half of the digits. */
static double corner_share(double a, double b, double h)
{
    const double a2 = a * a, b2 = b * b, h2 = h * h;
    const double root = sqrt(a2 + b2 + h2), ab = fabs(a) * b;
    const double angle = atan(ab / (h * root));
    const double share = 2 / pi * (angle + ab * h / root * (1 / (a2 + h2) + 1 / (b2 + h2)));
    return a < 0 ? -share / 4 : share / 4;
}

double hn_offset_load_share(double half_width_m, double half_length_m, double depth_m,
                            double offset_m)
{
    if (!hn_is_positive(half_width_m) || !hn_is_positive(half_length_m) ||
        !hn_is_not_negative(depth_m) || !isfinite(offset_m))
        return NAN;
    const double near = offset_m - half_width_m, far = offset_m + half_width_m;
    if (depth_m <= 0)
        return fabs(offset_m) <= half_width_m ? 1 : 0;
    return 2 *
           (corner_share(far, half_length_m, depth_m) - corner_share(near, half_length_m, depth_m));
}

double hn_point_load_share(double half_width_m, double half_length_m, double depth_m)
{
    return hn_offset_load_share(half_width_m, half_length_m, depth_m, 0);
}

double hn_two_truck_share_per_m(double outside_width_m, double length_m, double depth_m)
{
    const double half_length = length_m / 2, half_width = outside_width_m / 2;
    const double inner = hn_offset_load_share(half_length, half_width, depth_m, 1.5 * foot_m);
    const double outer = hn_offset_load_share(half_length, half_width, depth_m, 7.5 * foot_m);
    return 2 * (inner + outer) / length_m;
}

double hn_wheel_pressure_kpa(double share, double wheel_kn, double impact, double length_m,
                             double outside_width_m)
{
    if (!hn_is_not_negative(share) || !hn_is_not_negative(wheel_kn) ||
        !hn_is_not_negative(impact) || !hn_is_positive(length_m) ||
        !hn_is_positive(outside_width_m))
        return NAN;
    return share * wheel_kn * impact / length_m / outside_width_m;
}

hn_wheel_load hn_wheel_load_on_pipe(double outside_width_m, double cover_m, double wheel_kn,
                                    double length_m)
{
    hn_wheel_load load = {
        .share = hn_point_load_share(outside_width_m / 2, length_m / 2, cover_m),
        .impact = hn_impact_factor(cover_m),
    };
    load.pressure_kpa =
        hn_wheel_pressure_kpa(load.share, wheel_kn, load.impact, length_m, outside_width_m);
    load.line_kn_per_m = load.pressure_kpa * outside_width_m;
    return load;
}

double hn_square_spread_kpa(double wheel_kn, double cover_m)
{
    if (!hn_is_not_negative(wheel_kn) || !hn_is_positive(cover_m))
        return NAN;
    const double side = 1.75 * cover_m;
    return wheel_kn / (side * side);
}

double hn_lrfd_spread_kpa(double cover_m)
{
    if (!hn_is_not_negative(cover_m))
        return NAN;
    const double spread = 1.15 * cover_m;
    const double across = 20 * inch_m + spread, along = 10 * inch_m + spread;
    const double impact = 1 + fmax(0, 0.33 * (1 - 0.125 * cover_m / foot_m));
    /* Wheels stand 6 ft apart; the pair governs as soon as their areas touch. */
    const double one = 16 * kip_kn / (across * along);
    const double pair = 32 * kip_kn / ((across + 6 * foot_m) * along);
    return impact * fmax(one, pair);
}

double hn_tandem_spread_kpa(double cover_m)
{
    if (!hn_is_not_negative(cover_m))
        return NAN;
    const double side = 0.4 + 2 * cover_m * tan(pi / 6);
    double greatest = 0;
    for (int across = 1; across <= 2; across++) {
        for (int along = 1; along <= 2; along++) {
            const double area = (side + (across - 1) * 2.0) * (side + (along - 1) * 1.2);
            greatest = fmax(greatest, 150 * across * along / area);
        }
    }
    return greatest;
}
