/* Spearman's rank correlation against published values, ties among them. */
#include "test_util.h"

#include "base/alloc.h"
#include "base/radix.h"
#include "plan/plan.h"
#include "risk/rank_correlation.h"
#include "run/sensitivity.h"
#include "table/segment_table.h"

#include <math.h>

enum { MOST = 16 };

static void ranks_of(const double *values, size_t count, double *out)
{
    uint64_t key[MOST];

    for (size_t i = 0; i < count; i++)
        key[i] = hn_key_of_double(values[i]);
    assert_int_equal(hn_mean_ranks(key, NULL, count, out, NULL), HN_OK);
}

static double rho(const double *a, const double *b, size_t count)
{
    double ra[MOST], rb[MOST];

    ranks_of(a, count, ra);
    ranks_of(b, count, rb);
    return hn_rank_correlation(ra, rb, count);
}

/* Source: SciPy reference, scipy.stats.spearmanr, first example; value of SciPy 1.10.1. */
static void test_the_example_of_scipy_with_a_tie_comes_out(void **state)
{
    static const double a[] = {1, 2, 3, 4, 5}, b[] = {5, 6, 7, 8, 7};

    (void)state;
    assert_close(rho(a, b, 5), 0.8207826816681233, 1e-15);
}

/* Source: exact: 1 - 6 x 194 / (10 x 99) = -29/165; the ten pairs of intelligence and
 * hours of television of the encyclopaedia article on Spearman's coefficient, from
 * memory. */
static void test_ten_pairs_without_ties_give_the_published_fraction(void **state)
{
    static const double a[] = {106, 86, 100, 101, 99, 103, 97, 113, 112, 110};
    static const double b[] = {7, 0, 27, 50, 28, 29, 20, 12, 6, 17};

    (void)state;
    assert_close(rho(a, b, 10), -29.0 / 165.0, 1e-15);
}

/* By hand: ranks 1.5 1.5 3 4.5 4.5 6 and 2 2 2 4 5.5 5.5; products of the differences
 * from 3.5 sum to 14.25, their squares to 16.5 and 15. SciPy 1.10.1 says
 * 0.9057894597833127. */
static void test_ties_on_both_sides_share_their_mean_rank(void **state)
{
    static const double a[] = {1, 1, 2, 3, 3, 9}, b[] = {4, 4, 4, 5, 6, 6};
    double rank[MOST];

    (void)state;
    ranks_of(a, 6, rank);
    assert_close(rank[0], 1.5, 1e-15);
    assert_close(rank[1], 1.5, 1e-15);
    assert_close(rank[4], 4.5, 1e-15);
    assert_close(rank[5], 6.0, 1e-15);
    ranks_of(b, 6, rank);
    assert_close(rank[2], 2.0, 1e-15);
    assert_close(rank[5], 5.5, 1e-15);
    assert_close(rho(a, b, 6), 0.9057894597833127, 1e-14);
    assert_close(rho(a, b, 6), 14.25 / sqrt(16.5 * 15.0), 1e-15);
}

static void test_a_second_key_decides_among_equals(void **state)
{
    static const uint64_t lead[] = {7, 7, 7, 1}, then[] = {3, 2, 3, 9};
    double rank[4];

    (void)state;
    assert_int_equal(hn_mean_ranks(lead, then, 4, rank, NULL), HN_OK);
    assert_close(rank[3], 1.0, 1e-15);
    assert_close(rank[1], 2.0, 1e-15);
    assert_close(rank[0], 3.5, 1e-15);
    assert_close(rank[2], 3.5, 1e-15);
}

static void test_no_order_has_no_correlation(void **state)
{
    static const double a[] = {1, 2, 3}, b[] = {5, 5, 5};

    (void)state;
    assert_close(rho(a, a, 3), 1.0, 1e-15);
    assert_true(isnan(rho(a, b, 3)));
    assert_true(isnan(rho(a, b, 1)));
}

static void test_no_memory_is_said(void **state)
{
    static const uint64_t lead[] = {7, 7};
    double rank[2];

    (void)state;
    hn_alloc_fail_after(1);
    assert_int_equal(hn_mean_ranks(lead, NULL, 2, rank, NULL), HN_ERR_MEMORY);
    hn_alloc_fail_after(0);
}

static void test_auto_varies_up_to_twenty_thousand_segments(void **state)
{
    static hn_state run;
    hn_table table = {.rows = 20000};
    hn_plan plan = {.vary_count = 1, .sensitivity = HN_SENSITIVITY_AUTO};

    (void)state;
    run.table = &table;
    run.plan = &plan;
    run.wants_sensitivity = 1;
    assert_true(hn_sensitivity_is_on(&run));
    table.rows = 20001;
    assert_false(hn_sensitivity_is_on(&run));
    plan.sensitivity = HN_SENSITIVITY_YES;
    assert_true(hn_sensitivity_is_on(&run));
    plan.sensitivity = HN_SENSITIVITY_NO;
    assert_false(hn_sensitivity_is_on(&run));
    run.wants_sensitivity = 0; /* explain, check, fit */
    plan.sensitivity = HN_SENSITIVITY_YES;
    assert_false(hn_sensitivity_is_on(&run));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_example_of_scipy_with_a_tie_comes_out),
        cmocka_unit_test(test_ten_pairs_without_ties_give_the_published_fraction),
        cmocka_unit_test(test_ties_on_both_sides_share_their_mean_rank),
        cmocka_unit_test(test_a_second_key_decides_among_equals),
        cmocka_unit_test(test_no_order_has_no_correlation),
        cmocka_unit_test(test_no_memory_is_said),
        cmocka_unit_test(test_auto_varies_up_to_twenty_thousand_segments),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
