/* engineering/section_polygon.c - a closed outline given as points. One idea:
 * a moved-in corner depends on its two neighbours only, so an inset polygon is
 * the borrowed points plus three thicknesses and needs no memory. */
#include "engineering/section_profile.h"

#include <math.h>

static const double pi = 3.14159265358979323846;
static const char *const filled = "the lining leaves no opening";

typedef struct edge {
    double normal_x, normal_y; /* unit, inwards */
    double thickness_m;
} edge;

static const double *point(const hn_section *s, size_t i)
{
    return s->xy + 2 * (i % s->points);
}

/* Edge from point i to i + 1. A floor has its inward normal upwards. */
static edge edge_at(const hn_section *s, size_t i)
{
    const double *p = point(s, i), *q = point(s, i + 1);
    const double dx = q[0] - p[0], dy = q[1] - p[1];
    const double scale = s->turn / hypot(dx, dy);
    edge e = {.normal_x = -dy * scale, .normal_y = dx * scale};

    if (e.normal_y > fabs(e.normal_x))
        e.thickness_m = s->inset_m[2];
    else if (-e.normal_y > fabs(e.normal_x))
        e.thickness_m = s->inset_m[0];
    else
        e.thickness_m = s->inset_m[1];
    return e;
}

static void moved_point(const hn_section *s, size_t i, double *x_m, double *y_m)
{
    const double *p = point(s, i);
    const edge in = edge_at(s, i + s->points - 1), out = edge_at(s, i);
    const double det = in.normal_x * out.normal_y - in.normal_y * out.normal_x;
    const double a = in.thickness_m, b = out.thickness_m;

    if (fabs(det) < 1e-12) { /* no corner: both edges on one line */
        *x_m = p[0] + in.normal_x * a;
        *y_m = p[1] + in.normal_y * a;
        return;
    }
    *x_m = p[0] + (a * out.normal_y - b * in.normal_y) / det;
    *y_m = p[1] + (b * in.normal_x - a * out.normal_x) / det;
}

static double signed_area(const double *xy, size_t points)
{
    double twice = 0.0;

    for (size_t i = 0; i < points; i++) {
        const double *p = xy + 2 * i, *q = xy + 2 * ((i + 1) % points);
        twice += (p[0] - xy[0]) * (q[1] - xy[1]) - (q[0] - xy[0]) * (p[1] - xy[1]);
    }
    return twice / 2.0;
}

/* An edge that the lining has used up points the other way afterwards. */
static int edge_survives(const hn_section *s, size_t i, double dx, double dy)
{
    const double *p = point(s, i), *q = point(s, i + 1);

    return (q[0] - p[0]) * dx + (q[1] - p[1]) * dy > 0.0;
}

static const char *measure(hn_section *s)
{
    double low_x = INFINITY, high_x = -INFINITY, low_y = INFINITY, high_y = -INFINITY;
    double x, y, next_x, next_y;

    moved_point(s, 0, &x, &y);
    for (size_t i = 0; i < s->points; i++) {
        moved_point(s, i + 1, &next_x, &next_y);
        if (!edge_survives(s, i, next_x - x, next_y - y))
            return filled;
        low_x = fmin(low_x, x);
        high_x = fmax(high_x, x);
        low_y = fmin(low_y, y);
        high_y = fmax(high_y, y);
        x = next_x;
        y = next_y;
    }
    s->width_m = high_x - low_x;
    s->height_m = high_y - low_y;
    s->low_m = low_y;
    if (!hn_section_size_sound(s->height_m))
        return "the outline is too small";
    /* What is left of a narrow outline may have turned inside out. */
    const double area_m2 = hn_polygon_below(s, s->height_m).area_m2;
    if (area_m2 > s->width_m * s->height_m * (1.0 + 1e-9))
        return "the outline crosses itself";
    return area_m2 > 0.0 && hn_section_size_sound(sqrt(area_m2)) ? NULL : filled;
}

/* Turn at point i, -pi to pi. */
static double turn_at(const hn_section *s, size_t i)
{
    const double *p = point(s, i + s->points - 1), *q = point(s, i), *r = point(s, i + 1);
    const double ax = q[0] - p[0], ay = q[1] - p[1], bx = r[0] - q[0], by = r[1] - q[1];

    return atan2(ax * by - ay * bx, ax * bx + ay * by);
}

/* An outline that does not cross itself turns once around, and only then its
 * area fits into the box around it. The reverse does not hold: some crossings
 * with loops both ways get through. Source: Hopf's theorem on turning tangents
 * (Compositio Math. 2, 1935; from memory). */
static int crosses_itself(const hn_section *s)
{
    double turns = 0.0;

    for (size_t i = 0; i < s->points; i++)
        turns += turn_at(s, i);
    return fabs(fabs(turns) - 2.0 * pi) > 1.0;
}

hn_section hn_polygon_check(hn_section s)
{
    if (s.points < 3)
        return hn_section_broken(s, "the outline has fewer than 3 points");
    for (size_t i = 0; i < s.points; i++) {
        const double *p = point(&s, i), *q = point(&s, i + 1);
        if (!(fabs(p[0]) <= HN_SECTION_MOST_M && fabs(p[1]) <= HN_SECTION_MOST_M) ||
            (p[0] == q[0] && p[1] == q[1]))
            return hn_section_broken(s, "a point of the outline is missing, repeated or far off");
    }
    const double area_m2 = signed_area(s.xy, s.points);
    s.turn = area_m2 > 0.0 ? 1.0 : -1.0;
    if (!hn_section_size_sound(sqrt(fabs(area_m2))))
        s.problem = "the outline encloses no area";
    else if (crosses_itself(&s))
        s.problem = "the outline crosses itself";
    else
        s.problem = measure(&s);
    return s.problem ? hn_section_broken(s, s.problem) : s;
}

/* One edge of the outline, levels counted from the invert: adds its part below
 * the depth. Area by Green's theorem: - sum of integral min(y, depth) dx. */
static void add_edge(double x0, double y0, double x1, double y1, double depth_m,
                     hn_profile_sum *sum)
{
    const double dx = x1 - x0, dy = y1 - y0;
    const double low = fmin(y0, y1), high = fmax(y0, y1);
    const double wet = high <= depth_m  ? 1.0
                       : low >= depth_m ? 0.0
                                        : (depth_m - low) / (high - low);

    sum->area_m2 -= dx * (wet * 0.5 * (low + fmin(high, depth_m)) + (1.0 - wet) * depth_m);
    sum->length_m += wet * hypot(dx, dy);
    if (low < depth_m && depth_m <= high) {
        const double up = dy > 0.0 ? 1.0 : -1.0;
        sum->width_m += up * (x0 + (depth_m - y0) * dx / dy);
        sum->width_rate += up * dx / dy;
        sum->length_rate += hypot(dx, dy) / fabs(dy);
    }
}

hn_profile_sum hn_polygon_below(const hn_section *s, double depth_m)
{
    hn_profile_sum sum = {.area_m2 = 0.0};
    double x, y, next_x, next_y;

    moved_point(s, 0, &x, &y);
    for (size_t i = 0; i < s->points; i++) {
        moved_point(s, i + 1, &next_x, &next_y);
        add_edge(x, y - s->low_m, next_x, next_y - s->low_m, depth_m, &sum);
        x = next_x;
        y = next_y;
    }
    sum.area_m2 *= s->turn;
    sum.width_m *= s->turn;
    sum.width_rate *= s->turn;
    return sum;
}
