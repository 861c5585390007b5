/* Trench takeoff against volumes worked out by hand. */
#include "engineering/trench.h"

#include "test_util.h"

static hn_trench_input trench(void)
{
    return (hn_trench_input){
        .length_m = 100,
        .inside_diameter_m = 0.3,
        .outside_diameter_m = 0.36,
        .cover_m = 2.5,
        .bedding_m = 0.15,
        .surround_m = 0.3,
        .width_m = NAN,
        .slope = 0,
        .shored_from_m = HN_TRENCH_SHORED_FROM_M,
        .pavement_extra_m = 0.15,
        .pavement_m = 0.25,
        .reuse_share = 0.5,
        .bulking = 1.25,
        .water_depth_m = 2,
    };
}

static void an_upright_trench_matches_the_hand_calculation(void **state)
{
    (void)state;
    const hn_trench_input in = trench();
    const hn_trench out = hn_trench_takeoff(&in);
    const double pipe = 3.14159265358979323846 / 4 * 0.36 * 0.36 * 100;
    assert_close(out.depth_m, 3.01, 1e-12);
    assert_close(out.width_m, 0.90, 1e-12); /* deeper than 1.75 m; by pipe 0.86 */
    assert_close(out.dug_m3, 100 * 0.9 * 2.76, 1e-12);
    assert_close(out.pipe_m3, pipe, 1e-12);
    assert_close(out.bedding_m3, 100 * 0.9 * 0.81 - pipe, 1e-12);
    assert_close(out.backfill_m3, 100 * 0.9 * 1.95, 1e-12);
    assert_close(out.imported_m3, 175.5 - 124.2, 1e-12);
    assert_close(out.spoil_m3, 124.2 * 1.25, 1e-12);
    assert_close(out.shoring_m2, 602, 1e-12);
    assert_close(out.pavement_m2, 120, 1e-12);
    assert_close(out.drained_m, 100, 0);
}

static void what_is_dug_is_filled_again(void **state)
{
    (void)state;
    hn_trench_input in = trench();
    for (in.slope = 0; in.slope < 1.6; in.slope += 0.25) {
        const hn_trench out = hn_trench_takeoff(&in);
        assert_close(out.pipe_m3 + out.bedding_m3 + out.backfill_m3, out.dug_m3, 1e-12);
    }
}

static void sloped_sides_need_no_shoring(void **state)
{
    (void)state;
    hn_trench_input in = trench();
    in.slope = 1;
    const hn_trench out = hn_trench_takeoff(&in);
    assert_close(out.top_width_m, 0.9 + 2 * 3.01, 1e-12);
    assert_close(out.dug_m3, 100 * 2.76 * (0.9 + 2.76), 1e-12);
    assert_close(out.shoring_m2, 0, 0);
    in = trench();
    in.cover_m = 0.9;
    assert_close(hn_trench_takeoff(&in).shoring_m2, 0, 0);
}

static void reuse_never_exceeds_the_backfill(void **state)
{
    (void)state;
    hn_trench_input in = trench();
    in.reuse_share = 1;
    const hn_trench out = hn_trench_takeoff(&in);
    assert_close(out.imported_m3, 0, 0);
    assert_close(out.spoil_m3, (out.pipe_m3 + out.bedding_m3) * 1.25, 1e-12);
}

static void least_widths_follow_both_tables(void **state)
{
    (void)state;
    assert_close(hn_trench_least_width_m(0.2, 0.22, 0.9), 0.62, 1e-12);
    assert_close(hn_trench_least_width_m(0.2, 0.22, 1.5), 0.80, 1e-12);
    assert_close(hn_trench_least_width_m(0.2, 0.22, 5), 1.00, 1e-12);
    assert_close(hn_trench_least_width_m(0.5, 0.6, 3), 1.30, 1e-12);
    assert_close(hn_trench_least_width_m(1.2, 1.5, 3), 2.35, 1e-12);
    assert_close(hn_trench_least_width_m(1.4, 1.7, 3), 2.70, 1e-12);
    assert_true(isnan(hn_trench_least_width_m(0.5, 0.4, 3)));
}

static void missing_and_impossible_inputs_give_nothing(void **state)
{
    (void)state;
    hn_trench_input in = trench();
    in.cover_m = NAN;
    assert_true(isnan(hn_trench_takeoff(&in).dug_m3));
    assert_true(isnan(hn_trench_takeoff(&in).spoil_m3));
    in = trench();
    in.cover_m = 0.4; /* no room for pavement and surround */
    assert_true(isnan(hn_trench_takeoff(&in).dug_m3));
    in = trench();
    in.width_m = 0.3; /* narrower than the pipe */
    assert_true(isnan(hn_trench_takeoff(&in).dug_m3));
    in = trench();
    in.water_depth_m = NAN; /* only the drained length hangs on it */
    const hn_trench out = hn_trench_takeoff(&in);
    assert_true(isnan(out.drained_m));
    assert_true(out.dug_m3 > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_upright_trench_matches_the_hand_calculation),
        cmocka_unit_test(what_is_dug_is_filled_again),
        cmocka_unit_test(sloped_sides_need_no_shoring),
        cmocka_unit_test(reuse_never_exceeds_the_backfill),
        cmocka_unit_test(least_widths_follow_both_tables),
        cmocka_unit_test(missing_and_impossible_inputs_give_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
