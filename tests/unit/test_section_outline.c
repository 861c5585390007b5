/* The drawn outline against the exact measures of the section, and the figure of
 * every shape. */
#include "test_util.h"

#include "engineering/section_outline.h"
#include "report/section_figure.h"

#include <stdio.h>
#include <string.h>

static const double square[] = {0, 1, 2, 1, 2, 3, 0, 3}; /* m; its invert lies at 1 m */

static hn_section shape_of(int i)
{
    switch (i) {
    case 0:
        return hn_section_circle(900);
    case 1:
        return hn_section_egg_standard(600);
    case 2:
        return hn_section_horseshoe(2000, 2000, 0, 2000, 2000);
    case 3:
        return hn_section_horseshoe(2000, 2300, 300, (double)INFINITY, (double)INFINITY);
    case 4:
        return hn_section_from_size(HN_SECTION_RECTANGLE, 1500, 900);
    case 5:
        return hn_section_from_size(HN_SECTION_ELLIPSE, 800, 1200);
    case 6:
        return hn_section_arch(1800, 1600, 900);
    case 7:
        return hn_section_channel(2400, 1200, 900);
    default:
        return hn_section_polygon(square, 4);
    }
}
enum { SHAPES = 9 };

/* Shoelace rule. */
static double area_of(const double *xy, size_t n)
{
    double sum = 0.0;

    for (size_t i = 0; i < n; i++) {
        size_t k = (i + 1) % n;

        sum += xy[2 * i] * xy[2 * k + 1] - xy[2 * k] * xy[2 * i + 1];
    }
    return fabs(sum) / 2.0;
}

static double length_of(const double *xy, size_t n, int is_closed)
{
    double sum = 0.0;

    for (size_t i = 0; i + !is_closed < n; i++) {
        size_t k = (i + 1) % n;

        sum += hypot(xy[2 * k] - xy[2 * i], xy[2 * k + 1] - xy[2 * i + 1]);
    }
    return sum;
}

static void the_outline_has_the_area_and_perimeter_of_the_section(void **state)
{
    double xy[2 * HN_OUTLINE_POINTS];

    (void)state;
    for (int i = 0; i < SHAPES; i++) {
        hn_section s = shape_of(i);
        hn_section_measures full = hn_section_full(&s);
        size_t n = hn_section_outline(&s, xy, HN_OUTLINE_POINTS);

        assert_null(s.problem);
        assert_true(n >= 4);
        assert_close(area_of(xy, n), full.area_m2, 5e-4);
        assert_close(length_of(xy, n, s.shape != HN_SECTION_CHANNEL), full.perimeter_m, 5e-4);
        for (size_t k = 0; k < n; k++)
            assert_true(xy[2 * k + 1] >= -1e-9 && xy[2 * k + 1] <= full.height_m + 1e-9);
    }
}

static void a_lining_keeps_the_outline_true(void **state)
{
    double xy[2 * HN_OUTLINE_POINTS];

    (void)state;
    for (int i = 0; i < SHAPES - 1; i++) {
        hn_section host = shape_of(i), s = hn_section_inset(&host, 40);
        size_t n = hn_section_outline(&s, xy, HN_OUTLINE_POINTS);

        assert_close(area_of(xy, n), hn_section_full(&s).area_m2, 1e-3);
    }
}

static void what_has_no_geometry_has_no_outline(void **state)
{
    double xy[2 * HN_OUTLINE_POINTS];
    hn_section broken = hn_section_from_size(HN_SECTION_CIRCLE, NAN, NAN);
    hn_section known = hn_section_known(1.0, 0.25), circle = hn_section_circle(900);

    (void)state;
    assert_int_equal(hn_section_outline(&broken, xy, HN_OUTLINE_POINTS), 0);
    assert_int_equal(hn_section_outline(&known, xy, HN_OUTLINE_POINTS), 0);
    assert_int_equal(hn_section_outline(&circle, xy, 10), 0);
}

static hn_option lined(hn_section host, double annulus_mm, double wall_mm)
{
    hn_option o = {.method = 3, .annulus_mm = annulus_mm, .wall_mm = wall_mm, .before = host};

    o.full_before = hn_section_full(&o.before);
    o.after = hn_section_inset(&o.before, annulus_mm + wall_mm);
    o.full_after = hn_section_full(&o.after);
    return o;
}

static size_t count_of(const char *text, const char *word)
{
    size_t n = 0;

    for (text = strstr(text, word); text; text = strstr(text + 1, word))
        n++;
    return n;
}

static void every_shape_is_drawn_with_host_annulus_and_wall(void **state)
{
    (void)state;
    for (int i = 0; i < SHAPES - 1; i++) {
        hn_option o = lined(shape_of(i), 25, 50);
        hn_sheet sheet;
        const char *svg;

        hn_sheet_init(&sheet, "A", "EUR", 0);
        svg = hn_section_figure(&o, &sheet);
        assert_non_null(svg);
        assert_int_equal(count_of(svg, "<path"), 4); /* host twice, annulus, lining */
        assert_int_equal(count_of(svg, "<title id=\"t3\">"), 1);
        assert_int_equal(count_of(svg, "<desc id=\"d3\">"), 1);
        assert_int_equal(count_of(svg, "url(#wall3)"), 2);
        assert_int_equal(count_of(svg, "url(#annulus3)"), 2);
        assert_non_null(strstr(svg, "wall of the lining 50.0 mm"));
        assert_null(strstr(svg, "nan"));
        assert_int_equal(hn_sheet_check(&sheet, NULL), HN_OK);
        hn_sheet_clear(&sheet);
    }
}

static void an_open_channel_is_not_closed(void **state)
{
    hn_option o = lined(shape_of(7), 0, 50);
    hn_sheet sheet;

    (void)state;
    hn_sheet_init(&sheet, "A", "EUR", 0);
    assert_null(strstr(hn_section_figure(&o, &sheet), "Z\""));
    hn_sheet_clear(&sheet);
}

static void the_figure_of_a_circle_is_to_scale(void **state)
{
    hn_option o = lined(hn_section_circle(1000), 0, 100);
    hn_sheet sheet;
    const char *svg, *host, *lining;
    double xh, yh, xl, yl;

    (void)state;
    hn_sheet_init(&sheet, "A", "EUR", 0);
    svg = hn_section_figure(&o, &sheet);
    /* the outlines begin at the crown: 100 of 1000 mm apart, 230 px a metre */
    host = strstr(svg, "<path d=\"M");
    host = strstr(host + 1, "<path d=\"M");
    lining = strstr(host + 1, "<path d=\"M");
    assert_int_equal(sscanf(host, "<path d=\"M%lf %lf", &xh, &yh), 2);
    assert_int_equal(sscanf(lining, "<path d=\"M%lf %lf", &xl, &yl), 2);
    assert_close(yl - yh, 23.0, 1e-3);
    assert_close(xl, xh, 1e-6);
    assert_non_null(strstr(svg, "W 800 mm"));
    assert_non_null(strstr(svg, "H 1 000 mm"));
    hn_sheet_clear(&sheet);
}

static void without_outline_there_is_no_figure(void **state)
{
    hn_option o = lined(hn_section_from_size(HN_SECTION_CIRCLE, NAN, NAN), 0, 10);
    hn_sheet sheet;

    (void)state;
    hn_sheet_init(&sheet, "A", "EUR", 0);
    assert_null(hn_section_figure(&o, &sheet));
    o = lined(hn_section_known(1.0, 0.25), 0, 10);
    assert_null(hn_section_figure(&o, &sheet));
    hn_sheet_clear(&sheet);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_outline_has_the_area_and_perimeter_of_the_section),
        cmocka_unit_test(a_lining_keeps_the_outline_true),
        cmocka_unit_test(what_has_no_geometry_has_no_outline),
        cmocka_unit_test(every_shape_is_drawn_with_host_annulus_and_wall),
        cmocka_unit_test(an_open_channel_is_not_closed),
        cmocka_unit_test(the_figure_of_a_circle_is_to_scale),
        cmocka_unit_test(without_outline_there_is_no_figure),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
