/* Walls by ASTM F1216 X1: the published 48 in example and the laws behind it. */
#include "engineering/liner_wall.h"
#include "engineering/load.h"

#include "test_util.h"

#include <string.h>

/* Najafi 2010, Sec. 2.7: 48 in host, 16 ft cover, 8 ft of water above the crown. */
static hn_liner_wall_input example(hn_liner_constants constants)
{
    const double psi = 0.006894757293168, foot = 0.3048;
    return (hn_liner_wall_input){
        .diameter_mm = 48 * 25.4,
        .ovality_pct = 2,
        .modulus_short_mpa = 250000 * psi,
        .modulus_long_mpa = 125000 * psi,
        .strength_long_mpa = 4500 * psi,
        .poisson = 0.3,
        .enhancement = 7,
        .safety = 2,
        .groundwater_above_invert_m = 12 * foot,
        .groundwater_above_crown_m = 8 * foot,
        .cover_m = 16 * foot,
        .soil_weight_kn_per_m3 = 120 * 0.15708746,
        .soil_modulus_mpa = 1000 * psi,
        .live_load_mpa = 0.35 * psi,
        .fully_deteriorated = 1,
        .constants = constants,
    };
}

static void the_published_48_inch_example_comes_back(void **state)
{
    (void)state;
    const hn_liner_wall_input in = example(HN_LINER_US);
    const hn_liner_wall out = hn_liner_wall_design(&in);
    assert_int_equal(out.status, HN_LINER_DESIGNED);
    assert_int_equal(out.governs, HN_LINER_GOVERNS_E3);
    assert_close(out.buoyancy, 0.835, 1e-12);
    assert_close(out.elastic_support, 0.414281, 2e-6);
    assert_close(out.ovality_factor, 0.835752, 1e-6);
    assert_close(out.total_load_mpa / 0.006894757293168, 14.9473, 1e-5);
    assert_close(out.t_e3_mm / 25.4, 1.00846, 1e-5);
    assert_close(out.t_e4_mm / 25.4, 0.790344, 1e-6);
    assert_close(out.t_e1_mm / 25.4, 0.878, 2e-4);
    assert_close(out.t_e2_mm / 25.4, 0.376, 1.2e-3);
    assert_close(out.required_mm, out.t_e3_mm, 0);
}

static void the_rule_before_2007b_asks_for_more(void **state)
{
    (void)state;
    hn_liner_wall_input in = example(HN_LINER_US);
    in.era = HN_LINER_BEFORE_2007B;
    assert_close(hn_liner_wall_design(&in).t_e3_mm / 25.4, 1.07061, 1e-5);
    for (double q = 0; q <= 10; q += 0.5) {
        in.ovality_pct = q;
        in.era = HN_LINER_BEFORE_2007B;
        const double before = hn_liner_wall_design(&in).t_e3_mm;
        in.era = HN_LINER_SINCE_2007B;
        const double since = hn_liner_wall_design(&in).t_e3_mm;
        assert_true(since <= before);
        assert_close(since / before, cbrt(hn_ovality_factor(q)), 1e-12);
    }
}

static void si_and_us_constants_agree_within_a_thousandth(void **state)
{
    (void)state;
    const hn_liner_wall_input in = example(HN_LINER_SI);
    const hn_liner_wall out = hn_liner_wall_design(&in);
    assert_close(out.t_e3_mm, 25.6272, 2e-4);
    assert_close(out.t_e3_mm, 1.0085 * 25.4, 1e-3);
    assert_close(out.t_e4_mm, 20.0621, 1e-5);
    assert_close(out.total_load_mpa, 0.103095, 1e-4);
}

static void factors_keep_to_their_ends(void **state)
{
    (void)state;
    assert_close(hn_ovality_factor(0), 1, 0);
    assert_true(isnan(hn_ovality_factor(10.01)));
    assert_close(hn_elastic_support(0, HN_LINER_SI), 0.2, 1e-15);
    assert_close(hn_elastic_support(0, HN_LINER_US), 0.2, 1e-15);
    assert_close(hn_elastic_support(200, HN_LINER_SI), 1, 1e-15);
    assert_close(hn_elastic_support_luscher(1e9, 1), 2.0 / 3, 1e-6);
    for (double water = -1; water < 30; water += 0.7) {
        const double factor = hn_buoyancy_factor(water, 9);
        assert_true(factor >= 0.67 - 1e-15 && factor <= 1);
    }
}

static void e1_gives_back_the_pressure_it_was_made_for(void **state)
{
    (void)state;
    hn_liner_wall_input in = example(HN_LINER_SI);
    for (double head = 0.1; head < 20; head *= 1.7) {
        in.groundwater_above_invert_m = head;
        const hn_liner_wall out = hn_liner_wall_design(&in);
        assert_close(hn_buckling_pressure_mpa(&in, out.t_e1_mm), out.water_pressure_mpa, 1e-12);
    }
}

static void e2_solves_its_own_equation(void **state)
{
    (void)state;
    hn_liner_wall_input in = example(HN_LINER_SI);
    for (double q = 0.5; q <= 10; q += 0.5) {
        in.ovality_pct = q;
        const hn_liner_wall out = hn_liner_wall_design(&in);
        const double dr = in.diameter_mm / out.t_e2_mm, s = q / 100;
        assert_true(out.t_e2_mm > 0);
        assert_close(1.5 * s * (1 + s) * dr * dr - 0.5 * (1 + s) * dr,
                     in.strength_long_mpa / (out.water_pressure_mpa * in.safety), 1e-10);
    }
    in.ovality_pct = 0;
    assert_close(hn_liner_wall_design(&in).t_e2_mm, 0, 0);
}

static double wall_with(size_t offset, double value)
{
    hn_liner_wall_input in = example(HN_LINER_SI);
    memcpy((char *)&in + offset, &value, sizeof value);
    return hn_liner_wall_design(&in).required_mm;
}

#define FIELD(name) offsetof(hn_liner_wall_input, name)

static void the_wall_grows_with_load_ovality_and_depth(void **state)
{
    (void)state;
    for (int i = 0; i < 40; i++) {
        const double x = i / 40.0, more = x + 1 / 40.0;
        assert_true(wall_with(FIELD(ovality_pct), 10 * x) <
                    wall_with(FIELD(ovality_pct), 10 * more));
        assert_true(wall_with(FIELD(live_load_mpa), 0.2 * x) <
                    wall_with(FIELD(live_load_mpa), 0.2 * more));
        assert_true(wall_with(FIELD(soil_weight_kn_per_m3), 15 + 8 * x) <
                    wall_with(FIELD(soil_weight_kn_per_m3), 15 + 8 * more));
        assert_true(wall_with(FIELD(groundwater_above_crown_m), 6 * x) <
                    wall_with(FIELD(groundwater_above_crown_m), 6 * more));
        assert_true(wall_with(FIELD(groundwater_above_invert_m), 20 * x) <=
                    wall_with(FIELD(groundwater_above_invert_m), 20 * more));
        assert_true(wall_with(FIELD(soil_modulus_mpa), 3 + 9 * x) >=
                    wall_with(FIELD(soil_modulus_mpa), 3 + 9 * more));
    }
    for (double cover = 6; cover < 12; cover += 0.25)
        assert_true(wall_with(FIELD(cover_m), cover) < wall_with(FIELD(cover_m), cover + 0.25));
}

static void a_missing_input_makes_the_wall_unknown(void **state)
{
    (void)state;
    static const size_t fields[] = {
        FIELD(diameter_mm),       FIELD(ovality_pct),
        FIELD(modulus_short_mpa), FIELD(modulus_long_mpa),
        FIELD(strength_long_mpa), FIELD(poisson),
        FIELD(enhancement),       FIELD(safety),
        FIELD(cover_m),           FIELD(groundwater_above_invert_m),
        FIELD(soil_modulus_mpa),  FIELD(groundwater_above_crown_m),
        FIELD(live_load_mpa),     FIELD(soil_weight_kn_per_m3),
    };
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
        hn_liner_wall_input in = example(HN_LINER_SI);
        const double missing = NAN;
        memcpy((char *)&in + fields[i], &missing, sizeof missing);
        const hn_liner_wall out = hn_liner_wall_design(&in);
        assert_int_equal(out.status, HN_LINER_UNKNOWN);
        assert_int_equal(out.governs, HN_LINER_GOVERNS_NONE);
        assert_true(isnan(out.required_mm));
    }
}

static void a_partly_deteriorated_host_needs_no_soil_data(void **state)
{
    (void)state;
    hn_liner_wall_input in = example(HN_LINER_SI);
    in.fully_deteriorated = 0;
    in.cover_m = in.soil_modulus_mpa = in.live_load_mpa = NAN;
    const hn_liner_wall out = hn_liner_wall_design(&in);
    assert_int_equal(out.status, HN_LINER_DESIGNED);
    assert_int_equal(out.governs, HN_LINER_GOVERNS_E1);
    assert_close(out.required_mm, 22.3, 3e-3);
    in.groundwater_above_invert_m = -0.5; /* dry: nothing asks for a wall */
    const hn_liner_wall dry = hn_liner_wall_design(&in);
    assert_int_equal(dry.governs, HN_LINER_GOVERNS_NONE);
    assert_close(dry.required_mm, 0, 0);
}

static void ovality_above_ten_per_cent_is_referred(void **state)
{
    (void)state;
    hn_liner_wall_input in = example(HN_LINER_SI);
    in.ovality_pct = 10;
    assert_int_equal(hn_liner_wall_design(&in).status, HN_LINER_DESIGNED);
    in.ovality_pct = 10.001;
    const hn_liner_wall out = hn_liner_wall_design(&in);
    assert_int_equal(out.status, HN_LINER_REFER);
    assert_true(isnan(out.required_mm));
}

static void nonsense_is_out_of_range(void **state)
{
    (void)state;
    hn_liner_wall_input in = example(HN_LINER_SI);
    in.diameter_mm = 0;
    assert_int_equal(hn_liner_wall_design(&in).status, HN_LINER_OUT_OF_RANGE);
    in = example(HN_LINER_SI);
    in.live_load_mpa = 1e6; /* a wall thicker than the bore */
    const hn_liner_wall out = hn_liner_wall_design(&in);
    assert_int_equal(out.status, HN_LINER_OUT_OF_RANGE);
    assert_true(isnan(out.required_mm));
}

static void walls_round_up_to_the_step(void **state)
{
    (void)state;
    assert_close(hn_round_up_wall(25.63, 3, 1.5), 27, 1e-15);
    assert_close(hn_round_up_wall(6.0, 3, 0.5), 6, 1e-15);
    assert_close(hn_round_up_wall(6.0000000001, 3, 0.5), 6, 1e-15);
    assert_close(hn_round_up_wall(6.001, 3, 0.5), 6.5, 1e-15);
    assert_close(hn_round_up_wall(0, 4.5, 1.5), 4.5, 1e-15);
    assert_close(hn_round_up_wall(5.2, 3, 0), 5.2, 1e-15);
    assert_true(isnan(hn_round_up_wall(NAN, 3, 0.5)));
    assert_true(isnan(hn_round_up_wall(5, NAN, 0.5)));
    assert_true(isnan(hn_round_up_wall(5, 3, NAN)));
}

static void labels_name_the_era(void **state)
{
    (void)state;
    assert_string_equal(hn_liner_governs_name(HN_LINER_GOVERNS_E3, HN_LINER_SINCE_2007B), "E3b");
    assert_string_equal(hn_liner_governs_name(HN_LINER_GOVERNS_E3, HN_LINER_BEFORE_2007B), "E3a");
    assert_string_equal(hn_liner_governs_name(HN_LINER_GOVERNS_NONE, HN_LINER_SINCE_2007B), "none");
    assert_string_equal(hn_liner_status_name(HN_LINER_REFER), "refer");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_published_48_inch_example_comes_back),
        cmocka_unit_test(the_rule_before_2007b_asks_for_more),
        cmocka_unit_test(si_and_us_constants_agree_within_a_thousandth),
        cmocka_unit_test(factors_keep_to_their_ends),
        cmocka_unit_test(e1_gives_back_the_pressure_it_was_made_for),
        cmocka_unit_test(e2_solves_its_own_equation),
        cmocka_unit_test(the_wall_grows_with_load_ovality_and_depth),
        cmocka_unit_test(a_missing_input_makes_the_wall_unknown),
        cmocka_unit_test(a_partly_deteriorated_host_needs_no_soil_data),
        cmocka_unit_test(ovality_above_ten_per_cent_is_referred),
        cmocka_unit_test(nonsense_is_out_of_range),
        cmocka_unit_test(walls_round_up_to_the_step),
        cmocka_unit_test(labels_name_the_era),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
