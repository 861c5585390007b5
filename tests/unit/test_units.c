/* Factors against the defining values of the units. */
#include "test_util.h"

#include "base/units.h"

#include <string.h>

static void inch_and_foot_are_the_international_ones(void **state)
{
    (void)state;
    assert_close(hn_unit_factor(HN_DIM_SMALL_LENGTH, "in"), 25.4, 1e-15);
    assert_close(hn_unit_factor(HN_DIM_SMALL_LENGTH, "ft"), 304.8, 1e-15);
    assert_close(hn_unit_factor(HN_DIM_LENGTH, "ft"), 0.3048, 1e-15);
}

/* 1200/3937 m; the two feet differ by 2 parts in a million. */
static void us_survey_foot_is_its_own_unit(void **state)
{
    (void)state;
    assert_close(hn_unit_factor(HN_DIM_LENGTH, "us_ft"), 0.30480060960121924, 1e-15);
    assert_close(hn_unit_factor(HN_DIM_LENGTH, "us_ft") / hn_unit_factor(HN_DIM_LENGTH, "ft") - 1,
                 2.000004e-6, 1e-6);
}

/* 231 in3 = 3.785411784 l exactly; a cubic foot is 0.028316846592 m3 exactly. */
static void flows_follow_the_gallon_and_the_cubic_foot(void **state)
{
    (void)state;
    assert_close(hn_unit_factor(HN_DIM_FLOW, "us_gal/min"), 3.785411784e-3 / 60, 1e-14);
    assert_close(hn_unit_factor(HN_DIM_FLOW, "us_mgd"), 3785.411784 / 86400, 1e-14);
    assert_close(hn_unit_factor(HN_DIM_FLOW, "ft3/s"), 0.028316846592, 1e-14);
    assert_close(hn_unit_factor(HN_DIM_FLOW, "l/s"), 0.001, 1e-15);
}

static void a_percent_slope_is_a_hundredth(void **state)
{
    (void)state;
    assert_close(hn_unit_factor(HN_DIM_SLOPE, "%"), 0.01, 1e-15);
    assert_close(hn_unit_factor(HN_DIM_SLOPE, "per_mille"), 0.001, 1e-15);
    assert_close(hn_unit_factor(HN_DIM_PERCENT, "share"), 100, 1e-15);
    assert_close(hn_unit_factor(HN_DIM_ANGLE, "rad"), 57.295779513082320877, 1e-15);
}

static void a_unit_of_another_dimension_has_no_factor(void **state)
{
    (void)state;
    assert_true(hn_unit_factor(HN_DIM_LENGTH, "l/s") == 0);
    assert_true(hn_unit_factor(HN_DIM_SMALL_LENGTH, "furlong") == 0);
    assert_true(hn_unit_factor(HN_DIM_NONE, "mm") == 0);
    assert_true(hn_unit_factor(HN_DIM_LENGTH, NULL) == 0);
    assert_true(hn_unit_factor((hn_dimension)99, "m") == 0);
}

/* What a message offers must be accepted. */
static void every_named_unit_has_a_factor(void **state)
{
    char names[256], *rest = names, *name;

    (void)state;
    for (int d = HN_DIM_SMALL_LENGTH; d <= HN_DIM_COUNT; d++) {
        rest = strcpy(names, hn_unit_names((hn_dimension)d));
        while ((name = strtok_r(rest, ", ", &rest)) != NULL)
            if (!(hn_unit_factor((hn_dimension)d, name) > 0))
                fail_msg("%s has no factor", name);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(inch_and_foot_are_the_international_ones),
        cmocka_unit_test(us_survey_foot_is_its_own_unit),
        cmocka_unit_test(flows_follow_the_gallon_and_the_cubic_foot),
        cmocka_unit_test(a_percent_slope_is_a_hundredth),
        cmocka_unit_test(a_unit_of_another_dimension_has_no_factor),
        cmocka_unit_test(every_named_unit_has_a_factor),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
