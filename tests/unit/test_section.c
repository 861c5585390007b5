/* unit/test_section.c - full measures, odd sizes and insets. */
#include "engineering/section.h"
#include "table/segment_table.h"
#include "test_util.h"

#include <string.h>

static const double pi = 3.14159265358979323846;

static const double unit_square[] = {0, 0, 1, 0, 1, 1, 0, 1};

/* One section of every kind of outline, `size` mm wide. */
enum { KINDS = 11 };

static hn_section kind(int i, double size)
{
    static double hexagon[12];
    static const double shape[] = {2, 0, 4, 1, 4, 3, 3, 5, 1, 5, 0, 2};

    switch (i) {
    case 0:
        return hn_section_circle(size);
    case 1:
        return hn_section_egg_standard(size);
    case 2:
        return hn_section_egg_new(size);
    case 3:
        return hn_section_from_size(HN_SECTION_HORSESHOE, size, size);
    case 4:
        return hn_section_from_size(HN_SECTION_HORSESHOE, size, 0.8 * size);
    case 5:
        return hn_section_from_size(HN_SECTION_RECTANGLE, size, 0.7 * size);
    case 6:
        return hn_section_from_size(HN_SECTION_ELLIPSE, size, 1.5 * size);
    case 7:
        return hn_section_from_size(HN_SECTION_ARCH, size, 0.6 * size);
    case 8:
        return hn_section_channel(size, 0.5 * size, 0.6 * size);
    case 9:
        return hn_section_horseshoe(size, 1.2 * size, 0.5 * size, INFINITY, INFINITY);
    default:
        for (int k = 0; k < 12; k++)
            hexagon[k] = shape[k] * size / 4000.0;
        return hn_section_polygon(hexagon, 6);
    }
}

static void assert_same(hn_section_measures a, hn_section_measures b, double relative)
{
    assert_close(a.area_m2, b.area_m2, relative);
    assert_close(a.perimeter_m, b.perimeter_m, relative);
    assert_close(a.hydraulic_radius_m, b.hydraulic_radius_m, relative);
    assert_close(a.width_m, b.width_m, relative);
    assert_close(a.height_m, b.height_m, relative);
}

static void assert_nothing(const hn_section *section)
{
    const hn_section_measures m = hn_section_full(section);

    assert_non_null(section->problem);
    assert_true(isnan(m.area_m2) && isnan(m.perimeter_m) && isnan(m.hydraulic_radius_m));
    assert_true(isnan(m.width_m) && isnan(m.height_m));
}

static void shapes_have_the_codes_of_the_segment_table(void **state)
{
    (void)state;
    assert_int_equal(HN_SECTION_CIRCLE, HN_SHAPE_CIRCLE);
    assert_int_equal(HN_SECTION_EGG, HN_SHAPE_EGG);
    assert_int_equal(HN_SECTION_HORSESHOE, HN_SHAPE_HORSESHOE);
    assert_int_equal(HN_SECTION_RECTANGLE, HN_SHAPE_RECTANGLE);
    assert_int_equal(HN_SECTION_ELLIPSE, HN_SHAPE_ELLIPSE);
    assert_int_equal(HN_SECTION_ARCH, HN_SHAPE_ARCH);
    assert_int_equal(HN_SECTION_CHANNEL, HN_SHAPE_CHANNEL);
    assert_int_equal(HN_SECTION_OTHER, HN_SHAPE_OTHER);
    assert_int_equal(HN_SECTION_SHAPE_COUNT, HN_SHAPE_COUNT);
}

static void area_grows_with_the_square_and_perimeter_with_the_size(void **state)
{
    (void)state;
    for (int i = 0; i < KINDS; i++) {
        const hn_section one = kind(i, 400.0);
        const hn_section_measures small = hn_section_full(&one);
        const hn_section three = kind(i, 1200.0);
        const hn_section_measures large = hn_section_full(&three);
        assert_close(large.area_m2, 9.0 * small.area_m2, 1e-12);
        assert_close(large.perimeter_m, 3.0 * small.perimeter_m, 1e-12);
        assert_close(large.hydraulic_radius_m, 3.0 * small.hydraulic_radius_m, 1e-12);
    }
}

static void missing_or_impossible_sizes_give_a_problem(void **state)
{
    static const double bad[] = {NAN, 0.0, -300.0, INFINITY};

    (void)state;
    for (int shape = 0; shape < HN_SECTION_SHAPE_COUNT; shape++)
        for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
            const hn_section wide = hn_section_from_size((hn_section_shape)shape, bad[i], bad[i]);
            assert_nothing(&wide);
            if (shape == HN_SECTION_CIRCLE)
                continue;
            const hn_section high = hn_section_from_size((hn_section_shape)shape, 800.0, bad[i]);
            assert_nothing(&high);
        }
}

static void one_size_is_enough_for_a_circle(void **state)
{
    const hn_section by_width = hn_section_from_size(HN_SECTION_CIRCLE, 300.0, NAN);
    const hn_section by_height = hn_section_from_size(HN_SECTION_CIRCLE, NAN, 300.0);

    (void)state;
    assert_close(hn_section_full(&by_width).area_m2, pi * 0.09 / 4.0, 1e-14);
    assert_close(hn_section_full(&by_height).area_m2, pi * 0.09 / 4.0, 1e-14);
}

static void a_circle_of_two_sizes_is_an_ellipse(void **state)
{
    const hn_section oval = hn_section_from_size(HN_SECTION_CIRCLE, 300.0, 280.0);

    (void)state;
    assert_int_equal(oval.shape, HN_SECTION_ELLIPSE);
    assert_close(hn_section_full(&oval).area_m2, pi * 0.3 * 0.28 / 4.0, 1e-14);
}

static void an_egg_as_high_as_wide_is_a_circle(void **state)
{
    const hn_section egg = hn_section_from_size(HN_SECTION_EGG, 600.0, 600.0);
    const hn_section circle = hn_section_circle(600.0);

    (void)state;
    assert_same(hn_section_full(&egg), hn_section_full(&circle), 1e-8);
}

static void an_egg_lower_than_wide_is_refused(void **state)
{
    const hn_section egg = hn_section_from_size(HN_SECTION_EGG, 900.0, 600.0);

    (void)state;
    assert_nothing(&egg);
    assert_non_null(strstr(egg.problem, "lower than wide"));
}

static void a_horseshoe_too_low_is_refused(void **state)
{
    const hn_section low = hn_section_from_size(HN_SECTION_HORSESHOE, 1000.0, 630.0);
    const hn_section just = hn_section_from_size(HN_SECTION_HORSESHOE, 1000.0, 635.0);

    (void)state;
    assert_nothing(&low);
    assert_null(just.problem);
}

static void a_higher_horseshoe_gains_its_upright_wall(void **state)
{
    const hn_section standard = hn_section_from_size(HN_SECTION_HORSESHOE, 1000.0, 1000.0);
    const hn_section high = hn_section_from_size(HN_SECTION_HORSESHOE, 1000.0, 1300.0);
    const hn_section_measures a = hn_section_full(&standard), b = hn_section_full(&high);

    (void)state;
    assert_close(b.area_m2, a.area_m2 + 0.3, 1e-12);
    assert_close(b.perimeter_m, a.perimeter_m + 0.6, 1e-12);
}

static void upright_sides_and_flat_floor_make_a_vault(void **state)
{
    const hn_section vault = hn_section_horseshoe(1000.0, 1500.0, 1000.0, INFINITY, INFINITY);
    const hn_section arch = hn_section_arch(1000.0, 1500.0, 500.0);

    (void)state;
    assert_close(hn_section_full(&vault).area_m2, 1.0 + pi / 8.0, 1e-12);
    assert_close(hn_section_full(&vault).perimeter_m, 3.0 + pi / 2.0, 1e-12);
    assert_same(hn_section_full(&vault), hn_section_full(&arch), 1e-12);
}

static void a_channel_has_no_crown(void **state)
{
    const hn_section box = hn_section_from_size(HN_SECTION_CHANNEL, 2000.0, 500.0);
    const hn_section trapezoid = hn_section_channel(2000.0, 1000.0, 500.0);

    (void)state;
    assert_close(hn_section_full(&box).perimeter_m, 3.0, 1e-14);
    assert_close(hn_section_full(&trapezoid).area_m2, 0.75, 1e-14);
    assert_close(hn_section_full(&trapezoid).perimeter_m, 1.0 + sqrt(2.0), 1e-14);
}

static void a_smooth_outline_obeys_the_offset_formula(void **state)
{
    (void)state;
    for (int i = 0; i < 3; i++) { /* circle and both eggs: no corners */
        const hn_section host = kind(i, 600.0), liner = hn_section_inset(&host, 20.0);
        const hn_section_measures a = hn_section_full(&host), b = hn_section_full(&liner);
        assert_close(b.area_m2, a.area_m2 - a.perimeter_m * 0.02 + pi * 0.0004, 1e-12);
        assert_close(b.perimeter_m, a.perimeter_m - 2.0 * pi * 0.02, 1e-12);
        assert_close(b.height_m, a.height_m - 0.04, 1e-12);
    }
}

static void two_linings_are_one_of_both_thicknesses(void **state)
{
    (void)state;
    for (int i = 0; i < KINDS; i++) {
        const hn_section host = kind(i, 1000.0);
        const hn_section first = hn_section_inset(&host, 12.0);
        const hn_section second = hn_section_inset(&first, 30.0);
        const hn_section both = hn_section_inset(&host, 42.0);
        assert_same(hn_section_full(&second), hn_section_full(&both), 1e-11);
    }
}

static void a_lining_of_no_thickness_changes_nothing(void **state)
{
    (void)state;
    for (int i = 0; i < KINDS; i++) {
        const hn_section host = kind(i, 1000.0), same = hn_section_inset(&host, 0.0);
        assert_same(hn_section_full(&same), hn_section_full(&host), 1e-14);
    }
}

static void a_thicker_lining_leaves_less_until_nothing_is_left(void **state)
{
    (void)state;
    for (int i = 0; i < KINDS; i++) {
        const hn_section host = kind(i, 1000.0);
        double last_m2 = INFINITY;
        for (double t = 0.0; t < 1500.0; t += 5.0) {
            const hn_section liner = hn_section_inset(&host, t);
            const double area_m2 = hn_section_full(&liner).area_m2;
            if (liner.problem) {
                assert_true(t > 100.0);
                last_m2 = 0.0;
                continue;
            }
            assert_true(area_m2 > 0.0 && area_m2 < last_m2);
            last_m2 = area_m2;
        }
        assert_true(last_m2 == 0.0);
    }
}

static void a_bad_thickness_gives_a_problem(void **state)
{
    static const double bad[] = {NAN, -1.0, INFINITY};

    (void)state;
    for (int i = 0; i < KINDS; i++)
        for (size_t k = 0; k < 3; k++) {
            const hn_section host = kind(i, 1000.0), liner = hn_section_inset(&host, bad[k]);
            assert_nothing(&liner);
        }
}

static void a_lined_channel_keeps_its_bank(void **state)
{
    const hn_section channel = hn_section_channel(2000.0, 1000.0, 500.0); /* 45 degrees */
    const hn_section liner = hn_section_inset(&channel, 50.0);
    const hn_section_measures m = hn_section_full(&liner);

    (void)state;
    assert_close(m.height_m, 0.45, 1e-14);
    assert_close(m.width_m, 2.0 - 0.1 * sqrt(2.0), 1e-14);
    assert_close(m.area_m2, 0.45 * (2.0 - 0.1 * sqrt(2.0) - 0.45), 1e-13);
}

static void a_channel_floor_that_is_used_up_becomes_a_point(void **state)
{
    const hn_section channel = hn_section_channel(2000.0, 10.0, 995.0); /* 45 degrees */
    const hn_section liner = hn_section_inset(&channel, 100.0);
    const hn_section_measures m = hn_section_full(&liner);

    (void)state;
    assert_close(m.width_m, 2.0 - 0.2 * sqrt(2.0), 1e-12);
    assert_close(m.height_m, m.width_m / 2.0, 1e-12);
    assert_close(m.area_m2, m.width_m * m.width_m / 4.0, 1e-12);
}

static void unequal_thicknesses_are_taken_each_on_its_side(void **state)
{
    const hn_section box = hn_section_from_size(HN_SECTION_RECTANGLE, 1000.0, 800.0);
    const hn_section lined_box = hn_section_inset_unequal(&box, 20.0, 30.0, 100.0);
    const hn_section pipe = hn_section_circle(1000.0);
    const hn_section lined_pipe = hn_section_inset_unequal(&pipe, 20.0, 30.0, 100.0);
    const hn_section egg = hn_section_egg_standard(800.0);
    const hn_section even = hn_section_inset(&egg, 15.0);
    const hn_section same = hn_section_inset_unequal(&egg, 15.0, 15.0, 15.0);

    (void)state;
    assert_close(hn_section_full(&lined_box).area_m2, 0.94 * 0.68, 1e-14);
    assert_close(hn_section_full(&lined_pipe).area_m2, pi / 4.0 * 0.94 * 0.88, 1e-14);
    assert_same(hn_section_full(&even), hn_section_full(&same), 1e-14);
}

static void a_polygon_measures_like_the_shape_it_draws(void **state)
{
    static const double clockwise[] = {0, 0, 0, 1, 1, 1, 1, 0};
    static double ring[720];
    const hn_section square = hn_section_polygon(unit_square, 4);
    const hn_section turned = hn_section_polygon(clockwise, 4);
    const hn_section box = hn_section_from_size(HN_SECTION_RECTANGLE, 1000.0, 1000.0);

    (void)state;
    assert_same(hn_section_full(&square), hn_section_full(&box), 1e-14);
    assert_same(hn_section_full(&turned), hn_section_full(&box), 1e-14);
    for (int i = 0; i < 360; i++) {
        ring[2 * i] = 0.5 * cos(i * pi / 180.0);
        ring[2 * i + 1] = 7.0 + 0.5 * sin(i * pi / 180.0);
    }
    const hn_section polygon = hn_section_polygon(ring, 360);
    const hn_section lined = hn_section_inset_unequal(&polygon, 50.0, 50.0, 50.0);
    assert_close(hn_section_full(&polygon).area_m2, pi / 4.0, 1e-4);
    assert_close(hn_section_full(&lined).area_m2, pi / 4.0 * 0.81, 1e-4);
}

static void polygon_edges_take_the_thickness_of_the_side_they_face(void **state)
{
    const hn_section square = hn_section_polygon(unit_square, 4);
    const hn_section lined = hn_section_inset_unequal(&square, 10.0, 50.0, 200.0);
    const hn_section_measures m = hn_section_full(&lined);

    (void)state;
    assert_close(m.width_m, 0.9, 1e-14);
    assert_close(m.height_m, 0.79, 1e-14);
    assert_close(m.area_m2, 0.711, 1e-13);
}

static void a_polygon_that_is_none_gives_a_problem(void **state)
{
    static const double flat[] = {0, 0, 1, 0, 2, 0}, twice[] = {0, 0, 1, 0, 1, 0, 0, 1};
    static const double hole[] = {0, 0, 1, 0, NAN, 1};
    const hn_section sections[] = {hn_section_polygon(NULL, 9), hn_section_polygon(unit_square, 2),
                                   hn_section_polygon(flat, 3), hn_section_polygon(twice, 4),
                                   hn_section_polygon(hole, 3)};

    (void)state;
    for (size_t i = 0; i < sizeof sections / sizeof *sections; i++)
        assert_nothing(&sections[i]);
}

static void a_catalogue_value_wins_over_the_formula(void **state)
{
    const hn_section plain = hn_section_from_size(HN_SECTION_ELLIPSE, 1200.0, 760.0);
    const hn_section_measures formula = hn_section_full(&plain);
    const hn_section by_area = hn_section_override(plain, 0.75, NAN);
    const hn_section by_radius = hn_section_override(plain, NAN, 0.22);
    const hn_section by_both = hn_section_override(plain, 0.75, 0.22);
    const hn_section neither = hn_section_override(plain, NAN, NAN);

    (void)state;
    assert_close(hn_section_full(&by_area).area_m2, 0.75, 1e-14);
    assert_close(hn_section_full(&by_area).perimeter_m, formula.perimeter_m, 1e-14);
    assert_close(hn_section_full(&by_radius).area_m2, formula.area_m2, 1e-14);
    assert_close(hn_section_full(&by_radius).hydraulic_radius_m, 0.22, 1e-14);
    assert_close(hn_section_full(&by_both).area_m2, 0.75, 1e-14);
    assert_close(hn_section_full(&by_both).hydraulic_radius_m, 0.22, 1e-14);
    assert_same(hn_section_full(&neither), formula, 1e-14);
    const hn_section bad = hn_section_override(plain, -1.0, NAN);
    assert_nothing(&bad);
}

static void an_overridden_section_keeps_its_factor_when_lined(void **state)
{
    const hn_section plain = hn_section_from_size(HN_SECTION_ELLIPSE, 1200.0, 760.0);
    const double factor = 0.75 / hn_section_full(&plain).area_m2;
    const hn_section host = hn_section_override(plain, 0.75, NAN);
    const hn_section lined_host = hn_section_inset(&host, 20.0);
    const hn_section lined_plain = hn_section_inset(&plain, 20.0);

    (void)state;
    assert_close(hn_section_full(&lined_host).area_m2,
                 factor * hn_section_full(&lined_plain).area_m2, 1e-13);
}

static void area_and_radius_alone_make_a_section(void **state)
{
    const hn_section circle = hn_section_circle(1000.0);
    const hn_section known = hn_section_known(pi / 4.0, 0.25);
    const hn_section unknown = hn_section_from_size(HN_SECTION_OTHER, 1000.0, 1000.0);
    const hn_section rescued = hn_section_override(unknown, pi / 4.0, 0.25);
    const hn_section lined_circle = hn_section_inset(&circle, 30.0);
    const hn_section lined_known = hn_section_inset(&known, 30.0);

    (void)state;
    assert_close(hn_section_full(&known).perimeter_m, pi, 1e-14);
    assert_close(hn_section_full(&rescued).perimeter_m, pi, 1e-14);
    assert_close(hn_section_full(&lined_known).area_m2, hn_section_full(&lined_circle).area_m2,
                 1e-13);
    assert_close(hn_section_full(&lined_known).hydraulic_radius_m, 0.235, 1e-13);
    const hn_section nothing = hn_section_known(1.0, NAN);
    assert_nothing(&nothing);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shapes_have_the_codes_of_the_segment_table),
        cmocka_unit_test(area_grows_with_the_square_and_perimeter_with_the_size),
        cmocka_unit_test(missing_or_impossible_sizes_give_a_problem),
        cmocka_unit_test(one_size_is_enough_for_a_circle),
        cmocka_unit_test(a_circle_of_two_sizes_is_an_ellipse),
        cmocka_unit_test(an_egg_as_high_as_wide_is_a_circle),
        cmocka_unit_test(an_egg_lower_than_wide_is_refused),
        cmocka_unit_test(a_horseshoe_too_low_is_refused),
        cmocka_unit_test(a_higher_horseshoe_gains_its_upright_wall),
        cmocka_unit_test(upright_sides_and_flat_floor_make_a_vault),
        cmocka_unit_test(a_channel_has_no_crown),
        cmocka_unit_test(a_smooth_outline_obeys_the_offset_formula),
        cmocka_unit_test(two_linings_are_one_of_both_thicknesses),
        cmocka_unit_test(a_lining_of_no_thickness_changes_nothing),
        cmocka_unit_test(a_thicker_lining_leaves_less_until_nothing_is_left),
        cmocka_unit_test(a_bad_thickness_gives_a_problem),
        cmocka_unit_test(a_lined_channel_keeps_its_bank),
        cmocka_unit_test(a_channel_floor_that_is_used_up_becomes_a_point),
        cmocka_unit_test(unequal_thicknesses_are_taken_each_on_its_side),
        cmocka_unit_test(a_polygon_measures_like_the_shape_it_draws),
        cmocka_unit_test(polygon_edges_take_the_thickness_of_the_side_they_face),
        cmocka_unit_test(a_polygon_that_is_none_gives_a_problem),
        cmocka_unit_test(a_catalogue_value_wins_over_the_formula),
        cmocka_unit_test(an_overridden_section_keeps_its_factor_when_lined),
        cmocka_unit_test(area_and_radius_alone_make_a_section),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
