/* Inspections to segments: how they match, and which one rules. */
#include "network_fixture.h"

#include "base/dates.h"
#include "base/parallel.h"
#include "condition/condition.h"

#include <stdlib.h>

static hn_matches matches; /* of the last join */

typedef struct record {
    const char *id, *up, *down, *date;
    int complete; /* 255 not said */
    double seen_m, grade, x, y;
} record;

static const pipe_row pipes[] = {{"a", "1", "2", 0, 0, 50, 0},
                                 {"b", "2", "3", 50, 0, 90, 0},
                                 {"c", "3", "4", 90, 0, 120, 0}};

static uint32_t text_id(built *b, const char *text)
{
    return hn_text_pool_add(b->table->texts, text, strlen(text));
}

static void join(built *b, const record *records, size_t count, hn_join_stats *stats)
{
    hn_inspections p = {0};

    assert_int_equal(hn_inspections_reserve(&p, count, NULL), HN_OK);
    assert_int_equal(hn_inspections_want(&p, HN_COL_GRADE_STRUCTURAL, NULL), HN_OK);
    for (size_t i = 0; i < count; i++) {
        p.segment[i] = text_id(b, records[i].id);
        p.up_node[i] = text_id(b, records[i].up);
        p.down_node[i] = text_id(b, records[i].down);
        p.complete[i] = (uint8_t)records[i].complete;
        p.length_seen_m[i] = records[i].seen_m;
        p.x[i] = records[i].x;
        p.y[i] = records[i].y;
        p.source[i] = 0;
        p.date[i] = HN_I32_MISSING;
        hn_date_parse(records[i].date, &p.date[i]);
        p.number[HN_COL_GRADE_STRUCTURAL][i] = records[i].grade;
    }
    p.count = count;
    hn_matches_clear(&matches);
    matches.all = 1;
    assert_int_equal(hn_condition_join(b->table, &p, &b->plan, &b->plane, 2, stats, &matches,
                                       &b->issues, NULL),
                     HN_OK);
    hn_inspections_clear(&p);
}

static double grade_of(const built *b, const char *id)
{
    return (double)HN_F32(b->table, GRADE_STRUCTURAL)[row_of(b, id)];
}

static void records_match_by_id_nodes_reversed_and_place(void **state)
{
    static const record records[] = {{"a", "", "", "2020-01-01", 1, NAN, 2, NAN, NAN},
                                     {"", "2", "3", "2020-01-01", 1, NAN, 3, NAN, NAN},
                                     {"zz", "4", "3", "2020-01-01", 1, NAN, 4, NAN, NAN},
                                     {"", "", "", "2021-01-01", 1, NAN, 5, 20, 0.4},
                                     {"nobody", "", "", "2021-01-01", 1, NAN, 5, NAN, NAN}};
    built b;
    hn_join_stats stats;

    (void)state;
    build(&b, pipes, 3);
    join(&b, records, 5, &stats);
    assert_int_equal(stats.by[HN_MATCH_ID], 1);
    assert_int_equal(stats.by[HN_MATCH_NODES], 1);
    assert_int_equal(stats.by[HN_MATCH_NODES_REVERSED], 1);
    assert_int_equal(stats.by[HN_MATCH_GEOMETRY], 1);
    assert_int_equal(stats.by[HN_MATCH_NONE], 1);
    assert_close(grade_of(&b, "a"), 5.0, 1e-12); /* the later one, matched by place */
    assert_close(grade_of(&b, "b"), 3.0, 1e-12);
    assert_close(grade_of(&b, "c"), 4.0, 1e-12);
    assert_int_equal(issues_of(&b, "inspection_unmatched"), 1);
    drop(&b);
}

static void the_latest_complete_inspection_rules(void **state)
{
    static const record records[] = {{"a", "", "", "2010-05-01", 1, NAN, 4, NAN, NAN},
                                     {"a", "", "", "2020-05-01", 1, NAN, 2, NAN, NAN},
                                     {"a", "", "", "2015-05-01", 1, NAN, 5, NAN, NAN}};
    built b;
    hn_join_stats stats;

    (void)state;
    build(&b, pipes, 3);
    join(&b, records, 3, &stats);
    assert_close(grade_of(&b, "a"), 2.0, 1e-12);
    assert_int_equal(stats.superseded, 2);
    drop(&b);
}

static void a_later_partial_one_counts_only_when_it_saw_worse(void **state)
{
    static const record records[] = {{"a", "", "", "2015-05-01", 1, NAN, 3, NAN, NAN},
                                     {"a", "", "", "2020-05-01", 0, NAN, 4, NAN, NAN},
                                     {"b", "", "", "2015-05-01", 1, NAN, 3, NAN, NAN},
                                     {"b", "", "", "2020-05-01", 0, NAN, 1, NAN, NAN}};
    built b;
    hn_join_stats stats;

    (void)state;
    build(&b, pipes, 3);
    join(&b, records, 4, &stats);
    assert_close(grade_of(&b, "a"), 4.0, 1e-12);
    assert_close(grade_of(&b, "b"), 3.0, 1e-12);
    assert_int_equal(stats.worse_partial_kept, 1);
    drop(&b);
}

static void partial_ones_alone_count_from_grade_four(void **state)
{
    static const record records[] = {{"a", "", "", "2020-05-01", 0, NAN, 3, NAN, NAN},
                                     {"b", "", "", "2020-05-01", 0, NAN, 4, NAN, NAN}};
    built b;
    hn_join_stats stats;

    (void)state;
    build(&b, pipes, 3);
    join(&b, records, 2, &stats);
    assert_true(isnan(grade_of(&b, "a")));
    assert_close(grade_of(&b, "b"), 4.0, 1e-12);
    assert_int_equal(stats.segments_observed, 1);
    drop(&b);
}

/* 50 m of pipe a: 25 m from one end and 22 m from the other on one day are one
 * complete inspection; 25 m alone is a partial one. */
static void both_ends_of_one_day_make_one_inspection(void **state)
{
    static const record records[] = {{"a", "", "", "2020-05-01", 255, 25, 2, NAN, NAN},
                                     {"a", "", "", "2020-05-01", 255, 22, 3, NAN, NAN},
                                     {"b", "", "", "2020-05-01", 255, 25, 3, NAN, NAN}};
    built b;
    hn_join_stats stats;

    (void)state;
    build(&b, pipes, 3);
    join(&b, records, 3, &stats);
    assert_close(grade_of(&b, "a"), 3.0, 1e-12);
    assert_true(isnan(grade_of(&b, "b")));
    drop(&b);
}

/* Records are judged in blocks; a segment whose records lie in two or three of
 * them is judged once. */
static void records_over_the_edge_of_a_block_are_one_segment(void **state)
{
    enum { COUNT = 3 * HN_BLOCK_ROWS, OF_A = HN_BLOCK_ROWS - 2 };
    record *records = calloc(COUNT, sizeof *records);
    built b;
    hn_join_stats stats;

    (void)state;
    assert_non_null(records);
    for (int i = 0; i < COUNT; i++)
        records[i] = (record){i < OF_A ? "a" : i < COUNT - 1 ? "b" : "c",
                              "", "", i % 2 ? "2019-05-01" : "2018-05-01", 1, NAN,
                              i % 5 + 1.0, NAN, NAN};
    build(&b, pipes, 3);
    join(&b, records, COUNT, &stats);
    assert_int_equal(stats.segments_observed, 3);
    assert_int_equal(stats.complete + stats.partial, COUNT);
    assert_int_equal(stats.superseded, OF_A / 2 + (COUNT - 1 - OF_A + 1) / 2);
    assert_int_equal(issues_of(&b, "inspection_twice"), 4); /* two days of a, two of b */
    assert_close(grade_of(&b, "a"), 5.0, 1e-12);
    assert_close(grade_of(&b, "b"), 5.0, 1e-12);
    free(records);
    drop(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(records_match_by_id_nodes_reversed_and_place),
        cmocka_unit_test(the_latest_complete_inspection_rules),
        cmocka_unit_test(a_later_partial_one_counts_only_when_it_saw_worse),
        cmocka_unit_test(partial_ones_alone_count_from_grade_four),
        cmocka_unit_test(both_ends_of_one_day_make_one_inspection),
        cmocka_unit_test(records_over_the_edge_of_a_block_are_one_segment),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
