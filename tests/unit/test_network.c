#include "network_fixture.h"

#define COUNT(a) (sizeof(a) / sizeof(a)[0])

static double upstream(const built *b, const char *id)
{
    return HN_F64(b->table, UPSTREAM_LENGTH_M)[row_of(b, id)];
}

static void upstream_length_adds_up_along_a_tree(void **state)
{
    static const pipe_row pipes[] = {{"a", "1", "3", 0, 10, 0, 0},
                                     {"b", "2", "3", 20, 0, 0, 0},
                                     {"c", "3", "4", 0, 0, 0, -30}};
    built b;

    (void)state;
    build(&b, pipes, COUNT(pipes));
    assert_close(upstream(&b, "a"), 10.0, 1e-12);
    assert_close(upstream(&b, "c"), 60.0, 1e-12);
    assert_int_equal(b.stats.outlets, 1);
    assert_int_equal(HN_CODE(b.table, IS_OUTLET)[row_of(&b, "c")], 1);
    drop(&b);
}

static void flow_that_divides_is_split_evenly_and_not_counted_twice(void **state)
{
    static const pipe_row pipes[] = {{"a", "1", "2", 0, 0, 40, 0},
                                     {"b", "2", "3", 40, 0, 50, 0},
                                     {"c", "2", "3", 40, 0, 45, 5},
                                     {"d", "3", "4", 50, 0, 51, 0}};
    built b;
    double c_length = hypot(5, 5);

    (void)state;
    build(&b, pipes, COUNT(pipes));
    assert_close(upstream(&b, "b"), 30.0, 1e-12);
    assert_close(upstream(&b, "d"), 40.0 + 10.0 + c_length + 1.0, 1e-12);
    drop(&b);
}

static void a_loop_is_marked_and_counted_whole(void **state)
{
    static const pipe_row pipes[] = {{"a", "1", "2", 0, 0, 10, 0},
                                     {"b", "2", "3", 10, 0, 20, 0},
                                     {"c", "3", "2", 20, 0, 10, 1},
                                     {"d", "3", "4", 20, 0, 30, 0},
                                     {"s", "9", "9", 90, 0, 95, 0}};
    built b;
    double loop = 10.0 + hypot(10, 1);

    (void)state;
    build(&b, pipes, COUNT(pipes));
    assert_int_equal(HN_CODE(b.table, IN_LOOP)[row_of(&b, "b")], 1);
    assert_int_equal(HN_CODE(b.table, IN_LOOP)[row_of(&b, "a")], 0);
    assert_int_equal(HN_CODE(b.table, IN_LOOP)[row_of(&b, "s")], 1);
    assert_close(upstream(&b, "b"), 10.0 + loop, 1e-12);
    assert_close(upstream(&b, "d"), 10.0 + loop + 10.0, 1e-12);
    drop(&b);
}

static void pieces_between_manholes_become_one_segment(void **state)
{
    static const pipe_row pipes[] = {{"p1", "A", "NA", 0, 0, 10, 0},
                                     {"p2", "", "0", 10, 0, 35, 0},
                                     {"p3", "END", "B", 35.2, 0, 40, 0},
                                     {"q", "B", "C", 40, 0, 60, 0}};
    built b;
    size_t row;

    (void)state;
    build(&b, pipes, COUNT(pipes));
    assert_int_equal(b.table->rows, 2);
    assert_int_equal(b.stats.rows_merged, 2);
    row = row_of(&b, "p2"); /* the longest piece lends its id */
    assert_string_equal(hn_table_text(b.table, HN_COL_MEMBERS, row), "p1; p2; p3");
    assert_string_equal(hn_table_text(b.table, HN_COL_UP_NODE, row), "A");
    assert_string_equal(hn_table_text(b.table, HN_COL_DOWN_NODE, row), "B");
    assert_int_equal(HN_I32(b.table, SOURCE_ROWS)[row], 3);
    assert_close(HN_F64(b.table, LENGTH_GEOMETRY_M)[row], 39.8, 1e-12);
    assert_int_equal(hn_line_points(&b.table->lines, row), 5);
    assert_int_equal(issues_of(&b, "fragment_merged"), 1);
    drop(&b);
}

/* Crumbs shorter than the snapping distance are pieces, not self-loops. */
static void crumbs_in_a_row_are_merged_and_not_lost_in_loops(void **state)
{
    static const pipe_row pipes[] = {{"p1", "A", "", 0, 0, 10, 0},
                                     {"p2", "", "", 10, 0, 10.4, 0},
                                     {"p3", "", "", 10.4, 0, 10.8, 0},
                                     {"p4", "", "B", 10.8, 0, 40, 0},
                                     {"q1", "B", "END", 40, 0, 40.4, 0},
                                     {"q2", "END", "C", 40.4, 0, 80, 0}};
    built b;

    (void)state;
    build(&b, pipes, COUNT(pipes));
    assert_int_equal(b.table->rows, 2);
    assert_int_equal(b.stats.loops, 0);
    assert_string_equal(hn_table_text(b.table, HN_COL_MEMBERS, row_of(&b, "p4")), "p1; p2; p3; p4");
    assert_string_equal(hn_table_text(b.table, HN_COL_MEMBERS, row_of(&b, "q2")), "q1; q2");
    drop(&b);
}

static void a_joint_where_three_pipes_meet_is_no_fragment(void **state)
{
    static const pipe_row pipes[] = {{"p", "A", "", 0, 0, 10, 0},
                                     {"q", "", "B", 10, 0, 20, 0},
                                     {"r", "C", "", 10, 9, 10, 0}};
    built b;

    (void)state;
    build(&b, pipes, COUNT(pipes));
    assert_int_equal(b.table->rows, 3);
    assert_int_equal(b.stats.outlets, 1);
    drop(&b);
}

static void without_any_node_ids_only_short_pieces_are_merged(void **state)
{
    static const pipe_row pipes[] = {{"p", "", "", 0, 0, 50, 0},
                                     {"q", "", "", 50, 0, 100, 0},
                                     {"r", "", "", 100, 0, 101, 0}};
    built b;

    (void)state;
    build(&b, pipes, COUNT(pipes));
    assert_int_equal(b.table->rows, 2);
    assert_close(upstream(&b, "q"), 101.0, 1e-12);
    drop(&b);
}

static void duplicate_ids_are_kept_under_new_ids(void **state)
{
    static const pipe_row pipes[] = {{"a", "1", "2", 0, 0, 10, 0},
                                     {"a", "2", "3", 10, 0, 20, 0},
                                     {"a~2", "3", "4", 20, 0, 30, 0}};
    built b;

    (void)state;
    build(&b, pipes, COUNT(pipes));
    assert_int_equal(b.table->rows, 3);
    row_of(&b, "a");
    row_of(&b, "a~2");
    row_of(&b, "a~3");
    assert_int_equal(issues_of(&b, "duplicate_id"), 1);
    drop(&b);
}

static void row_order_of_the_source_does_not_matter(void **state)
{
    static const pipe_row pipes[] = {{"a", "1", "3", 0, 10, 0, 0}, {"b", "2", "3", 20, 0, 0, 0},
                                     {"c", "3", "4", 0, 0, 0, -30}, {"d", "4", "", 0, -30, 7, -30},
                                     {"e", "NA", "5", 7, -30, 9, -30}, {"a", "5", "6", 9, -30, 9, 0}};
    pipe_row shuffled[COUNT(pipes)];
    built one, other;

    (void)state;
    for (size_t i = 0; i < COUNT(pipes); i++)
        shuffled[i] = pipes[(i * 5 + 2) % COUNT(pipes)];
    build(&one, pipes, COUNT(pipes));
    build(&other, shuffled, COUNT(pipes));
    assert_int_equal(one.table->rows, other.table->rows);
    for (size_t i = 0; i < one.table->rows; i++) {
        assert_string_equal(hn_table_text(one.table, HN_COL_SEGMENT_ID, i),
                            hn_table_text(other.table, HN_COL_SEGMENT_ID, i));
        assert_memory_equal(&HN_F64(one.table, UPSTREAM_LENGTH_M)[i],
                            &HN_F64(other.table, UPSTREAM_LENGTH_M)[i], sizeof(double));
    }
    drop(&one);
    drop(&other);
}

static void pseudo_node_ids_are_known(void **state)
{
    (void)state;
    assert_true(hn_is_pseudo_node_id("NA"));
    assert_true(hn_is_pseudo_node_id("end"));
    assert_true(hn_is_pseudo_node_id("0"));
    assert_true(hn_is_pseudo_node_id("000"));
    assert_true(hn_is_pseudo_node_id("0.0"));
    assert_false(hn_is_pseudo_node_id("007"));
    assert_false(hn_is_pseudo_node_id("MH1"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(upstream_length_adds_up_along_a_tree),
        cmocka_unit_test(flow_that_divides_is_split_evenly_and_not_counted_twice),
        cmocka_unit_test(a_loop_is_marked_and_counted_whole),
        cmocka_unit_test(pieces_between_manholes_become_one_segment),
        cmocka_unit_test(crumbs_in_a_row_are_merged_and_not_lost_in_loops),
        cmocka_unit_test(a_joint_where_three_pipes_meet_is_no_fragment),
        cmocka_unit_test(without_any_node_ids_only_short_pieces_are_merged),
        cmocka_unit_test(duplicate_ids_are_kept_under_new_ids),
        cmocka_unit_test(row_order_of_the_source_does_not_matter),
        cmocka_unit_test(pseudo_node_ids_are_known),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
