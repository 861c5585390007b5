/* Laws of the finished section inside a lining: what it takes, that two linings
 * are one of both, and the closed forms of circle and polygon. */
#include "property_section.h"

static void a_lining_of_no_thickness_is_none(void **state)
{
    (void)state;
    FOR_SECTIONS(6)
    const hn_section same = hn_section_inset(&s, 0);
    const hn_section_measures a = hn_section_full(&s), b = hn_section_full(&same);

    assert_true(a.area_m2 == b.area_m2 && a.perimeter_m == b.perimeter_m);
    assert_true(a.width_m == b.width_m && a.height_m == b.height_m);
    END_SECTIONS
}

static void two_linings_are_one_of_both(void **state)
{
    (void)state;
    FOR_SECTIONS(7)
    const double t1 = r.width * draw(&d, 0.001, 0.02), t2 = r.width * draw(&d, 0.001, 0.02);
    const hn_section half = hn_section_inset(&s, t1), two = hn_section_inset(&half, t2);
    const hn_section one = hn_section_inset(&s, t1 + t2);
    const hn_section_measures a = hn_section_full(&one), b = hn_section_full(&two);

    assert_int_equal(one.problem != NULL, two.problem != NULL);
    if (!one.problem) {
        assert_close(b.area_m2, a.area_m2, 1e-11);
        assert_close(b.perimeter_m, a.perimeter_m, 1e-11);
        assert_true(a.area_m2 < hn_section_full(&half).area_m2);
        assert_true(hn_section_full(&half).area_m2 < hn_section_full(&s).area_m2);
    }
    END_SECTIONS
}

/* A wall that moves in by dt sweeps P dt: exact arcs and lines only, so not the
 * ellipse and the arch; of a channel the bank stays open. */
static void a_lining_takes_the_wall_it_covers(void **state)
{
    (void)state;
    FOR_SECTIONS(8)
    const double t = r.width * draw(&d, 0.002, 0.015), e = 1e-5 * r.width;
    const hn_section inner = hn_section_inset(&s, t + e), outer = hn_section_inset(&s, t - e);
    const hn_section middle = hn_section_inset(&s, t);
    const hn_section_measures in = hn_section_full(&inner), out = hn_section_full(&outer);
    const int exact = kind != RECIPE_ELLIPSE && kind != RECIPE_ARCH && kind != RECIPE_CHANNEL;

    /* an egg whose invert is just being used up changes form inside the step */
    if (exact && !inner.problem && (kind != RECIPE_EGG || fabs(r.invert - t) > 2 * e))
        assert_close((out.area_m2 - in.area_m2) / (2e-3 * e), hn_section_full(&middle).perimeter_m,
                     1e-6);
    END_SECTIONS
}

static void a_lined_circle_and_polygon_have_closed_forms(void **state)
{
    const double pi = 4 * atan(1.0);

    (void)state;
    FOR_SECTIONS(9)
    const double t = r.width * draw(&d, 0.001, 0.01), m = t / 1000;
    const hn_section lined = hn_section_inset(&s, t);
    const hn_section_measures before = hn_section_full(&s), after = hn_section_full(&lined);
    double corners = kind == RECIPE_CIRCLE ? pi : 0;

    if (lined.problem || (kind != RECIPE_CIRCLE && kind != RECIPE_CONVEX))
        continue;
    /* every corner leaves a kite: t^2 tan of half the turn; a circle all of them */
    for (size_t k = 0; k < r.points; k++) {
        const double *p = r.xy + 2 * ((k + r.points - 1) % r.points), *q = r.xy + 2 * k;
        const double *n = r.xy + 2 * ((k + 1) % r.points);
        const double ax = q[0] - p[0], ay = q[1] - p[1], bx = n[0] - q[0], by = n[1] - q[1];

        corners += tan(atan2(ax * by - ay * bx, ax * bx + ay * by) / 2);
    }
    assert_close(after.area_m2, before.area_m2 - before.perimeter_m * m + corners * m * m, 1e-12);
    assert_close(after.perimeter_m, before.perimeter_m - 2 * corners * m, 1e-12);
    END_SECTIONS
}

/* An egg whose invert radius is just used up is still the same egg. */
static void an_egg_comes_to_a_point_without_a_jump(void **state)
{
    draws d = {14};
    double xy[2 * RECIPE_POINTS_MAX];

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const recipe r = random_recipe(&d, RECIPE_EGG);
        const hn_section s = build_recipe(&r, 1, xy);
        const hn_section blunt = hn_section_inset(&s, r.invert * (1 - 1e-9));
        const hn_section pointed = hn_section_inset(&s, r.invert * (1 + 1e-9));

        assert_int_equal(blunt.problem != NULL, pointed.problem != NULL);
        if (blunt.problem)
            continue;
        assert_close(pointed.height_m, blunt.height_m, 1e-6);
        assert_close(hn_section_full(&pointed).area_m2, hn_section_full(&blunt).area_m2, 1e-6);
        assert_close(hn_section_full(&pointed).perimeter_m, hn_section_full(&blunt).perimeter_m,
                     1e-6);
    }
}

/* The four corners of a box are the box, lined unevenly too. */
static void a_polygon_box_is_a_box(void **state)
{
    draws d = {15};

    (void)state;
    for (int i = 0; i < 4 * CASES; i++) {
        const double w = draw_log(&d, 300, 3000), h = w * draw(&d, 0.5, 2), m = 1e-3;
        const double xy[] = {0, 0, w * m, 0, w * m, h * m, 0, h * m};
        const double t[] = {draw(&d, 0, 0.1) * w, draw(&d, 0, 0.1) * w, draw(&d, 0, 0.1) * w};
        const hn_section box = hn_section_from_size(HN_SECTION_RECTANGLE, w, h);
        const hn_section p = hn_section_polygon(xy, 4);
        const hn_section a = hn_section_inset_unequal(&box, t[0], t[1], t[2]);
        const hn_section b = hn_section_inset_unequal(&p, t[0], t[1], t[2]);

        assert_close(hn_section_full(&b).area_m2, hn_section_full(&a).area_m2, 1e-12);
        assert_close(hn_section_full(&b).perimeter_m, hn_section_full(&a).perimeter_m, 1e-12);
        assert_close(a.width_m, (w - 2 * t[1]) * m, 1e-12);
        assert_close(b.height_m, (h - t[0] - t[2]) * m, 1e-12);
    }
}

static void an_uneven_lining_lies_between_the_even_ones(void **state)
{
    (void)state;
    FOR_SECTIONS(10)
    const double thin = r.width * draw(&d, 0.001, 0.008), thick = thin * draw(&d, 1.01, 1.8);
    const hn_section most = hn_section_inset(&s, thin), least = hn_section_inset(&s, thick);
    const double pick[] = {draw(&d, thin, thick), draw(&d, thin, thick), draw(&d, thin, thick)};
    const hn_section uneven = hn_section_inset_unequal(&s, pick[0], pick[1], pick[2]);

    if (!least.problem && !uneven.problem) {
        const double area = hn_section_full(&uneven).area_m2;

        /* 1e-3: a circle becomes an ellipse, an egg keeps its round crown (local rules) */
        assert_law(area <= hn_section_full(&most).area_m2 * (1 + 1e-3) &&
                       area >= hn_section_full(&least).area_m2 * (1 - 1e-3),
                   "kind %d, case %d: %g, not from %g to %g", kind, i, area,
                   hn_section_full(&least).area_m2, hn_section_full(&most).area_m2);
    }
    END_SECTIONS
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_lining_of_no_thickness_is_none),
        cmocka_unit_test(two_linings_are_one_of_both),
        cmocka_unit_test(a_lining_takes_the_wall_it_covers),
        cmocka_unit_test(a_lined_circle_and_polygon_have_closed_forms),
        cmocka_unit_test(an_egg_comes_to_a_point_without_a_jump),
        cmocka_unit_test(a_polygon_box_is_a_box),
        cmocka_unit_test(an_uneven_lining_lies_between_the_even_ones),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
