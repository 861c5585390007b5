/* unit/test_section_depth.c - part-full geometry: what must hold at any depth. */
#include "engineering/section_depth.h"
#include "test_util.h"

static const double benched[] = {0.8, 0,   1.2, 0,   1.2, 0.3, 2,   0.5,
                                 2,   1.5, 0,   1.5, 0,   0.5, 0.8, 0.3};

enum { KINDS = 10 };

static hn_section kind(int i)
{
    const hn_section all[KINDS] = {
        hn_section_circle(500.0),
        hn_section_egg_standard(600.0),
        hn_section_egg_new(600.0),
        hn_section_from_size(HN_SECTION_EGG, 700.0, 900.0),
        hn_section_from_size(HN_SECTION_HORSESHOE, 1500.0, 1500.0),
        hn_section_from_size(HN_SECTION_RECTANGLE, 1200.0, 900.0),
        hn_section_from_size(HN_SECTION_ELLIPSE, 900.0, 600.0),
        hn_section_from_size(HN_SECTION_ARCH, 1800.0, 1100.0),
        hn_section_channel(1500.0, 700.0, 600.0),
        hn_section_polygon(benched, 8),
    };

    return all[i];
}

static void a_depth_put_back_recovers_the_area(void **state)
{
    (void)state;
    for (int i = 0; i < KINDS; i++) {
        const hn_section s = kind(i);
        for (int step = 1; step < 100; step++) {
            const double depth_m = s.height_m * step / 100.0;
            const double area_m2 = hn_section_at_depth(&s, depth_m).area_m2;
            const double back_m = hn_section_depth_from_area(&s, area_m2);
            assert_close(back_m, depth_m, 1e-9);
            assert_close(hn_section_at_depth(&s, back_m).area_m2, area_m2, 1e-10);
        }
    }
}

static void area_and_perimeter_grow_with_depth(void **state)
{
    (void)state;
    for (int i = 0; i < KINDS; i++) {
        const hn_section s = kind(i);
        hn_section_wet last = {0, 0, 0, 0, 0};
        for (int step = 1; step <= 1000; step++) {
            const hn_section_wet wet = hn_section_at_depth(&s, s.height_m * step / 1000.0);
            assert_true(wet.area_m2 > last.area_m2);
            assert_true(wet.perimeter_m > last.perimeter_m);
            assert_true(wet.top_width_m >= 0.0 && wet.top_width_m <= s.width_m * 1.0000001);
            last = wet;
        }
    }
}

static void the_surface_width_is_the_rate_of_the_area(void **state)
{
    (void)state;
    for (int i = 0; i < KINDS; i++) {
        const hn_section s = kind(i);
        for (int step = 5; step < 95; step += 3) {
            const double depth_m = s.height_m * (step + 0.37) / 100.0, h = 1e-6 * s.height_m;
            const double rise = hn_section_at_depth(&s, depth_m + h).area_m2 -
                                hn_section_at_depth(&s, depth_m - h).area_m2;
            assert_close(hn_section_at_depth(&s, depth_m).top_width_m, rise / (2.0 * h), 1e-6);
        }
    }
}

static void at_the_crown_the_section_is_full_and_the_soffit_wet(void **state)
{
    (void)state;
    for (int i = 0; i < KINDS; i++) {
        const hn_section s = kind(i);
        const hn_section_measures full = hn_section_full(&s);
        const hn_section_wet crown = hn_section_at_depth(&s, s.height_m);
        const hn_section_wet above = hn_section_at_depth(&s, 2.0 * s.height_m);
        assert_close(crown.area_m2, full.area_m2, 1e-12);
        assert_close(crown.perimeter_m, full.perimeter_m, 1e-12);
        assert_close(above.perimeter_m, full.perimeter_m, 1e-12);
        assert_true(crown.top_width_m == (s.shape == HN_SECTION_CHANNEL ? s.width_m : 0.0));
    }
}

static void wetting_the_soffit_of_a_box_lowers_its_radius(void **state)
{
    const hn_section box = hn_section_from_size(HN_SECTION_RECTANGLE, 2000.0, 1000.0);

    (void)state;
    assert_close(hn_section_at_depth(&box, 0.9999999999).hydraulic_radius_m, 0.5, 1e-9);
    assert_close(hn_section_at_depth(&box, 1.0).hydraulic_radius_m, 2.0 / 6.0, 1e-12);
}

static void benches_are_dry_until_the_water_reaches_them(void **state)
{
    const hn_section s = kind(9);
    const hn_section_wet low = hn_section_at_depth(&s, 0.2), high = hn_section_at_depth(&s, 1.0);

    (void)state;
    assert_close(low.area_m2, 0.08, 1e-13);
    assert_close(low.perimeter_m, 0.8, 1e-13);
    assert_close(low.top_width_m, 0.4, 1e-13);
    assert_close(high.area_m2, 0.4 * 0.3 + 0.5 * (0.4 + 2.0) * 0.2 + 2.0 * 0.5, 1e-13);
    assert_close(high.perimeter_m, 0.4 + 0.6 + 2.0 * hypot(0.8, 0.2) + 1.0, 1e-13);
    assert_close(high.top_width_m, 2.0, 1e-13);
}

static void nothing_is_wet_at_depth_0(void **state)
{
    (void)state;
    for (int i = 0; i < KINDS; i++) {
        const hn_section s = kind(i);
        const hn_section_wet dry = hn_section_at_depth(&s, 0.0);
        assert_true(dry.area_m2 == 0.0 && dry.hydraulic_radius_m == 0.0);
        assert_true(hn_section_depth_from_area(&s, 0.0) == 0.0);
    }
}

static void an_override_scales_part_flow_too(void **state)
{
    const hn_section plain = kind(6);
    const hn_section_measures full = hn_section_full(&plain);
    const hn_section s = hn_section_override(plain, 1.1 * full.area_m2, NAN);
    const hn_section_wet a = hn_section_at_depth(&plain, 0.2), b = hn_section_at_depth(&s, 0.2);

    (void)state;
    assert_close(b.area_m2, 1.1 * a.area_m2, 1e-12);
    assert_close(b.perimeter_m, a.perimeter_m, 1e-12);
    assert_close(b.top_width_m, a.top_width_m, 1e-12);
}

static void what_is_not_known_stays_unknown(void **state)
{
    const hn_section circle = kind(0), known = hn_section_known(1.0, 0.25);
    const hn_section broken = hn_section_circle(NAN);

    (void)state;
    assert_true(isnan(hn_section_at_depth(&circle, NAN).area_m2));
    assert_true(isnan(hn_section_at_depth(&circle, -0.1).area_m2));
    assert_true(isnan(hn_section_at_depth(&known, 0.1).area_m2));
    assert_true(isnan(hn_section_at_depth(&broken, 0.1).area_m2));
    assert_true(isnan(hn_section_depth_from_area(&circle, NAN)));
    assert_true(isnan(hn_section_depth_from_area(&circle, 1.0)));
    assert_true(isnan(hn_section_depth_from_area(&circle, -1.0)));
    assert_true(isnan(hn_section_depth_from_area(&known, 0.1)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_depth_put_back_recovers_the_area),
        cmocka_unit_test(area_and_perimeter_grow_with_depth),
        cmocka_unit_test(the_surface_width_is_the_rate_of_the_area),
        cmocka_unit_test(at_the_crown_the_section_is_full_and_the_soffit_wet),
        cmocka_unit_test(wetting_the_soffit_of_a_box_lowers_its_radius),
        cmocka_unit_test(benches_are_dry_until_the_water_reaches_them),
        cmocka_unit_test(nothing_is_wet_at_depth_0),
        cmocka_unit_test(an_override_scales_part_flow_too),
        cmocka_unit_test(what_is_not_known_stays_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
