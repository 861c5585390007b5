/* Laws of the liner wall: which way it moves, how it scales, what the inverse
 * of each equation gives back, and that two systems of units agree. */
#include "property.h"

#include "engineering/liner_wall.h"

enum { CASES = 4000 };

/* Ordinary sewers. Soil up to 24 kN/m3: water then adds more load than its
 * buoyancy takes away (9.81 > 0.33 x 24), so a wall can only grow with it. */
static hn_liner_wall_input random_input(draws *d)
{
    hn_liner_wall_input in = {.diameter_mm = draw_log(d, 150, 2500),
                              .ovality_pct = draw(d, 0, 9),
                              .modulus_short_mpa = draw_log(d, 1000, 20000),
                              .strength_long_mpa = draw(d, 10, 80),
                              .poisson = draw(d, 0.2, 0.4),
                              .enhancement = draw(d, 4, 8),
                              .safety = draw(d, 1.5, 2.5),
                              .cover_m = draw(d, 0.6, 12),
                              .soil_weight_kn_per_m3 = draw(d, 17, 24),
                              .soil_modulus_mpa = draw_log(d, 1, 20),
                              .live_load_mpa = draw(d, 0, 0.02),
                              .fully_deteriorated = (int)draw_below(d, 2),
                              .era = (hn_liner_era)draw_below(d, 2),
                              .constants = (hn_liner_constants)draw_below(d, 2)};

    in.modulus_long_mpa = draw(d, 0.3, 0.75) * in.modulus_short_mpa;
    in.groundwater_above_crown_m = draw(d, 0, 0.9) * in.cover_m;
    in.groundwater_above_invert_m = in.groundwater_above_crown_m + in.diameter_mm / 1000;
    return in;
}

static double wall_of(const hn_liner_wall_input *in)
{
    const hn_liner_wall wall = hn_liner_wall_design(in);

    assert_law(wall.status == HN_LINER_DESIGNED, "D %g, cover %g, water %g: %s", in->diameter_mm,
               in->cover_m, in->groundwater_above_crown_m, hn_liner_status_name(wall.status));
    return wall.required_mm;
}

/* One number greater by 0.1 to 10 %: the wall never moves the other way. */
static void check_direction(const char *what, hn_liner_wall_input in, size_t offset, double factor,
                            int rises)
{
    const double before = wall_of(&in);

    *(double *)((char *)&in + offset) *= factor;
    const double after = wall_of(&in);
    assert_law(rises ? after >= before * (1 - 1e-12) : after <= before * (1 + 1e-12),
               "%s x %g: wall %.17g, then %.17g", what, factor, before, after);
}

#define DIRECTION(field, rises) \
    check_direction(#field, in, offsetof(hn_liner_wall_input, field), factor, rises)

/* Cover: the load grows with w, and 1/qt shrinks faster than B' and Rw grow as
 * long as soil is most of the load (here traffic below 20 kPa, water within the
 * cover): 2 w/qt > B''/B' + Rw'/Rw. */
static void the_wall_moves_the_way_the_theory_says(void **state)
{
    draws d = {1};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const hn_liner_wall_input in = random_input(&d);
        const double factor = draw(&d, 1.001, 1.1);

        DIRECTION(groundwater_above_invert_m, 1);
        DIRECTION(groundwater_above_crown_m, 1);
        DIRECTION(cover_m, 1);
        DIRECTION(soil_weight_kn_per_m3, 1);
        DIRECTION(live_load_mpa, 1);
        DIRECTION(ovality_pct, 1);
        DIRECTION(diameter_mm, 1);
        DIRECTION(safety, 1);
        DIRECTION(modulus_short_mpa, 0);
        DIRECTION(modulus_long_mpa, 0);
        DIRECTION(strength_long_mpa, 0);
        DIRECTION(soil_modulus_mpa, 0);
        DIRECTION(enhancement, 0);
        DIRECTION(poisson, 0);
    }
}

/* All four equations are written in D/t: twice the pipe under the same
 * pressures needs twice the wall, of each kind. */
static void walls_scale_with_the_diameter(void **state)
{
    draws d = {2};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        hn_liner_wall_input in = random_input(&d);
        const hn_liner_wall one = hn_liner_wall_design(&in);
        const double s = draw_log(&d, 0.3, 3);

        in.diameter_mm *= s;
        const hn_liner_wall other = hn_liner_wall_design(&in);
        assert_close(other.t_e1_mm, s * one.t_e1_mm, 1e-13);
        assert_close(other.t_e2_mm, s * one.t_e2_mm, 1e-13);
        assert_close(other.t_e3_mm, s * one.t_e3_mm, 1e-13);
        assert_close(other.t_e4_mm, s * one.t_e4_mm, 1e-13);
        assert_close(other.required_mm, s * one.required_mm, 1e-13);
        assert_int_equal(other.governs, one.governs);
    }
}

static void the_governing_wall_is_the_greatest_that_counts(void **state)
{
    draws d = {3};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        hn_liner_wall_input in = random_input(&d);
        const hn_liner_wall w = hn_liner_wall_design(&in);
        const double wet = fmax(w.t_e1_mm, w.t_e2_mm);
        const double all = fmax(wet, fmax(w.t_e3_mm, w.t_e4_mm));

        assert_true(w.required_mm == (in.fully_deteriorated ? all : wet));
        in.fully_deteriorated = 0;
        assert_true(hn_liner_wall_design(&in).required_mm <= w.required_mm);
        in.era = HN_LINER_BEFORE_2007B; /* C squared: never thinner than after */
        const double before = hn_liner_wall_design(&in).t_e3_mm;
        in.era = HN_LINER_SINCE_2007B;
        assert_true(hn_liner_wall_design(&in).t_e3_mm <= before * (1 + 1e-15));
    }
}

/* Each equation written for the load it can bear, after ASTM F1216 X1.1 to
 * X1.4, with the wall put in. 1e-10: a cube of D/t - 1 takes 3 x D/t roundings. */
static void a_wall_put_back_bears_its_load(void **state)
{
    draws d = {4};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const hn_liner_wall_input in = random_input(&d);
        const hn_liner_wall w = hn_liner_wall_design(&in);
        const double q = in.ovality_pct / 100, p = w.water_pressure_mpa, n = in.safety;
        const double dr2 = in.diameter_mm / w.t_e2_mm, dr3 = in.diameter_mm / w.t_e3_mm;
        const double dr4 = in.diameter_mm / w.t_e4_mm, c = w.ovality_factor;
        const int late = in.era == HN_LINER_SINCE_2007B;
        const double root = sqrt(32 * w.buoyancy * w.elastic_support * in.soil_modulus_mpa *
                                 (late ? c : 1) * in.modulus_long_mpa / 12 / (dr3 * dr3 * dr3));
        const double limit =
            in.constants == HN_LINER_US ? 0.093 * 0.45359237 * 9.80665 / 645.16 : 0.00064;

        assert_close(hn_buckling_pressure_mpa(&in, w.t_e1_mm), p, 1e-10);
        assert_close(1.5 * q * (1 + q) * dr2 * dr2 - 0.5 * (1 + q) * dr2,
                     in.strength_long_mpa / (p * n), 1e-10);
        assert_close((late ? 1 : c) * root / n, w.total_load_mpa, 1e-12);
        assert_close(in.modulus_short_mpa / (12 * dr4 * dr4 * dr4), limit, 1e-12);
    }
}

/* The US edition worked out in inches, feet, pounds and psi with the constants
 * as printed, then converted: the same wall to rounding. */
static void us_walls_in(const hn_liner_wall_input *in, double *t1, double *t3)
{
    const double psi = 0.45359237 * 9.80665 / 645.16, ft = 0.3048;     /* MPa, m */
    const double lbft3 = 0.45359237 * 9.80665 / (ft * ft * ft) / 1000; /* kN/m3 */
    const double dia = in->diameter_mm / 25.4, q = in->ovality_pct / 100, n = in->safety;
    const double el = in->modulus_long_mpa / psi, es = in->soil_modulus_mpa / psi;
    const double h = in->cover_m / ft, hw = in->groundwater_above_crown_m / ft;
    const double w = in->soil_weight_kn_per_m3 / lbft3, rw = 1 - 0.33 * hw / h;
    const double c = pow((1 - q) / ((1 + q) * (1 + q)), 3);
    const double b = 1 / (1 + 4 * exp(-0.065 * h));
    const double qt = 0.433 * hw + w * h * rw / 144 + in->live_load_mpa / psi;
    const double p = 62.4 / 144 * in->groundwater_above_invert_m / ft;
    const double dr1 =
        cbrt(2 * in->enhancement * el * c / (1 - in->poisson * in->poisson) / (p * n));

    *t1 = dia / (dr1 + 1);
    *t3 = dia * cbrt(12.0 / 32 * n * qt * n * qt /
                     (el * rw * b * es * (in->era == HN_LINER_SINCE_2007B ? c : c * c)));
}

/* The SI edition rounds the same constants: 0.15 % in the weight of water, 0.12 %
 * in the exponent of B' (at most 0.08 % in B'), 0.19 % in the least stiffness. A
 * wall goes with the 2/3 power of a load at most, which makes 0.13 %. */
static void us_and_si_give_one_wall(void **state)
{
    draws d = {5};
    double t1, t3;

    (void)state;
    for (int i = 0; i < CASES; i++) {
        hn_liner_wall_input in = random_input(&d);

        in.constants = HN_LINER_US;
        const hn_liner_wall us = hn_liner_wall_design(&in);
        us_walls_in(&in, &t1, &t3);
        assert_close(us.t_e1_mm, 25.4 * t1, 1e-12);
        assert_close(us.t_e3_mm, 25.4 * t3, 1e-12);
        in.constants = HN_LINER_SI;
        assert_close(hn_liner_wall_design(&in).required_mm, us.required_mm, 1.3e-3);
    }
}

static void a_wall_rounds_up_by_less_than_a_step(void **state)
{
    draws d = {6};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double t = draw(&d, 0, 60), least = draw(&d, 0, 10), step = draw_log(&d, 0.1, 5);
        const double made = hn_round_up_wall(t, least, step);

        assert_true(made >= t - 1e-6 && made >= least);
        assert_true(made == least || made < t + step);
        assert_true(hn_round_up_wall(made, least, step) == made);
        assert_true(hn_round_up_wall(t, least, 0) == fmax(t, least));
    }
}

static void factors_keep_their_bounds(void **state)
{
    draws d = {7};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        const double q = draw(&d, 0, 10), h = draw_log(&d, 0.01, 50), s = draw_log(&d, 0.1, 10);
        const double dia = draw(&d, 0.1, 3), more = h * draw(&d, 1.0, 2.0);
        const double si = hn_elastic_support(h, HN_LINER_SI);

        assert_true(hn_ovality_factor(q) <= 1 && hn_ovality_factor(q) > 0.4);
        assert_true(hn_ovality_factor(q) <= hn_ovality_factor(q * draw(&d, 0, 1)));
        assert_true(si >= 0.2 && si <= 1 && hn_elastic_support(more, HN_LINER_SI) >= si);
        assert_close(hn_elastic_support(h, HN_LINER_US), si, 1e-3);
        const double luscher = hn_elastic_support_luscher(h, dia);
        assert_close(hn_elastic_support_luscher(s * h, s * dia), luscher, 1e-13);
        assert_true(luscher > 0 && luscher < 2.0 / 3);
        assert_true(hn_elastic_support_luscher(more, dia) >= luscher * (1 - 1e-15));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_wall_moves_the_way_the_theory_says),
        cmocka_unit_test(walls_scale_with_the_diameter),
        cmocka_unit_test(the_governing_wall_is_the_greatest_that_counts),
        cmocka_unit_test(a_wall_put_back_bears_its_load),
        cmocka_unit_test(us_and_si_give_one_wall),
        cmocka_unit_test(a_wall_rounds_up_by_less_than_a_step),
        cmocka_unit_test(factors_keep_their_bounds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
