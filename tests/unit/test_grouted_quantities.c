/* Takeoff of a grouted lining against counts made by hand. */
#include "engineering/grouted_quantities.h"

#include "test_util.h"

static hn_grouted_input run_of_pipe(void)
{
    return (hn_grouted_input){
        .length_m = 50,
        .host_area_m2 = 1.20,
        .liner_area_m2 = 0.95,
        .host_height_m = 1.24,
        .allowance = 0.10,
        .ring_spacing_m = 0.2,
        .panels_per_ring = 6,
        .ring_m3 = 0.004,
        .lift_m = 0.5,
        .pour_length_m = 20,
        .vent_spacing_m = 6,
        .grout_kg_per_m3 = 1850,
        .delivery_m3 = 1.0,
    };
}

static void a_published_annulus_comes_back(void **state)
{
    (void)state;
    const double inch = 0.0254, foot = 0.3048, ft3 = foot * foot * foot;
    /* 6 in around 4 in, 50 ft: 15.708 in2, 5.454 ft3, with 5 % 5.726 ft3. */
    assert_close(hn_annulus_m2(6 * inch, 4 * inch) / (inch * inch), 15.708, 4e-6);
    const double pi = 3.14159265358979323846;
    const double host = pi / 4 * 36 * inch * inch, liner = pi / 4 * 16 * inch * inch;
    assert_close(hn_grout_volume_m3(host, liner, 50 * foot, 0, 0) / ft3, 5.454, 1e-4);
    assert_close(hn_grout_volume_m3(host, liner, 50 * foot, 0.05, 0) / ft3, 5.726, 3e-4);
}

static void rings_and_pours_are_counted(void **state)
{
    (void)state;
    const hn_grouted_input in = run_of_pipe();
    const hn_grouted_quantities out = hn_grouted_takeoff(&in, 3.5);
    assert_close(out.rings, 251, 0); /* 250 bays and the ring that closes them */
    assert_close(out.panels, 1500, 0);
    assert_close(out.ring_joints_m, 251 * 3.5, 1e-12);
    assert_close(out.long_joints_m, 300, 0);
    assert_close(out.grout_m3, 0.25 * 50 * 1.1 - 251 * 0.004, 1e-12);
    assert_close(out.grout_kg, out.grout_m3 * 1850, 1e-12);
    assert_close(out.lifts, 3, 0);
    assert_close(out.sections, 3, 0);
    assert_close(out.pours, 9, 0);
    assert_close(out.vents, 3 * (3 + 1), 0); /* 16.7 m: three spaces of 6 m */
    assert_close(out.deliveries, 9 * 2, 0);  /* 12.746 / 9 = 1.42 m3 each */
}

static void a_lining_without_rings_has_none(void **state)
{
    (void)state;
    hn_grouted_input in = run_of_pipe();
    in.ring_spacing_m = NAN;
    const hn_grouted_quantities out = hn_grouted_takeoff(&in, 3.5);
    assert_true(isnan(out.rings) && isnan(out.panels));
    assert_close(out.grout_m3, 0.25 * 50 * 1.1, 1e-12);
}

static void a_missing_number_stays_missing(void **state)
{
    (void)state;
    hn_grouted_input in = run_of_pipe();
    in.liner_area_m2 = NAN;
    hn_grouted_quantities out = hn_grouted_takeoff(&in, 3.5);
    assert_true(isnan(out.grout_m3) && isnan(out.deliveries));
    assert_close(out.rings, 251, 0); /* what is known is still counted */
    in = run_of_pipe();
    in.lift_m = 0;
    out = hn_grouted_takeoff(&in, NAN);
    assert_true(isnan(out.lifts) && isnan(out.pours) && isnan(out.ring_joints_m));
    assert_true(isnan(hn_grout_volume_m3(1, 1.1, 50, 0.1, 0)));  /* liner too big */
    assert_true(isnan(hn_grout_volume_m3(1, 0.99, 50, 0.1, 9))); /* rings fill it */
    assert_true(isnan(hn_annulus_m2(1, 2)));
}

static void rough_hosts_take_more_grout(void **state)
{
    (void)state;
    assert_close(hn_grout_allowance(HN_HOST_SMOOTH), 0.05, 0);
    assert_close(hn_grout_allowance(HN_HOST_DAMAGED), 0.15, 0);
    assert_true(isnan(hn_grout_allowance(HN_HOST_SURFACE_COUNT)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_published_annulus_comes_back),
        cmocka_unit_test(rings_and_pours_are_counted),
        cmocka_unit_test(a_lining_without_rings_has_none),
        cmocka_unit_test(a_missing_number_stays_missing),
        cmocka_unit_test(rough_hosts_take_more_grout),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
