/* unit/test_flow.c - full flow by Manning and by Colebrook-White. */
#include "engineering/flow.h"
#include "test_util.h"

static hn_section_measures circle(double diameter_mm)
{
    const hn_section s = hn_section_circle(diameter_mm);

    return hn_section_full(&s);
}

static void manning_flow_grows_with_diameter_to_eight_thirds(void **state)
{
    const hn_section_measures one = circle(300.0), two = circle(600.0);

    (void)state;
    assert_close(hn_manning_full_m3_per_s(&two, 0.013, 0.004),
                 pow(2.0, 8.0 / 3.0) * hn_manning_full_m3_per_s(&one, 0.013, 0.004), 1e-13);
    assert_close(hn_manning_full_m3_per_s(&one, 0.013, 0.016),
                 2.0 * hn_manning_full_m3_per_s(&one, 0.013, 0.004), 1e-13);
    assert_close(hn_manning_full_m3_per_s(&one, 0.026, 0.004),
                 0.5 * hn_manning_full_m3_per_s(&one, 0.013, 0.004), 1e-13);
}

static void capacity_ratio_is_two_full_flows_divided(void **state)
{
    const hn_section egg = hn_section_egg_standard(800.0), liner = hn_section_inset(&egg, 18.0);
    const hn_section_measures a = hn_section_full(&egg), b = hn_section_full(&liner);

    (void)state;
    assert_close(hn_manning_capacity_ratio(&a, 0.015, &b, 0.010),
                 hn_manning_full_m3_per_s(&b, 0.010, 0.003) /
                     hn_manning_full_m3_per_s(&a, 0.015, 0.003),
                 1e-13);
}

static void a_close_fit_circle_follows_the_closed_form(void **state)
{
    const hn_section_measures a = circle(300.0), b = circle(288.0);

    (void)state;
    assert_close(hn_manning_capacity_ratio(&a, 0.013, &b, 0.010),
                 1.3 * pow(1.0 - 2.0 * 6.0 / 300.0, 8.0 / 3.0), 1e-13);
    assert_close(hn_manning_capacity_ratio(&a, 0.013, &a, 0.013), 1.0, 1e-15);
}

static void break_even_roughness_leaves_the_capacity_as_it_was(void **state)
{
    const hn_section_measures a = circle(300.0), b = circle(288.0);
    const double n_after = 0.013 * hn_break_even_roughness(&a, &b);

    (void)state;
    assert_close(hn_manning_capacity_ratio(&a, 0.013, &b, n_after), 1.0, 1e-14);
}

/* The implicit law that Colebrook-White solves: lambda is the Darcy friction
 * factor, 1/sqrt(lambda) = -2 log10(k/(3.71 D) + 2.51/(Re sqrt(lambda))). */
static void colebrook_velocity_satisfies_the_friction_law(void **state)
{
    static const double diameters_m[] = {0.1, 0.3, 1.0, 3.0}, k_mm[] = {0.0, 0.03, 0.25, 1.5, 6.0};

    (void)state;
    for (size_t i = 0; i < 4; i++)
        for (size_t j = 0; j < 5; j++)
            for (double slope = 1e-4; slope < 0.2; slope *= 3.0) {
                const double d = diameters_m[i], nu = 1.31e-6;
                const double v = hn_colebrook_velocity_m_per_s(d / 4.0, k_mm[j], slope, nu);
                const double lambda = 2.0 * HN_GRAVITY_M_PER_S2 * d * slope / (v * v);
                const double reynolds = v * d / nu;
                assert_close(
                    1.0 / sqrt(lambda),
                    -2.0 * log10(k_mm[j] * 1e-3 / (3.71 * d) + 2.51 / (reynolds * sqrt(lambda))),
                    1e-12);
            }
}

static void equivalent_n_gives_the_same_velocity(void **state)
{
    const double v = hn_colebrook_velocity_m_per_s(0.075, 1.5, 0.005, 1.31e-6);
    const double n = hn_equivalent_manning_n(0.075, v, 0.005);

    (void)state;
    assert_close(hn_manning_velocity_m_per_s(0.075, n, 0.005), v, 1e-14);
    assert_close(n, 0.01286, 1e-3); /* reference: DN 300, k 1.5 mm, S 0.005 */
}

static void no_slope_gives_no_flow(void **state)
{
    (void)state;
    assert_true(hn_manning_velocity_m_per_s(0.1, 0.013, 0.0) == 0.0);
    assert_true(hn_colebrook_velocity_m_per_s(0.1, 1.5, 0.0, 1.31e-6) == 0.0);
}

static void what_is_not_known_stays_unknown(void **state)
{
    const hn_section_measures a = circle(300.0), none = circle(NAN);

    (void)state;
    assert_true(isnan(hn_manning_full_m3_per_s(&none, 0.013, 0.01)));
    assert_true(isnan(hn_manning_full_m3_per_s(&a, NAN, 0.01)));
    assert_true(isnan(hn_manning_full_m3_per_s(&a, 0.0, 0.01)));
    assert_true(isnan(hn_manning_full_m3_per_s(&a, 0.013, NAN)));
    assert_true(isnan(hn_manning_full_m3_per_s(&a, 0.013, -0.01)));
    assert_true(isnan(hn_manning_capacity_ratio(&none, 0.013, &a, 0.01)));
    assert_true(isnan(hn_manning_capacity_ratio(&a, NAN, &a, 0.01)));
    assert_true(isnan(hn_manning_capacity_ratio(&a, 0.013, &a, 0.0)));
    assert_true(isnan(hn_colebrook_full_m3_per_s(&a, NAN, 0.01, 1.31e-6)));
    assert_true(isnan(hn_colebrook_full_m3_per_s(&a, -1.0, 0.01, 1.31e-6)));
    assert_true(isnan(hn_colebrook_full_m3_per_s(&a, 1.5, NAN, 1.31e-6)));
    assert_true(isnan(hn_colebrook_full_m3_per_s(&a, 1.5, 0.01, 0.0)));
    assert_true(isnan(hn_colebrook_full_m3_per_s(&a, 5000.0, 0.01, 1.31e-6)));
    assert_true(isnan(hn_equivalent_manning_n(0.1, 0.0, 0.01)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(manning_flow_grows_with_diameter_to_eight_thirds),
        cmocka_unit_test(capacity_ratio_is_two_full_flows_divided),
        cmocka_unit_test(a_close_fit_circle_follows_the_closed_form),
        cmocka_unit_test(break_even_roughness_leaves_the_capacity_as_it_was),
        cmocka_unit_test(colebrook_velocity_satisfies_the_friction_law),
        cmocka_unit_test(equivalent_n_gives_the_same_velocity),
        cmocka_unit_test(no_slope_gives_no_flow),
        cmocka_unit_test(what_is_not_known_stays_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
