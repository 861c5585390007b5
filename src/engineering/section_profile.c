/* engineering/section_profile.c - outline pieces and their exact integrals.
 * One idea: with F(u) = (u sqrt(r^2 - u^2) + r^2 asin(u/r)) / 2 the area beside
 * a circular arc is a difference of two F, so nothing is ever tabulated. */
#include "engineering/section_profile.h"

#include "engineering/section_elliptic.h"

#include <math.h>

static hn_profile_piece line(double x0_m, double y0_m, double x1_m, double y1_m)
{
    return (hn_profile_piece){.x0_m = x0_m, .y0_m = y0_m, .x1_m = x1_m, .y1_m = y1_m};
}

static hn_profile_piece arc(double centre_x_m, double centre_y_m, double radius_m, double y0_m,
                            double y1_m)
{
    return (hn_profile_piece){.centre_x_m = centre_x_m,
                              .centre_y_m = centre_y_m,
                              .radius_x_m = radius_m,
                              .radius_y_m = radius_m,
                              .y0_m = y0_m,
                              .y1_m = y1_m};
}

double hn_section_egg_side_radius_m(const hn_section *egg)
{
    const double r = egg->width_m / 2.0, b = egg->invert_radius_m;
    const double between = egg->height_m - r - b;

    return (between * between + r * r - b * b) / (2.0 * (r - b));
}

static void egg_pieces(const hn_section *s, hn_profile *p)
{
    const double r = s->width_m / 2.0, b = s->invert_radius_m;
    const double spring = s->height_m - r;
    const double side = hn_section_egg_side_radius_m(s);
    /* The tangent point lies on the line through both centres. */
    const double tangent = b - b * (spring - b) / (side - b);

    p->piece[p->pieces++] = arc(0.0, b, b, 0.0, tangent);
    p->piece[p->pieces++] = arc(r - side, spring, side, tangent, spring);
    p->piece[p->pieces++] = arc(0.0, spring, r, spring, s->height_m);
}

/* Lower right meeting point of the circles (0, ri) and (cx, cy) of radius rs. */
static void circles_meet(double ri, double cx, double cy, double rs, double *x, double *y)
{
    const double dx = cx, dy = cy - ri, d2 = dx * dx + dy * dy;
    const double along = (d2 + ri * ri - rs * rs) / (2.0 * d2);
    const double across = sqrt(ri * ri / d2 - along * along);

    /* Of the two points along +- across the lower right one is wanted. */
    *x = along * dx + across * fabs(dy);
    *y = ri + along * dy + across * (dy > 0.0 ? -dx : dx);
}

void hn_horseshoe_corner(const hn_section *s, double *x_m, double *y_m)
{
    const double r = s->width_m / 2.0, side = s->side_radius_m, invert = s->invert_radius_m;
    const double side_y = s->height_m - r - s->wall_m;

    if (isinf(side) && isinf(invert)) {
        *x_m = r;
        *y_m = 0.0;
    } else if (isinf(side)) {
        *x_m = r;
        *y_m = invert - sqrt((invert - r) * (invert + r));
    } else if (isinf(invert)) {
        *x_m = r - side + sqrt((side - side_y) * (side + side_y));
        *y_m = 0.0;
    } else {
        circles_meet(invert, r - side, side_y, side, x_m, y_m);
    }
}

static void horseshoe_pieces(const hn_section *s, hn_profile *p)
{
    const double r = s->width_m / 2.0, side = s->side_radius_m, invert = s->invert_radius_m;
    const double spring = s->height_m - r, side_y = spring - s->wall_m;
    double x, y;

    hn_horseshoe_corner(s, &x, &y);
    if (isinf(invert))
        p->floor_m = 2.0 * x;
    else
        p->piece[p->pieces++] = arc(0.0, invert, invert, 0.0, y);
    if (isinf(side))
        p->piece[p->pieces++] = line(r, y, r, side_y);
    else
        p->piece[p->pieces++] = arc(r - side, side_y, side, y, side_y);
    if (s->wall_m > 0.0)
        p->piece[p->pieces++] = line(r, side_y, r, spring);
    p->piece[p->pieces++] = arc(0.0, spring, r, spring, s->height_m);
}

static void arch_pieces(const hn_section *s, hn_profile *p)
{
    const double a = s->width_m / 2.0, wall = s->height_m - s->rise_m;
    const hn_profile_piece crown = {.centre_y_m = wall,
                                    .radius_x_m = a,
                                    .radius_y_m = s->rise_m,
                                    .y0_m = fmax(wall, 0.0),
                                    .y1_m = s->height_m};
    const double cut = fmin(wall, 0.0) / s->rise_m;

    p->floor_m = 2.0 * a * sqrt((1.0 - cut) * (1.0 + cut));
    if (wall > 0.0)
        p->piece[p->pieces++] = line(a, 0.0, a, wall);
    p->piece[p->pieces++] = crown;
}

hn_profile hn_profile_of(const hn_section *s)
{
    hn_profile p = {.pieces = 0};
    const double r = s->width_m / 2.0, h = s->height_m;

    switch (s->shape) {
    case HN_SECTION_CIRCLE:
        p.piece[p.pieces++] = arc(0.0, r, r, 0.0, h);
        break;
    case HN_SECTION_EGG:
        egg_pieces(s, &p);
        break;
    case HN_SECTION_HORSESHOE:
        horseshoe_pieces(s, &p);
        break;
    case HN_SECTION_RECTANGLE:
        p.floor_m = p.soffit_m = s->width_m;
        p.piece[p.pieces++] = line(r, 0.0, r, h);
        break;
    case HN_SECTION_ELLIPSE:
        p.piece[p.pieces++] = arc(0.0, h / 2.0, h / 2.0, 0.0, h);
        p.piece[0].radius_x_m = r;
        break;
    case HN_SECTION_ARCH:
        arch_pieces(s, &p);
        break;
    case HN_SECTION_CHANNEL:
        p.floor_m = s->floor_width_m;
        p.piece[p.pieces++] = line(s->floor_width_m / 2.0, 0.0, r, h);
        break;
    case HN_SECTION_OTHER:
    case HN_SECTION_SHAPE_COUNT:
    default:
        break;
    }
    return p;
}

static double half_chord(double u, double r)
{
    return sqrt(fmax((r - u) * (r + u), 0.0));
}

/* Height above the centre. At the very crown rounding of the order 1e-16 in
 * the height would cost 1e-8 in the angle, so a hair from the end is the end. */
static double above_centre(double y_m, const hn_profile_piece *p)
{
    const double u = y_m - p->centre_y_m, r = p->radius_y_m;

    return fabs(u) > r * (1.0 - 4e-15) ? copysign(r, u) : u;
}

static void add_arc(const hn_profile_piece *p, double top_m, hn_profile_sum *sum)
{
    const double r = p->radius_y_m, wide = p->radius_x_m / r;
    const double u0 = above_centre(p->y0_m, p), u1 = above_centre(top_m, p);
    const double c0 = half_chord(u0, r), c1 = half_chord(u1, r);
    const double angle = asin(u1 / r) - asin(u0 / r);

    sum->area_m2 += p->centre_x_m * (u1 - u0) + wide * 0.5 * (u1 * c1 - u0 * c0 + r * r * angle);
    if (p->radius_x_m == r)
        sum->length_m += r * angle;
    else
        sum->length_m += hn_ellipse_arc_length(p->radius_x_m, r, u1) -
                         hn_ellipse_arc_length(p->radius_x_m, r, u0);
    sum->width_m = p->centre_x_m + wide * c1;
    sum->width_rate = -wide * u1 / c1;
    sum->length_rate = sqrt(1.0 + sum->width_rate * sum->width_rate);
}

static void add_line(const hn_profile_piece *p, double top_m, hn_profile_sum *sum)
{
    const double rise = top_m - p->y0_m, slope = (p->x1_m - p->x0_m) / (p->y1_m - p->y0_m);

    sum->area_m2 += rise * (p->x0_m + 0.5 * rise * slope);
    sum->length_m += rise * sqrt(1.0 + slope * slope);
    sum->width_m = p->x0_m + rise * slope;
    sum->width_rate = slope;
    sum->length_rate = sqrt(1.0 + slope * slope);
}

hn_profile_sum hn_profile_below(const hn_profile *profile, double depth_m)
{
    hn_profile_sum sum = {.length_m = profile->floor_m / 2.0, .width_m = profile->floor_m / 2.0};

    for (int i = 0; i < profile->pieces; i++) {
        const hn_profile_piece *p = &profile->piece[i];
        const double top_m = fmin(depth_m, p->y1_m);

        if (!(top_m > p->y0_m))
            continue;
        if (p->radius_y_m > 0.0)
            add_arc(p, top_m, &sum);
        else
            add_line(p, top_m, &sum);
    }
    return sum;
}
