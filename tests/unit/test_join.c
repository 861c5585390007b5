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

static const pipe_row pipes[] = {
    {"a", "1", "2", 0, 0, 50, 0}, {"b", "2", "3", 50, 0, 90, 0}, {"c", "3", "4", 90, 0, 120, 0}};

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
        p.inspection_id[i] = 0;
        p.date[i] = HN_I32_MISSING;
        hn_date_parse(records[i].date, &p.date[i]);
        p.number[HN_COL_GRADE_STRUCTURAL][i] = records[i].grade;
    }
    p.count = count;
    hn_matches_clear(&matches);
    matches.all = 1;
    assert_int_equal(
        hn_condition_join(b->table, &p, &b->plan, &b->plane, 2, stats, &matches, &b->issues, NULL),
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
        records[i] = (record){i < OF_A        ? "a"
                              : i < COUNT - 1 ? "b"
                                              : "c",
                              "",
                              "",
                              i % 2 ? "2019-05-01" : "2018-05-01",
                              1,
                              NAN,
                              i % 5 + 1.0,
                              NAN,
                              NAN};
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

static const hn_matched *match_of(const char *id, const built *b, int32_t day)
{
    for (size_t i = 0; i < matches.count; i++)
        if (matches.list[i].row == (int32_t)row_of(b, id) && matches.list[i].date == day)
            return &matches.list[i];
    fail_msg("no match of %s", id);
    return NULL;
}

static int32_t day_of(const char *text)
{
    int32_t day = HN_I32_MISSING;

    hn_date_parse(text, &day);
    return day;
}

/* By hand from the rule in condition/confidence.h; pipes of 50, 40 and 30 m, place 0.4 m
 * from the line, reach of the search 1 m. */
static void confidence_follows_the_rule(void **state)
{
    static const record records[] = {
        {"a", "", "", "2020-01-01", 1, NAN, 2, NAN, NAN},   /* 0.95 */
        {"a", "2", "1", "2020-01-02", 1, 50, 2, NAN, NAN},  /* 1 - 0.05 / 4 */
        {"a", "8", "9", "2020-01-03", 1, 20, 2, NAN, NAN},  /* 0.95 / 4 */
        {"", "2", "3", "2020-01-04", 255, 20, 2, NAN, NAN}, /* 0.9: a part seen says nothing */
        {"", "3", "2", "2020-01-05", 1, 41, 2, NAN, NAN},   /* 1 - 0.2 / 2 */
        {"", "", "", "2020-01-06", 1, NAN, 2, 20, 0.4},     /* 0.7 * 0.8 */
        {"c", "", "", "", 1, NAN, 2, NAN, NAN},             /* 0.95 * 0.8 */
        {"c", "", "", "1950-01-08", 1, NAN, 2, NAN, NAN}};  /* 0.95 / 2: built in 1960 */
    built b;
    hn_join_stats stats;

    (void)state;
    build(&b, pipes, 3);
    assert_int_equal(hn_table_want(b.table, HN_COL_YEAR_BUILT, NULL), HN_OK);
    for (size_t i = 0; i < 3; i++)
        HN_F32(b.table, YEAR_BUILT)[i] = 1960;
    join(&b, records, 8, &stats);
    assert_int_equal(matches.count, 8);
    assert_close((double)match_of("a", &b, day_of("2020-01-01"))->confidence_0_1, 0.95, 1e-6);
    assert_close((double)match_of("a", &b, day_of("2020-01-02"))->confidence_0_1, 0.9875, 1e-6);
    assert_close((double)match_of("a", &b, day_of("2020-01-03"))->confidence_0_1, 0.2375, 1e-6);
    assert_close((double)match_of("b", &b, day_of("2020-01-04"))->confidence_0_1, 0.9, 1e-6);
    assert_close((double)match_of("b", &b, day_of("2020-01-05"))->confidence_0_1, 0.9, 1e-6);
    assert_close((double)match_of("a", &b, day_of("2020-01-06"))->confidence_0_1, 0.56, 1e-6);
    assert_close((double)match_of("c", &b, HN_I32_MISSING)->confidence_0_1, 0.76, 1e-6);
    assert_close((double)match_of("c", &b, day_of("1950-01-08"))->confidence_0_1, 0.475, 1e-6);
    assert_int_equal(match_of("a", &b, day_of("2020-01-03"))->evidence,
                     HN_NODES_DIFFER | HN_LENGTH_DIFFERS);
    assert_int_equal(match_of("a", &b, day_of("2020-01-06"))->use, HN_USE_RULES);
    assert_int_equal(match_of("a", &b, day_of("2020-01-01"))->use, HN_USE_IDLE);
    assert_int_equal(stats.doubtful[HN_MATCH_ID], 2);
    assert_close(stats.confidence[HN_MATCH_GEOMETRY], 0.56, 1e-6);
    drop(&b);
}

static const hn_issue *issue_of(const built *b, const char *rule)
{
    uint32_t id = hn_text_pool_find(b->issues.texts, rule, strlen(rule));

    for (size_t i = 0; id && i < b->issues.count; i++)
        if (b->issues.items[i].rule == id)
            return &b->issues.items[i];
    fail_msg("no issue %s", rule);
    return NULL;
}

/* Two barrels lie between manholes 1 and 2: a pair of nodes decides nothing, unless the
 * place does; an id decides, and is doubted where the nodes are those of another pipe. */
static void records_that_fit_two_segments_are_listed_by_name(void **state)
{
    static const pipe_row twins[] = {
        {"a", "1", "2", 0, 0, 50, 0}, {"a2", "1", "2", 0, 9, 50, 9}, {"b", "2", "3", 50, 0, 90, 0}};
    static const record records[] = {{"", "1", "2", "2020-01-01", 1, NAN, 2, NAN, NAN},
                                     {"", "2", "1", "2020-01-02", 1, NAN, 3, 20, 9.2},
                                     {"b", "1", "2", "2020-01-03", 1, NAN, 4, NAN, NAN}};
    built b;
    hn_join_stats stats;

    (void)state;
    build(&b, twins, 3);
    join(&b, records, 3, &stats);
    assert_int_equal(stats.fit_several[HN_MATCH_NONE], 1);
    assert_int_equal(stats.fit_several[HN_MATCH_GEOMETRY], 1);
    assert_int_equal(stats.fit_several[HN_MATCH_ID], 1);
    assert_int_equal(issues_of(&b, "inspection_fits_several"), 3);
    assert_string_equal(
        hn_text_pool_get(b.issues.texts, issue_of(&b, "inspection_fits_several")->value),
        " 2020-01-01: a, a2");
    assert_int_equal(stats.by[HN_MATCH_NONE], 1);
    assert_int_equal(issues_of(&b, "inspection_unmatched"), 1);
    assert_close(grade_of(&b, "a2"), 3.0, 1e-12);
    assert_close(grade_of(&b, "b"), 4.0, 1e-12);
    assert_close((double)match_of("b", &b, day_of("2020-01-03"))->confidence_0_1, 0.475, 1e-6);
    drop(&b);
}

static int free_matches(void **state)
{
    (void)state;
    hn_matches_clear(&matches);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(records_match_by_id_nodes_reversed_and_place),
        cmocka_unit_test(the_latest_complete_inspection_rules),
        cmocka_unit_test(a_later_partial_one_counts_only_when_it_saw_worse),
        cmocka_unit_test(partial_ones_alone_count_from_grade_four),
        cmocka_unit_test(both_ends_of_one_day_make_one_inspection),
        cmocka_unit_test(confidence_follows_the_rule),
        cmocka_unit_test(records_that_fit_two_segments_are_listed_by_name),
        cmocka_unit_test(records_over_the_edge_of_a_block_are_one_segment),
    };
    return cmocka_run_group_tests(tests, NULL, free_matches);
}
