/* unit/property_section.h - random sections of every shape, kept as a recipe,
 * so that the same one can be built again at another scale. */
#ifndef HN_UNIT_PROPERTY_SECTION_H
#define HN_UNIT_PROPERTY_SECTION_H

#include "property.h"

#include "engineering/section_depth.h"

typedef enum recipe_kind {
    RECIPE_CIRCLE,
    RECIPE_EGG,
    RECIPE_HORSESHOE,
    RECIPE_RECTANGLE,
    RECIPE_ELLIPSE,
    RECIPE_ARCH,
    RECIPE_CHANNEL,
    RECIPE_CONVEX, /* polygon with corners on an ellipse */
    RECIPE_STAR,   /* polygon with benches and bays */
    RECIPE_KINDS
} recipe_kind;

enum { RECIPE_POINTS_MAX = 12 };

typedef struct recipe {
    recipe_kind kind;
    double width, height, wall, side, invert; /* mm; egg: invert radius */
    size_t points;
    double xy[2 * RECIPE_POINTS_MAX]; /* m */
} recipe;

static inline void recipe_polygon(recipe *r, draws *d)
{
    const double turn = 8 * atan(1.0);
    const int star = r->kind == RECIPE_STAR;
    const double shift = draw(d, 0, 1);

    r->points = 3 + draw_below(d, RECIPE_POINTS_MAX - 2);
    for (size_t i = 0; i < r->points; i++) {
        const double angle = turn * ((double)i + shift + draw(d, 0, 0.5)) / (double)r->points;
        const double reach = star ? draw(d, 0.6, 1) : 1;

        r->xy[2 * i] = reach * r->width / 2000 * cos(angle);
        r->xy[2 * i + 1] = reach * r->height / 2000 * sin(angle);
    }
}

static inline recipe random_recipe(draws *d, recipe_kind kind)
{
    recipe r = {.kind = kind, .width = draw_log(d, 150, 3000)};

    r.height = r.width * (kind == RECIPE_CIRCLE ? 1 : draw(d, 0.7, 1.6));
    if (kind == RECIPE_EGG) {
        r.height = r.width * draw(d, 1.001, 1.8);
        r.invert = r.width * draw(d, 0.02, 0.45);
    }
    if (kind == RECIPE_HORSESHOE) {
        r.side = draw_below(d, 4) ? r.width * draw(d, 0.8, 3) : INFINITY;
        r.invert = draw_below(d, 4) ? r.width * draw(d, 0.8, 3) : INFINITY;
        r.wall = draw_below(d, 2) ? r.width * draw(d, 0, 0.3) : 0;
        r.height = r.wall + r.width * draw(d, 0.8, 1.1);
    }
    if (kind == RECIPE_ARCH)
        r.side = r.height * draw(d, 0.2, 1); /* rise */
    if (kind == RECIPE_CHANNEL)
        r.side = r.width * draw(d, 0.1, 1); /* floor */
    if (kind == RECIPE_CONVEX || kind == RECIPE_STAR)
        recipe_polygon(&r, d);
    return r;
}

/* xy: room for the points of a polygon, borrowed by the section. */
static inline hn_section build_recipe(const recipe *r, double s, double xy[2 * RECIPE_POINTS_MAX])
{
    const double w = s * r->width, h = s * r->height;

    switch (r->kind) {
    case RECIPE_CIRCLE:
        return hn_section_circle(w);
    case RECIPE_EGG:
        return hn_section_egg(w / 2, s * r->invert, h);
    case RECIPE_HORSESHOE:
        return hn_section_horseshoe(w, h, s * r->wall, s * r->side, s * r->invert);
    case RECIPE_RECTANGLE:
        return hn_section_from_size(HN_SECTION_RECTANGLE, w, h);
    case RECIPE_ELLIPSE:
        return hn_section_from_size(HN_SECTION_ELLIPSE, w, h);
    case RECIPE_ARCH:
        return hn_section_arch(w, h, s * r->side);
    case RECIPE_CHANNEL:
        return hn_section_channel(w, s * r->side, h);
    case RECIPE_CONVEX:
    case RECIPE_STAR:
    case RECIPE_KINDS:
        break;
    }
    for (size_t i = 0; i < 2 * r->points; i++)
        xy[i] = s * r->xy[i];
    return hn_section_polygon(xy, r->points);
}

enum { CASES = 250 };

/* CASES sections `s` of each kind with their recipe `r`, drawn from `d`. */
#define FOR_SECTIONS(seed)                                                                      \
    draws d = {seed};                                                                           \
    double xy[2 * RECIPE_POINTS_MAX];                                                           \
    for (int kind = 0; kind < RECIPE_KINDS; kind++)                                             \
        for (int i = 0; i < CASES; i++) {                                                       \
            const recipe r = random_recipe(&d, (recipe_kind)kind);                              \
            const hn_section s = build_recipe(&r, 1, xy);                                       \
            assert_law(!s.problem, "kind %d, case %d, %g x %g: %s", kind, i, r.width, r.height, \
                       s.problem);
#define END_SECTIONS }

#endif
