/* Laws of the five-grade chain at random rates and times: chances, nothing gets
 * better, time adds up, and what cannot be computed is not made up. */
#include "property.h"

#include "engineering/progressive_chain.h"

#include <string.h>

enum { CASES = 1500 };

static void random_rates(draws *d, double rate[HN_GRADES - 1])
{
    for (int k = 0; k < HN_GRADES - 1; k++)
        rate[k] = draw_below(d, 8) ? draw_log(d, 1e-4, 5) : 0;
}

/* 1e-9: up to 12 squarings of sums near 1, and small rates beside great ones. */
static void rows_are_chances_and_time_adds_up(void **state)
{
    draws d = {1};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        double rate[HN_GRADES - 1], one[HN_GRADES][HN_GRADES], two[HN_GRADES][HN_GRADES];
        double both[HN_GRADES][HN_GRADES], moved[HN_GRADES];
        const double a = draw_log(&d, 0.01, 200), b = draw_log(&d, 0.01, 200);

        random_rates(&d, rate);
        hn_chain_matrix(rate, a, one);
        hn_chain_matrix(rate, b, two);
        hn_chain_matrix(rate, a + b, both);
        for (int g = 0; g < HN_GRADES; g++) {
            double sum = 0;

            hn_chain_move(one[g], two, moved);
            for (int h = 0; h < HN_GRADES; h++) {
                sum += one[g][h];
                assert_true(one[g][h] >= 0 && one[g][h] <= 1 + 1e-12);
                assert_true(h >= g || one[g][h] == 0);
                assert_true(fabs(moved[h] - both[g][h]) < 1e-9);
            }
            assert_true(fabs(sum - 1) < 1e-9);
            assert_close(one[g][g], g < HN_GRADES - 1 ? exp(-rate[g] * a) : 1, 1e-9);
        }
    }
}

static void grades_only_get_worse_and_faster_with_rates(void **state)
{
    draws d = {2};

    (void)state;
    for (int i = 0; i < CASES; i++) {
        double rate[HN_GRADES - 1], p[HN_GRADES][HN_GRADES], share[HN_GRADES], later[HN_GRADES];
        double faster[HN_GRADES];
        const double grade = draw(&d, 1, 5), years = draw(&d, 0, 100);

        random_rates(&d, rate);
        hn_chain_start(grade, share);
        assert_close(hn_chain_mean_grade(share), grade, 1e-14);
        hn_chain_matrix(rate, years, p);
        hn_chain_move(share, p, later);
        assert_true(hn_chain_mean_grade(later) >= grade - 1e-12);
        rate[draw_below(&d, HN_GRADES - 1)] *= 1.5;
        hn_chain_matrix(rate, years, p);
        hn_chain_move(share, p, faster);
        assert_true(hn_chain_mean_grade(faster) >= hn_chain_mean_grade(later) - 1e-9);
    }
}

static void what_cannot_be_computed_is_nothing(void **state)
{
    static const double bad[] = {NAN, INFINITY, -INFINITY, -0.1, 1e300, 1e12};
    const double sound[HN_GRADES] = {0.1, 0.1, 0.05, 0.02, 10};
    double p[HN_GRADES][HN_GRADES], share[HN_GRADES];

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        for (int k = 0; k < HN_GRADES; k++) {
            double x[HN_GRADES];

            memcpy(x, sound, sizeof x);
            x[k] = bad[i];
            hn_chain_matrix(x, x[HN_GRADES - 1], p);
            for (int g = 0; g < HN_GRADES; g++)
                for (int h = 0; h < HN_GRADES; h++)
                    assert_law(isnan(p[g][h]), "argument %d = %g: from %d to %d is %g", k, bad[i],
                               g + 1, h + 1, p[g][h]);
        }
        hn_chain_start(bad[i], share);
        for (int g = 0; g < HN_GRADES; g++)
            assert_true(isnan(share[g]));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_are_chances_and_time_adds_up),
        cmocka_unit_test(grades_only_get_worse_and_faster_with_rates),
        cmocka_unit_test(what_cannot_be_computed_is_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
