/* Against the closed form of a progressive chain with distinct rates:
 *   P_1m(t) = prod_{j<m} l_j  sum_{i<=m} exp(-l_i t) / prod_{j<=m, j!=i} (l_j - l_i)
 * Source: H. Bateman, Proc. Cambridge Phil. Soc. 15 (1910) 423-427. */
#include "test_util.h"

#include "engineering/progressive_chain.h"

static const double rates[4] = {0.045, 0.030, 0.025, 0.020};

static double closed_form(int m, double t)
{
    double product = 1.0, sum = 0.0, l[5] = {rates[0], rates[1], rates[2], rates[3], 0.0};

    for (int j = 0; j < m; j++)
        product *= l[j];
    for (int i = 0; i <= m; i++) {
        double below = 1.0;

        for (int j = 0; j <= m; j++)
            below *= j == i ? 1.0 : l[j] - l[i];
        sum += exp(-l[i] * t) / below;
    }
    return product * sum;
}

static void agrees_with_the_closed_form(void **state)
{
    static const double years[] = {0.5, 1, 7, 25, 60, 150};
    double p[HN_GRADES][HN_GRADES];

    (void)state;
    for (size_t k = 0; k < sizeof years / sizeof years[0]; k++) {
        hn_chain_matrix(rates, years[k], p);
        for (int m = 0; m < HN_GRADES; m++)
            assert_true(fabs(p[0][m] - closed_form(m, years[k])) < 1e-11);
    }
}

static void rows_sum_to_one_and_nothing_improves(void **state)
{
    double p[HN_GRADES][HN_GRADES];

    (void)state;
    hn_chain_matrix(rates, 40.0, p);
    for (int i = 0; i < HN_GRADES; i++) {
        double sum = 0.0;

        for (int j = 0; j < HN_GRADES; j++) {
            sum += p[i][j];
            if (j < i)
                assert_true(p[i][j] == 0.0);
        }
        assert_close(sum, 1.0, 1e-12);
    }
}

static void two_steps_are_one_long_step(void **state)
{
    double a[HN_GRADES][HN_GRADES], b[HN_GRADES][HN_GRADES], whole[HN_GRADES][HN_GRADES];
    double start[HN_GRADES] = {0.5, 0.3, 0.2, 0, 0}, moved[HN_GRADES], direct[HN_GRADES];

    (void)state;
    hn_chain_matrix(rates, 13.0, a);
    hn_chain_matrix(rates, 29.0, b);
    hn_chain_matrix(rates, 42.0, whole);
    hn_chain_move(start, a, moved);
    hn_chain_move(moved, b, moved);
    hn_chain_move(start, whole, direct);
    for (int g = 0; g < HN_GRADES; g++)
        assert_true(fabs(moved[g] - direct[g]) < 1e-12);
}

static void equal_rates_and_long_times_are_no_trouble(void **state)
{
    static const double equal[4] = {0.05, 0.05, 0.05, 0.05};
    double p[HN_GRADES][HN_GRADES];

    (void)state;
    /* Erlang: chance of exactly m steps of rate 0.05 in 20 years is e^-1 / m! */
    hn_chain_matrix(equal, 20.0, p);
    assert_close(p[0][0], exp(-1.0), 1e-12);
    assert_close(p[0][2], exp(-1.0) / 2.0, 1e-12);
    hn_chain_matrix(equal, 1e6, p);
    assert_close(p[0][4], 1.0, 1e-9);
}

/* Stay probabilities 0.955, 0.972, 0.979, 0.988 a year. Source: Jimenez-Roa,
 * doctoral thesis, University of Twente, Fig. 5.1 p. 114, chain Single: after
 * one step 0.955 stay in grade 1; rates -ln(stay). */
static void one_year_reproduces_the_published_stay_probability(void **state)
{
    double breda[4] = {-log(0.955), -log(0.972), -log(0.979), -log(0.988)};
    double p[HN_GRADES][HN_GRADES];

    (void)state;
    hn_chain_matrix(breda, 1.0, p);
    assert_close(p[0][0], 0.955, 1e-12);
    assert_close(p[3][3], 0.988, 1e-12);
}

static void a_grade_between_two_is_split(void **state)
{
    double share[HN_GRADES];

    (void)state;
    hn_chain_start(2.25, share);
    assert_close(share[1], 0.75, 1e-12);
    assert_close(share[2], 0.25, 1e-12);
    assert_close(hn_chain_mean_grade(share), 2.25, 1e-12);
    hn_chain_start(5.0, share);
    assert_close(share[4], 1.0, 1e-12);
}

static void unknown_stays_unknown(void **state)
{
    double p[HN_GRADES][HN_GRADES], share[HN_GRADES];
    static const double negative[4] = {-0.1, 0, 0, 0};

    (void)state;
    hn_chain_matrix(rates, NAN, p);
    assert_true(isnan(p[0][0]));
    hn_chain_matrix(negative, 1.0, p);
    assert_true(isnan(p[0][0]));
    hn_chain_start(NAN, share);
    assert_true(isnan(share[0]));
    hn_chain_start(5.5, share);
    assert_true(isnan(share[0]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_the_closed_form),
        cmocka_unit_test(rows_sum_to_one_and_nothing_improves),
        cmocka_unit_test(two_steps_are_one_long_step),
        cmocka_unit_test(equal_rates_and_long_times_are_no_trouble),
        cmocka_unit_test(one_year_reproduces_the_published_stay_probability),
        cmocka_unit_test(a_grade_between_two_is_split),
        cmocka_unit_test(unknown_stays_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
