#include "engineering/section_outline.h"

#include "engineering/section_profile.h"

#include <math.h>
#include <string.h>

enum { STEPS = 64, HALF_MAX = HN_PROFILE_PIECES_MAX * (STEPS + 1) };

static size_t add_piece(const hn_profile_piece *p, double *xy)
{
    double from, to;

    if (!(p->radius_y_m > 0.0)) {
        xy[0] = p->x0_m;
        xy[1] = p->y0_m;
        xy[2] = p->x1_m;
        xy[3] = p->y1_m;
        return 2;
    }
    from = asin(fmax(-1.0, fmin(1.0, (p->y0_m - p->centre_y_m) / p->radius_y_m)));
    to = asin(fmax(-1.0, fmin(1.0, (p->y1_m - p->centre_y_m) / p->radius_y_m)));
    for (int i = 0; i <= STEPS; i++) {
        double angle = from + (to - from) * i / STEPS;

        xy[2 * i] = p->centre_x_m + p->radius_x_m * cos(angle);
        xy[2 * i + 1] = p->centre_y_m + p->radius_y_m * sin(angle);
    }
    return STEPS + 1;
}

static size_t polygon_points(const hn_section *s, double *xy, size_t room)
{
    int is_inset = s->inset_m[0] != 0.0 || s->inset_m[1] != 0.0 || s->inset_m[2] != 0.0;

    if (!s->xy || is_inset || s->points > room)
        return 0;
    for (size_t i = 0; i < s->points; i++) {
        xy[2 * i] = s->xy[2 * i];
        xy[2 * i + 1] = s->xy[2 * i + 1] - s->low_m;
    }
    return s->points;
}

size_t hn_section_outline(const hn_section *section, double *xy_m, size_t room)
{
    double half[2 * HALF_MAX];
    hn_profile profile;
    size_t n = 0;

    if (section->problem)
        return 0;
    if (section->shape == HN_SECTION_OTHER)
        return polygon_points(section, xy_m, room);
    profile = hn_profile_of(section);
    for (int i = 0; i < profile.pieces; i++)
        n += add_piece(&profile.piece[i], half + 2 * n);
    if (2 * n > room)
        return 0;
    for (size_t i = 0; i < n; i++) {
        xy_m[2 * i] = -half[2 * (n - 1 - i)];
        xy_m[2 * i + 1] = half[2 * (n - 1 - i) + 1];
        xy_m[2 * (n + i)] = half[2 * i];
        xy_m[2 * (n + i) + 1] = half[2 * i + 1];
    }
    return 2 * n;
}
