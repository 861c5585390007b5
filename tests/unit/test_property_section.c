/* Laws that a section of any shape and size keeps: scale, depth, catalogue
 * values, and a fine polygon of its own outline that measures the same. */
#include "property_section.h"

enum { FINE = 600 };

static int close_to(double a, double b, double absolute)
{
    return fabs(a - b) <= absolute;
}

static void a_section_scales(void **state)
{
    (void)state;
    FOR_SECTIONS(1)
    double other_xy[2 * RECIPE_POINTS_MAX];
    const double k = i % 2 ? 0.3048 : draw_log(&d, 0.3, 3), y = draw(&d, 0, 1.1) * s.height_m;
    const hn_section t = build_recipe(&r, k, other_xy);
    const hn_section_measures one = hn_section_full(&s), other = hn_section_full(&t);
    const hn_section_wet wet = hn_section_at_depth(&s, y), more = hn_section_at_depth(&t, k * y);

    assert_close(other.area_m2, k * k * one.area_m2, 1e-12);
    assert_close(other.perimeter_m, k * one.perimeter_m, 1e-12);
    assert_close(other.hydraulic_radius_m, k * one.hydraulic_radius_m, 1e-12);
    assert_close(other.width_m, k * one.width_m, 1e-14);
    assert_close(other.height_m, k * one.height_m, 1e-14);
    /* a thin film and the very crown are differences: to the whole */
    assert_true(close_to(more.area_m2, k * k * wet.area_m2, 1e-12 * other.area_m2));
    assert_true(close_to(more.perimeter_m, k * wet.perimeter_m, 1e-7 * other.perimeter_m));
    assert_true(close_to(more.top_width_m, k * wet.top_width_m, 1e-7 * other.width_m));
    END_SECTIONS
}

static void a_full_section_is_the_deepest_one(void **state)
{
    (void)state;
    FOR_SECTIONS(2)
    const hn_section_measures full = hn_section_full(&s);
    const hn_section_wet crown = hn_section_at_depth(&s, s.height_m);
    const hn_section_wet below = hn_section_at_depth(&s, s.height_m * (1 - 1e-11));
    const hn_section_wet floor = hn_section_at_depth(&s, 0);

    assert_true(crown.area_m2 == full.area_m2 && crown.perimeter_m == full.perimeter_m);
    assert_close(below.area_m2, full.area_m2, 1e-9);
    assert_true(below.perimeter_m <= full.perimeter_m * (1 + 1e-12));
    assert_true(full.area_m2 > 0 && full.area_m2 <= s.width_m * s.height_m * (1 + 1e-12));
    /* no closed curve around an area is shorter than a circle */
    assert_true(full.perimeter_m * full.perimeter_m >= 12.56 * full.area_m2 ||
                kind == RECIPE_CHANNEL);
    assert_true(floor.area_m2 == 0 && floor.hydraulic_radius_m == 0);
    END_SECTIONS
}

/* Sizes that need not fit each other: refused, or inside the box of W and H. */
static void an_odd_section_is_refused_or_fits_its_box(void **state)
{
    draws d = {13};
    double xy[2 * RECIPE_POINTS_MAX];
    int sound = 0;

    (void)state;
    for (int i = 0; i < 40 * CASES; i++) {
        recipe r =
            random_recipe(&d, i % 2 ? RECIPE_HORSESHOE : (recipe_kind)(i / 2 % RECIPE_KINDS));

        r.height *= draw_log(&d, 0.3, 4);
        r.wall *= draw_log(&d, 0.1, 10);
        r.side *= draw_log(&d, 0.3, 3);
        r.invert *= draw_log(&d, 0.3, 3);
        const hn_section s = build_recipe(&r, 1, xy);
        const hn_section_wet wet = hn_section_at_depth(&s, s.height_m * draw(&d, 0, 1));

        if (s.problem)
            continue;
        sound++;
        assert_law(hn_section_full(&s).area_m2 <= s.width_m * s.height_m * (1 + 1e-12),
                   "kind %d, case %d: %g x %g holds %g", (int)r.kind, i, s.width_m, s.height_m,
                   hn_section_full(&s).area_m2);
        assert_law(wet.top_width_m <= s.width_m * (1 + 1e-12), "kind %d, case %d: %g wide, not %g",
                   (int)r.kind, i, wet.top_width_m, s.width_m);
    }
    assert_true(sound > 10 * CASES);
}

static void area_rises_by_the_surface_width(void **state)
{
    (void)state;
    FOR_SECTIONS(3)
    const double h = 1e-6 * s.height_m, y = s.height_m * draw(&d, 0.02, 0.98);
    const hn_section_wet low = hn_section_at_depth(&s, y - h), at = hn_section_at_depth(&s, y);
    const hn_section_wet high = hn_section_at_depth(&s, y + h);
    const double bottom = fmin(low.top_width_m, high.top_width_m);
    const double top = fmax(low.top_width_m, high.top_width_m), slack = 1e-9 * s.width_m;

    assert_true(low.area_m2 < at.area_m2 && at.area_m2 < high.area_m2);
    assert_true(low.perimeter_m < at.perimeter_m && at.perimeter_m < high.perimeter_m);
    /* the mean width between two levels is one of the widths between them */
    if (kind != RECIPE_STAR) /* the width of a bay jumps */
        assert_true((high.area_m2 - low.area_m2) / (2 * h) >= bottom - 1e3 * slack &&
                    (high.area_m2 - low.area_m2) / (2 * h) <=
                        fmax(top, at.top_width_m) + 1e3 * slack);
    /* no wall is shorter than its rise, twice */
    assert_true(high.perimeter_m - low.perimeter_m >= 4 * h * (1 - 1e-6));
    END_SECTIONS
}

static void a_depth_comes_back_from_its_area(void **state)
{
    (void)state;
    FOR_SECTIONS(4)
    const double y = s.height_m * draw(&d, 0.001, 0.999);
    const double area = hn_section_at_depth(&s, y).area_m2;
    const double back = hn_section_depth_from_area(&s, area);

    assert_true(
        close_to(hn_section_at_depth(&s, back).area_m2, area, 1e-14 * hn_section_full(&s).area_m2));
    /* where the surface is narrow the area hardly knows the depth */
    if (hn_section_at_depth(&s, y).top_width_m > 0.01 * s.width_m)
        assert_true(close_to(back, y, 1e-11 * s.height_m));
    END_SECTIONS
}

/* Half width at a level, worked out anew: the shapes are discs and strips cut
 * with each other, the egg a side disc with an invert disc that touches it. */
static double half_width(const recipe *r, double y)
{
    const double a = r->width / 2, h = r->height, spring = h - a;

    if (r->kind == RECIPE_RECTANGLE)
        return a;
    if (r->kind == RECIPE_CHANNEL)
        return (r->side + (r->width - r->side) * y / h) / 2;
    if (r->kind == RECIPE_ELLIPSE)
        return a * sqrt(fmax(0, 1 - pow(2 * y / h - 1, 2)));
    if (r->kind == RECIPE_ARCH)
        return y < h - r->side ? a : a * sqrt(fmax(0, 1 - pow((y - h + r->side) / r->side, 2)));
    if (r->kind == RECIPE_CIRCLE)
        return sqrt(fmax(0, y * (r->width - y)));
    if (y >= spring)
        return sqrt(fmax(0, a * a - (y - spring) * (y - spring)));
    if (r->kind == RECIPE_HORSESHOE) {
        const double from = spring - r->wall, below = fmin(0, y - from);
        const double side =
            isinf(r->side) ? a : a - r->side + sqrt(fmax(0, r->side * r->side - below * below));
        const double floor = isinf(r->invert) ? side : sqrt(y * (2 * r->invert - y));

        return fmin(side, floor);
    }
    const double b = r->invert, rise = spring - b;
    const double rho = (rise * rise + a * a - b * b) / (2 * (a - b));
    /* the discs touch where their centres' line leaves them */
    const double touch = spring + rho * (b - spring) / hypot(rho - a, spring - b);
    return y < touch ? sqrt(fmax(0, y * (2 * b - y)))
                     : a - rho + sqrt(rho * rho - (y - spring) * (y - spring));
}

/* Levels closer together at both ends, where the outline lies flat. */
static size_t fine_outline(const recipe *r, double *xy)
{
    size_t n = 0;

    for (int side = 0; side < 2; side++)
        for (int i = 0; i <= FINE; i++) {
            const double part = (1 - cos(4 * atan(1.0) * (side ? FINE - i : i) / FINE)) / 2;
            const double x = half_width(r, part * r->height) * (side ? -1 : 1) / 1000;
            const double y = part * r->height / 1000;

            if (n && hypot(x - xy[2 * n - 2], y - xy[2 * n - 1]) < 1e-12)
                continue;
            xy[2 * n] = x;
            xy[2 * n++ + 1] = y;
        }
    return n > 1 && hypot(xy[0] - xy[2 * n - 2], xy[1] - xy[2 * n - 1]) < 1e-12 ? n - 1 : n;
}

/* Area 3e-5: chords of arcs cut in 600 by the cosine. Lengths 3e-4: the corner of a
 * horseshoe or an arch falls between two levels and is cut off. */
static void a_fine_polygon_of_the_outline_measures_the_same(void **state)
{
    static double outline[4 * (FINE + 1)];
    draws d = {5};
    double xy[2 * RECIPE_POINTS_MAX];

    (void)state;
    for (int kind = 0; kind < RECIPE_CONVEX; kind++)
        for (int i = 0; i < 40; i++) {
            const recipe r = random_recipe(&d, (recipe_kind)kind);
            const hn_section s = build_recipe(&r, 1, xy);
            const hn_section p = hn_section_polygon(outline, fine_outline(&r, outline));
            const hn_section_measures full = hn_section_full(&s), fine = hn_section_full(&p);
            const double y = s.height_m * draw(&d, 0, 1);
            const hn_section_wet wet = hn_section_at_depth(&s, y), cut = hn_section_at_depth(&p, y);
            const double lid = kind == RECIPE_CHANNEL ? s.width_m : 0;

            assert_law(!p.problem, "kind %d, case %d: %s", kind, i, p.problem);
            assert_close(fine.area_m2, full.area_m2, 3e-5);
            assert_close(fine.perimeter_m - lid, full.perimeter_m, 3e-4);
            assert_close(fine.width_m, full.width_m, 3e-5);
            assert_true(close_to(cut.area_m2, wet.area_m2, 3e-5 * full.area_m2));
            assert_true(close_to(cut.perimeter_m, wet.perimeter_m, 3e-4 * full.perimeter_m));
            assert_true(close_to(cut.top_width_m, wet.top_width_m, 1e-3 * full.width_m));
        }
}

/* Twice around, and the two halves of an outline in the wrong order. */
static void a_polygon_that_crosses_itself_is_refused(void **state)
{
    draws d = {16};
    double xy[4 * RECIPE_POINTS_MAX];

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const recipe r = random_recipe(&d, RECIPE_CONVEX);
        const double eight[] = {0, 0, 2, 2 + draw(&d, 0, 1), 2, 0, 0, 1.5 + draw(&d, 0, 1)};

        for (size_t k = 0; k < 4 * r.points; k++)
            xy[k] = r.xy[k % (2 * r.points)];
        assert_non_null(hn_section_polygon(xy, 2 * r.points).problem);
        assert_non_null(hn_section_polygon(eight, 4).problem);
        assert_null(hn_section_polygon(xy, r.points).problem);
    }
}

/* Moved, turned over, begun elsewhere or run the other way: the same outline. */
static void a_polygon_does_not_mind_where_it_starts(void **state)
{
    draws d = {11};
    double xy[2 * RECIPE_POINTS_MAX], other[2 * RECIPE_POINTS_MAX];

    (void)state;
    for (int i = 0; i < 4 * CASES; i++) {
        const recipe r = random_recipe(&d, i % 2 ? RECIPE_STAR : RECIPE_CONVEX);
        const hn_section s = build_recipe(&r, 1, xy);
        const size_t from = draw_below(&d, r.points);
        const int back = (int)draw_below(&d, 2), mirror = (int)draw_below(&d, 2);
        const double dx = draw(&d, -100, 100), dy = draw(&d, -100, 100);
        const double y = s.height_m * draw(&d, 0, 1), t = r.width * 0.005;

        for (size_t k = 0; k < r.points; k++) {
            const size_t at = (from + (back ? r.points - k : k)) % r.points;

            other[2 * k] = (mirror ? -1 : 1) * r.xy[2 * at] + dx;
            other[2 * k + 1] = r.xy[2 * at + 1] + dy;
        }
        const hn_section p = hn_section_polygon(other, r.points);
        const hn_section lined = hn_section_inset(&s, t), p_lined = hn_section_inset(&p, t);
        const hn_section_wet a = hn_section_at_depth(&s, y), b = hn_section_at_depth(&p, y);
        assert_close(hn_section_full(&p).area_m2, hn_section_full(&s).area_m2, 1e-10);
        assert_close(hn_section_full(&p).perimeter_m, hn_section_full(&s).perimeter_m, 1e-10);
        assert_true(close_to(b.area_m2, a.area_m2, 1e-10 * s.width_m * s.height_m));
        assert_int_equal(lined.problem != NULL, p_lined.problem != NULL);
        if (!lined.problem)
            assert_close(hn_section_full(&p_lined).area_m2, hn_section_full(&lined).area_m2, 1e-9);
    }
}

static void an_override_is_what_comes_out(void **state)
{
    (void)state;
    FOR_SECTIONS(12)
    const hn_section_measures plain = hn_section_full(&s);
    const double area = plain.area_m2 * draw(&d, 0.8, 1.2);
    const double radius = plain.hydraulic_radius_m * draw(&d, 0.8, 1.2);
    const hn_section o = hn_section_override(s, area, radius),
                     a = hn_section_override(s, area, NAN);
    const double y = s.height_m * draw(&d, 0, 0.99);

    assert_close(hn_section_full(&o).area_m2, area, 1e-14);
    assert_close(hn_section_full(&o).hydraulic_radius_m, radius, 1e-14);
    assert_close(hn_section_full(&a).perimeter_m, plain.perimeter_m, 1e-14);
    assert_true(close_to(hn_section_at_depth(&o, y).area_m2,
                         hn_section_at_depth(&s, y).area_m2 * area / plain.area_m2, 1e-13 * area));
    assert_close(hn_section_depth_from_area(&o, hn_section_at_depth(&o, y).area_m2),
                 hn_section_depth_from_area(&s, hn_section_at_depth(&s, y).area_m2), 1e-9);
    END_SECTIONS
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_section_scales),
        cmocka_unit_test(a_full_section_is_the_deepest_one),
        cmocka_unit_test(an_odd_section_is_refused_or_fits_its_box),
        cmocka_unit_test(area_rises_by_the_surface_width),
        cmocka_unit_test(a_depth_comes_back_from_its_area),
        cmocka_unit_test(a_fine_polygon_of_the_outline_measures_the_same),
        cmocka_unit_test(a_polygon_that_crosses_itself_is_refused),
        cmocka_unit_test(a_polygon_does_not_mind_where_it_starts),
        cmocka_unit_test(an_override_is_what_comes_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
