/* Points schemes: the arithmetic, and scores of rows from conditions. */
#include "test_util.h"

#include "consequence/scheme.h"
#include "risk/risk.h"

#include <string.h>

static hn_score_side side_of(hn_combine combine, double least, double most)
{
    return (hn_score_side){.combine = combine, .least = least, .most = most};
}

static void a_sum_is_held_between_its_limits_and_says_by_how_much(void **state)
{
    const hn_score_side side = side_of(HN_COMBINE_SUM, 1, 10);
    const double over[] = {9, 2}, under[] = {0.25}, within[] = {9, 0.5};
    double limited;

    (void)state;
    assert_close(hn_side_score(&side, over, 2, &limited), 10, 0);
    assert_close(limited, -1, 0);
    assert_close(hn_side_score(&side, under, 1, &limited), 1, 0);
    assert_close(limited, 0.75, 0);
    assert_close(hn_side_score(&side, within, 2, &limited), 9.5, 0);
    assert_close(limited, 0, 0);
    assert_true(isnan(hn_side_score(&side, (double[]){NAN, 3}, 2, NULL)));
}

static void no_factor_is_0_in_a_sum_and_1_in_a_product(void **state)
{
    const hn_score_side sum = side_of(HN_COMBINE_SUM, NAN, NAN);
    const hn_score_side product = side_of(HN_COMBINE_PRODUCT, NAN, NAN);

    (void)state;
    assert_close(hn_side_score(&sum, NULL, 0, NULL), 0, 0);
    assert_close(hn_side_score(&product, NULL, 0, NULL), 1, 0);
    assert_close(hn_side_score(&product, (double[]){1.3, 1.62, 1.0}, 3, NULL), 2.106, 1e-12);
}

static void a_score_on_a_limit_is_in_the_upper_class(void **state)
{
    static const double from[] = {2, 4, 6, 8};
    const hn_score_side side = {.class_from = from, .limits = 4};

    (void)state;
    assert_int_equal(hn_score_class_of(&side, -1), 1);
    assert_int_equal(hn_score_class_of(&side, 1.999), 1);
    assert_int_equal(hn_score_class_of(&side, 2), 2);
    assert_int_equal(hn_score_class_of(&side, 8), 5);
    assert_int_equal(hn_score_class_of(&side, NAN), 0);
}

/* ---- rows ---- */

static hn_table *two_rows(double width_1, double width_2)
{
    hn_table *t;

    assert_int_equal(hn_table_new(&t, NULL), HN_OK);
    assert_int_equal(hn_table_reserve(t, 2, NULL), HN_OK);
    t->rows = 2;
    assert_int_equal(hn_table_want(t, HN_COL_WIDTH_MM, NULL), HN_OK);
    HN_F64(t, WIDTH_MM)[0] = width_1;
    HN_F64(t, WIDTH_MM)[1] = width_2;
    return t;
}

/* Consequence: 10 when wide, 2 when not, 5 when unknown, x 0.5; likelihood: width / 100. */
static hn_score_class classes[] = {
    {"width", "w", "width_mm > 0", "width_mm / 100", "s", HN_LIKELIHOOD, 0, NAN, NAN},
    {"width", "unknown", "1", "3", "s", HN_LIKELIHOOD, 0, NAN, NAN},
    {"size", "wide", "width_mm >= 1000", "10", "s", HN_CONSEQUENCE, 1, NAN, 0.5},
    {"size", "narrow", "width_mm < 1000", "2", "s", HN_CONSEQUENCE, 1, NAN, NAN},
    {"size", "unknown", "1", "5", "s", HN_CONSEQUENCE, 1, NAN, NAN},
};

static hn_plan plan_with(hn_scheme scheme)
{
    hn_plan plan = {.risk_scheme = scheme};

    for (int s = 0; s < HN_SIDES; s++)
        plan.side[s] = side_of(HN_COMBINE_SUM, NAN, NAN);
    plan.config.scores = classes;
    plan.config.score_class_count = sizeof classes / sizeof *classes;
    plan.config.score_factors[0] = (hn_score_factor){"width", HN_LIKELIHOOD, NAN, 1};
    plan.config.score_factors[1] = (hn_score_factor){"size", HN_CONSEQUENCE, NAN, 0.5};
    plan.config.score_factor_count = 2;
    return plan;
}

static void run(hn_table *t, const hn_plan *plan)
{
    hn_scheme_parts parts;
    hn_error err = {0};

    if (hn_scheme_run(t, plan, 2, &parts, &err) != HN_OK)
        fail_msg("%s", err.message);
    hn_scheme_parts_clear(&parts);
}

static void a_row_scores_by_its_classes_and_unknown_has_a_range(void **state)
{
    hn_table *t = two_rows(1200, NAN);
    hn_plan plan = plan_with(HN_SCHEME_MULTIPLICATIVE);

    (void)state;
    run(t, &plan);
    assert_close(HN_F64(t, SCORE_LIKELIHOOD)[0], 12, 1e-12);
    assert_close(HN_F64(t, SCORE_CONSEQUENCE)[0], 5, 0);
    assert_close(HN_F64(t, SCORE)[0], 60, 1e-12);
    assert_close(HN_F64(t, SCORE_LOW)[0], 60, 1e-12);
    assert_close(HN_F64(t, SCORE_HIGH)[0], 60, 1e-12);
    assert_close(HN_F64(t, SCORE)[1], 7.5, 1e-12);   /* 3 x 0.5 x 5 */
    assert_close(HN_F64(t, SCORE_LOW)[1], 3, 1e-12); /* 3 x 0.5 x 2 */
    assert_close(HN_F64(t, SCORE_HIGH)[1], 15, 1e-12);
    assert_null(t->column[HN_COL_CLASS_LIKELIHOOD]);
    hn_table_free(t);
}

static void a_matrix_multiplies_classes_by_fixed_limits(void **state)
{
    static const double from[] = {4, 8};
    hn_table *t = two_rows(1200, NAN);
    hn_plan plan = plan_with(HN_SCHEME_MATRIX);

    (void)state;
    for (int s = 0; s < HN_SIDES; s++) {
        plan.side[s].class_from = from;
        plan.side[s].limits = 2;
    }
    run(t, &plan);
    assert_int_equal(HN_I32(t, CLASS_LIKELIHOOD)[0], 3);
    assert_int_equal(HN_I32(t, CLASS_CONSEQUENCE)[0], 2);
    assert_close(HN_F64(t, SCORE)[0], 6, 0);
    assert_close(HN_F64(t, SCORE)[1], 1, 0);
    assert_close(HN_F64(t, SCORE_HIGH)[1], 2, 0); /* 0.5 x 10 is class 2 */
    hn_table_free(t);
}

static void points_that_cannot_be_worked_out_leave_the_score_empty(void **state)
{
    hn_table *t = two_rows(1200, 300);
    hn_plan plan = plan_with(HN_SCHEME_ADDITIVE);
    hn_score_class spoilt[sizeof classes / sizeof *classes];

    (void)state;
    memcpy(spoilt, classes, sizeof classes);
    spoilt[0].points = "depth_m * 2"; /* not known here */
    plan.config.scores = spoilt;
    run(t, &plan);
    assert_true(isnan(HN_F64(t, SCORE)[0]));
    assert_true(isnan(HN_F64(t, SCORE_LOW)[0]));
    hn_table_free(t);
}

static void money_alone_makes_no_score(void **state)
{
    hn_table *t = two_rows(1200, 300);
    hn_plan plan = plan_with(HN_SCHEME_MONEY);

    (void)state;
    run(t, &plan);
    assert_null(t->column[HN_COL_SCORE]);
    assert_int_equal(hn_risk_rank_score(t, &plan, NULL), HN_OK);
    assert_null(t->column[HN_COL_RANK_SCORE]);
    hn_table_free(t);
}

static void equal_scores_rank_by_loss_and_the_priority_may_follow(void **state)
{
    static const int32_t by_risk[] = {3, 1, 2};
    static const double score[] = {5, 5, 7};
    hn_plan plan = plan_with(HN_SCHEME_ADDITIVE);
    hn_table *t;

    (void)state;
    assert_int_equal(hn_table_new(&t, NULL), HN_OK);
    assert_int_equal(hn_table_reserve(t, 3, NULL), HN_OK);
    t->rows = 3;
    assert_int_equal(hn_table_want(t, HN_COL_RANK_RISK, NULL), HN_OK);
    assert_int_equal(hn_table_want(t, HN_COL_PRIORITY, NULL), HN_OK);
    assert_int_equal(hn_table_want(t, HN_COL_SCORE, NULL), HN_OK);
    memcpy(HN_I32(t, RANK_RISK), by_risk, sizeof by_risk);
    memcpy(HN_I32(t, PRIORITY), by_risk, sizeof by_risk);
    memcpy(HN_F64(t, SCORE), score, sizeof score);
    assert_int_equal(hn_risk_rank_score(t, &plan, NULL), HN_OK);
    assert_int_equal(HN_I32(t, RANK_SCORE)[2], 1);
    assert_int_equal(HN_I32(t, RANK_SCORE)[1], 2);
    assert_int_equal(HN_I32(t, RANK_SCORE)[0], 3);
    assert_int_equal(HN_I32(t, PRIORITY)[1], 1);
    plan.priority = HN_PRIORITY_SCORE;
    assert_int_equal(hn_risk_rank_score(t, &plan, NULL), HN_OK);
    assert_int_equal(HN_I32(t, PRIORITY)[2], 1);
    hn_table_free(t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sum_is_held_between_its_limits_and_says_by_how_much),
        cmocka_unit_test(no_factor_is_0_in_a_sum_and_1_in_a_product),
        cmocka_unit_test(a_score_on_a_limit_is_in_the_upper_class),
        cmocka_unit_test(a_row_scores_by_its_classes_and_unknown_has_a_range),
        cmocka_unit_test(a_matrix_multiplies_classes_by_fixed_limits),
        cmocka_unit_test(points_that_cannot_be_worked_out_leave_the_score_empty),
        cmocka_unit_test(money_alone_makes_no_score),
        cmocka_unit_test(equal_scores_rank_by_loss_and_the_priority_may_follow),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
