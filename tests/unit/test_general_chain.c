/* The general chain against values of 40 digits (mpmath, Taylor series), closed forms,
 * and the progressive chain. */
#include "test_util.h"

#include "engineering/general_chain.h"
#include "engineering/progressive_chain.h"

static void agrees_with_values_of_forty_digits(void **state)
{
    hn_state_matrix q = {{0, .13, 0, .04}, {.22, 0, .34, .04}, {0, .13, 0, .31}, {0}}, p;
    static const double expected[3][4] = {
        {0.41026921342515884, 0.12504285547617733, 0.098923294481066763, 0.36576463661759707},
        {0.21161098619045394, 0.095589216715792897, 0.12157908732317127, 0.57122070977058189},
        {0.064009190546572611, 0.046486121623565487, 0.088793714321300886, 0.80071097350856102}};

    (void)state;
    hn_general_matrix(4, q, 7.25, p);
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 4; j++)
            assert_close(p[i][j], expected[i][j], 1e-13);
    assert_true(p[3][3] == 1.0 || fabs(p[3][3] - 1.0) < 1e-14);
}

static void small_chances_beside_fast_steps_keep_their_digits(void **state)
{
    hn_state_matrix q = {{0, 40, 0}, {2e-4, 0, 3}, {0, 1e-3, 0}}, p;

    (void)state;
    hn_general_matrix(3, q, 2.0, p);
    assert_close(p[0][0], 1.6118544122302623e-8, 1e-11);
    assert_close(p[1][0], 1.5034256208537112e-8, 1e-11);
    assert_close(p[2][0], 1.6616552210662474e-9, 1e-11);
    assert_close(p[2][1], 3.3239790721818684e-4, 1e-11);
}

static void without_healing_it_is_the_progressive_chain(void **state)
{
    static const double rate[4] = {0.045, 0.030, 0.025, 0.020};
    double expected[HN_GRADES][HN_GRADES];
    hn_state_matrix q = {{0}}, p;

    (void)state;
    for (int k = 0; k < 4; k++)
        q[k][k + 1] = rate[k];
    for (double t = 0.0; t < 300.0; t += 13.7) {
        hn_chain_matrix(rate, t, expected);
        hn_general_matrix(5, q, t, p);
        for (int i = 0; i < 5; i++)
            for (int j = 0; j < 5; j++)
                assert_true(fabs(p[i][j] - expected[i][j]) < 1e-13);
    }
}

static void what_is_out_of_range_is_unknown(void **state)
{
    hn_state_matrix q = {{0, -0.1}, {0.1, 0}}, p;

    (void)state;
    hn_general_matrix(2, q, 1.0, p);
    assert_true(isnan(p[0][0]));
    q[0][1] = 0.1;
    hn_general_matrix(2, q, -1.0, p);
    assert_true(isnan(p[1][1]));
    hn_general_matrix(2, q, 1e9, p);
    assert_true(isnan(p[0][1]));
    hn_general_matrix(9, q, 1.0, p);
    assert_true(isnan(p[0][0]));
}

/* Two states and no way back, all entries timed: rate = entries / years watched. Source:
 * the exponential distribution, censored on the right. */
static void exact_entries_give_the_count_over_the_time_watched(void **state)
{
    hn_look look[] = {{1, 0, 1, 0, 0}, {1, 4, 2, 1, 0},  {2, 0, 1, 0, 0}, {2, 7, 2, 1, 0},
                      {3, 0, 1, 0, 0}, {3, 10, 1, 0, 0}, {4, 2, 1, 0, 0}, {4, 6, 1, 0, 0}};
    hn_general_data data = {.look = look, .looks = 8};
    hn_general_model m = {.states = 2, .rate = {{0, 0.5}, {0}}};
    double log_likelihood;
    int has_converged;

    (void)state;
    assert_int_equal(hn_general_pack(&data, NULL), HN_OK);
    assert_int_equal(data.spans, 3);
    assert_int_equal(hn_general_fit(&data, &m, &log_likelihood, &has_converged, NULL), HN_OK);
    assert_true(has_converged);
    assert_close(m.rate[0][1], 2.0 / 25.0, 1e-5);
    assert_close(log_likelihood, 2.0 * log(0.08) - 25.0 * 0.08, 1e-9);
    hn_general_clear(&data);
}

/* Never moving, the misreading is the share of wrong looks. */
static void misreading_is_the_share_of_wrong_looks(void **state)
{
    enum { LOOKS = 21 };
    hn_look look[LOOKS];
    hn_general_data data = {.look = look, .looks = LOOKS};
    hn_general_model m = {.states = 2, .rate = {{0}}, .read = {{0.5, 0.5}, {0, 1}}, .has_read = 1};
    double log_likelihood;
    int has_converged;

    (void)state;
    for (int i = 0; i < LOOKS; i++)
        look[i] = (hn_look){1, i, i % 4 == 3 ? 2u : 1u, 0, 0}; /* 5 of 20 are wrong */
    assert_int_equal(hn_general_pack(&data, NULL), HN_OK);
    assert_int_equal(hn_general_fit(&data, &m, &log_likelihood, &has_converged, NULL), HN_OK);
    assert_close(m.read[0][1], 0.25, 1e-5);
    assert_close(m.read[0][0] + m.read[0][1], 1.0, 1e-15);
    assert_close(log_likelihood, 5 * log(0.25) + 15 * log(0.75), 1e-9);
    hn_general_clear(&data);
}

static void looks_that_nothing_explains_are_refused(void **state)
{
    hn_look look[] = {{1, 0, 2, 0, 0}, {1, 4, 1, 0, 0}}; /* gets better */
    hn_general_data data = {.look = look, .looks = 2};
    hn_general_model m = {.states = 2, .rate = {{0, 0.5}, {0}}};
    double log_likelihood;
    int has_converged;
    hn_error err = {0};

    (void)state;
    assert_int_equal(hn_general_pack(&data, NULL), HN_OK);
    assert_int_equal(hn_general_fit(&data, &m, &log_likelihood, &has_converged, &err),
                     HN_ERR_INPUT);
    assert_true(err.hint[0] != '\0');
    hn_general_clear(&data);
    look[1].years = -1;
    assert_int_equal(hn_general_pack(&data, &err), HN_ERR_INPUT);
    look[1] = (hn_look){1, 4, 0, 0, 0};
    assert_int_equal(hn_general_pack(&data, &err), HN_ERR_INPUT);
    hn_general_clear(&data);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_values_of_forty_digits),
        cmocka_unit_test(small_chances_beside_fast_steps_keep_their_digits),
        cmocka_unit_test(without_healing_it_is_the_progressive_chain),
        cmocka_unit_test(what_is_out_of_range_is_unknown),
        cmocka_unit_test(exact_entries_give_the_count_over_the_time_watched),
        cmocka_unit_test(misreading_is_the_share_of_wrong_looks),
        cmocka_unit_test(looks_that_nothing_explains_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
