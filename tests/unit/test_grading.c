/* Roll-ups of defects. Figures: published rows are in golden/grading_checks.csv; here
 * are the edges, worked out by hand. */
#include "test_util.h"

#include "engineering/grading.h"

#include <string.h>

static void a_point_defect_has_the_length_of_its_rule(void **state)
{
    (void)state;
    assert_close(hn_defect_length(10, NAN, 0.3, 0), 0.3, 1e-12);
    assert_close(hn_defect_length(10, 14, 0.3, 0), 4.0, 1e-12);
    assert_close(hn_defect_length(14, 10, 0.3, 0), 4.0, 1e-12);
    assert_close(hn_defect_length(10, NAN, 0.3, 2.5), 2.5, 1e-12);
    assert_true(isnan(hn_defect_length(NAN, 4, 0.3, 2.5)));
}

static void sums_means_and_lengths_follow_their_definitions(void **state)
{
    const hn_defect d[] = {{1, NAN, 10, 0.5}, {2, 6, 30, 4.0}};

    (void)state;
    assert_close(hn_defects_total(d, 2), 40, 1e-12);
    assert_close(hn_defects_mean(d, 2), 20, 1e-12);
    assert_close(hn_defects_per_metre(d, 2, 50), 0.8, 1e-12);
    assert_close(hn_defects_length_sum(d, 2), 125, 1e-12);
    assert_close(hn_defects_length_mean(d, 2), 125.0 / 4.5, 1e-12);
    assert_true(isnan(hn_defects_mean(d, 0)));
    assert_true(isnan(hn_defects_per_metre(d, 2, 0)));
    assert_close(hn_defects_total(d, 0), 0, 0);
}

static void the_peak_is_the_worst_metre_wherever_it_begins(void **state)
{
    const hn_defect d[] = {{0.8, NAN, 10, 0}, {1.2, NAN, 20, 0}, {1.9, NAN, 5, 0}, {4, 9, 12, 0}};
    const hn_defect on[] = {{4, 9, 12, 0}, {8.5, NAN, 30, 0}};
    const hn_defect lost[] = {{NAN, NAN, 50, 0}, {1, NAN, 20, 0}};
    hn_defect_edge edges[8];

    (void)state;
    assert_close(hn_defects_peak(d, 4, 1.0, edges), 30, 1e-12);  /* 0.8 and 1.2 */
    assert_close(hn_defects_peak(on, 2, 1.0, edges), 42, 1e-12); /* both meet 8.5 to 9.5 */
    assert_close(hn_defects_peak(lost, 2, 1.0, edges), 50, 1e-12);
    assert_close(hn_defects_peak(d, 0, 1.0, edges), 0, 0);
}

static void the_worst_is_the_end_that_the_scheme_names(void **state)
{
    const hn_defect d[] = {{1, NAN, 2, 0}, {2, NAN, 4, 0}};

    (void)state;
    assert_close(hn_defects_worst(d, 2, 1, 5), 4, 0);
    assert_close(hn_defects_worst(d, 2, 5, 0), 2, 0);
    assert_true(isnan(hn_defects_worst(d, 0, 1, 5)));
}

static void grades_come_from_bands_or_lie_on_the_scale(void **state)
{
    const double least[4] = {10, 40, 80, 165};

    (void)state;
    assert_close(hn_grade_of_bands(9.99, least), 1, 0);
    assert_close(hn_grade_of_bands(10, least), 2, 0);
    assert_close(hn_grade_of_bands(165, least), 5, 0);
    assert_true(isnan(hn_grade_of_bands(NAN, least)));
    assert_close(hn_grade_on_scale(5, 5, 0), 1, 1e-12);
    assert_close(hn_grade_on_scale(0, 5, 0), 5, 1e-12);
    assert_close(hn_grade_on_scale(3, 1, 5), 3, 1e-12);
    assert_true(isnan(hn_grade_on_scale(6, 1, 5)));
}

static void the_quick_rating_is_written_as_it_is_read(void **state)
{
    static const char *const texts[] = {"5236", "4B27", "3A00", "0000", "51Z1"};
    static const int counts[][6] = {{0, 3, 0, 6, 0, 2}, {0, 0, 7, 0, 17, 0}, {0, 0, 0, 12, 0, 0}};
    char out[HN_QUICK_RATING_TEXT];
    hn_quick_rating q;

    (void)state;
    for (int i = 0; i < 3; i++) {
        hn_quick_rating_write(counts[i], out);
        assert_string_equal(out, texts[i]);
        assert_true(hn_quick_rating_read(texts[i], &q));
    }
    assert_true(hn_quick_rating_read("0000", &q));
    assert_int_equal(hn_quick_rating_score(&q), 0);
    assert_true(hn_quick_rating_read("5236", &q));
    assert_int_equal(hn_quick_rating_score(&q), 28);
}

static void what_is_no_quick_rating_is_refused(void **state)
{
    static const char *const texts[] = {"",     "523",  "52366", "6231", "5a36",
                                        "3252", "5056", "0052",  "55 1"};
    hn_quick_rating q;

    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        if (hn_quick_rating_read(texts[i], &q))
            fail_msg("\"%s\" is taken for a quick rating", texts[i]);
}

static void density_of_damage_needs_damage(void **state)
{
    const hn_defect sound = {1, NAN, 5, 2.5}, one = {1, NAN, 0, 2.5};

    (void)state;
    assert_true(isnan(hn_damage_density(&sound, 1, 5, 0, 45)));
    assert_true(isnan(hn_damage_density(&one, 0, 5, 0, 45)));
    assert_true(isnan(hn_damage_density(&one, 1, 5, 0, 0)));
    assert_close(hn_damage_density(&one, 1, 5, 0, 50), 0.05, 1e-12);
    assert_close(hn_damage_surcharge(0.05), 2.5, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_point_defect_has_the_length_of_its_rule),
        cmocka_unit_test(sums_means_and_lengths_follow_their_definitions),
        cmocka_unit_test(the_peak_is_the_worst_metre_wherever_it_begins),
        cmocka_unit_test(the_worst_is_the_end_that_the_scheme_names),
        cmocka_unit_test(grades_come_from_bands_or_lie_on_the_scale),
        cmocka_unit_test(the_quick_rating_is_written_as_it_is_read),
        cmocka_unit_test(what_is_no_quick_rating_is_refused),
        cmocka_unit_test(density_of_damage_needs_damage),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
