/* Observations to grades: how visits find their segment, what counts, what is listed. */
#include "network_fixture.h"

#include "base/dates.h"
#include "condition/observe.h"
#include "condition/on_piece.h"
#include "plan/config_tables.h"

#include <stdio.h>
#include <stdlib.h>

typedef struct seen_row {
    const char *id, *up, *down, *inspection, *date, *code, *ch1;
    double q1, from_m, to_m;
    int mark;
    const char *direction;
} seen_row;

static int threads = 2;

static const pipe_row pipes[] = {
    {"a", "1", "2", 0, 0, 50, 0}, {"b", "2", "3", 50, 0, 90, 0}, {"c", "3", "4", 90, 0, 120, 0}};

typedef struct graded {
    built net;
    hn_arena arena;
    hn_source source;
    hn_inspections inspections;
    hn_observations o;
    hn_observe_stats stats;
} graded;

static void begin_on(graded *g, const pipe_row *rows, size_t count)
{
    hn_config *c = &g->net.plan.config;

    memset(g, 0, sizeof *g);
    build(&g->net, rows, count);
    assert_int_equal(hn_config_observation_codes(HN_SOURCE_DIR "/config/observation_codes.csv",
                                                 &g->arena, c, NULL),
                     HN_OK);
    assert_int_equal(hn_config_roll_up(HN_SOURCE_DIR "/config/roll_up.csv", &g->arena, c, NULL),
                     HN_OK);
    assert_int_equal(
        hn_config_grading_rules(HN_SOURCE_DIR "/config/grading_rules.csv", &g->arena, c, NULL),
        HN_OK);
    g->net.plan.grading_scheme = "local";
    g->net.plan.observations = &g->source;
    g->net.plan.observation_count = 1;
    g->net.plan.observations_shown = 5;
    g->net.plan.observations_all_up_to = 100000;
    assert_int_equal(hn_observations_init(&g->o, NULL), HN_OK);
    assert_int_equal(hn_inspections_reserve(&g->inspections, 16, NULL), HN_OK);
    assert_int_equal(hn_inspections_want(&g->inspections, HN_COL_GRADE_STRUCTURAL, NULL), HN_OK);
}

static void begin(graded *g)
{
    begin_on(g, pipes, 3);
}

static uint32_t text_id(graded *g, const char *text)
{
    return text[0] ? hn_text_pool_add(g->net.table->texts, text, strlen(text)) : 0;
}

static void inspect(graded *g, const char *number, const char *id, const char *date, double grade)
{
    hn_inspections *p = &g->inspections;
    size_t i = p->count++;

    p->segment[i] = text_id(g, id);
    p->up_node[i] = p->down_node[i] = 0;
    p->inspection_id[i] = text_id(g, number);
    p->date[i] = HN_I32_MISSING;
    hn_date_parse(date, &p->date[i]);
    p->complete[i] = 1;
    p->length_seen_m[i] = p->x[i] = p->y[i] = (double)NAN;
    p->source[i] = 0;
    p->number[HN_COL_GRADE_STRUCTURAL][i] = grade;
}

static void see(graded *g, const seen_row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const seen_row *r = &rows[i];
        hn_observed one = {.segment = text_id(g, r->id),
                           .up_node = text_id(g, r->up),
                           .down_node = text_id(g, r->down),
                           .inspection_id = text_id(g, r->inspection),
                           .date = HN_I32_MISSING,
                           .direction = hn_survey_direction(r->direction ? r->direction : ""),
                           .code = r->code,
                           .ch1 = r->ch1,
                           .q1 = r->q1,
                           .q2 = NAN,
                           .from_m = r->from_m,
                           .to_m = r->to_m,
                           .clock_from = NAN,
                           .clock_to = NAN,
                           .mark = (uint8_t)r->mark};

        hn_date_parse(r->date, &one.date);
        assert_int_equal(hn_observations_add(&g->o, &one, NULL), HN_OK);
    }
    assert_int_equal(hn_observe(g->net.table, &g->net.plan, &g->net.plane, threads, &g->inspections,
                                &g->o, &g->stats, &g->net.issues, NULL),
                     HN_OK);
}

static void end(graded *g)
{
    hn_observations_clear(&g->o);
    hn_inspections_clear(&g->inspections);
    hn_arena_clear(&g->arena);
    drop(&g->net);
}

static const hn_visit_grade *verdict(const graded *g, const char *id, int driver)
{
    for (size_t v = 0; v < g->o.matched; v++)
        if (strcmp(hn_table_text(g->net.table, HN_COL_SEGMENT_ID, (size_t)g->o.row[v]), id) == 0)
            return &g->o.verdict[v * g->o.roll_ups + (size_t)driver];
    fail_msg("no visit of %s", id);
    return NULL;
}

static void visits_match_by_id_nodes_reversed_and_inspection(void **state)
{
    static const seen_row rows[] = {
        {"a", "", "", "", "2020-01-01", "BAB", "B", NAN, 10, NAN, 0, NULL},
        {"", "2", "3", "", "2020-01-01", "BAB", "C", NAN, 10, NAN, 0, NULL},
        {"", "4", "3", "", "2020-01-01", "BAC", "B", NAN, 10, NAN, 0, NULL},
        {"", "", "", "i7", "", "BAC", "A", NAN, 5, NAN, 0, NULL},
        {"nobody", "", "", "", "2020-01-01", "BAC", "A", NAN, 5, NAN, 0, NULL}};
    graded g;

    (void)state;
    begin(&g);
    inspect(&g, "i7", "a", "2019-01-01", NAN);
    see(&g, rows, 5);
    assert_int_equal(g.stats.by[HN_MATCH_ID], 2);
    assert_int_equal(g.stats.by[HN_MATCH_NODES], 1);
    assert_int_equal(g.stats.by[HN_MATCH_NODES_REVERSED], 1);
    assert_int_equal(g.stats.by[HN_MATCH_NONE], 1);
    assert_int_equal(g.stats.visits_unmatched, 1);
    assert_int_equal(issues_of(&g.net, "observation_unmatched"), 1);
    assert_close((double)verdict(&g, "a", HN_STRUCTURAL)->grade, 4, 0); /* of 2019, by i7 */
    assert_close((double)verdict(&g, "b", HN_STRUCTURAL)->grade, 4, 0);
    assert_close((double)verdict(&g, "c", HN_STRUCTURAL)->grade, 5, 0);
    /* i7 had no grade; the other three days had no record */
    assert_close(g.inspections.number[HN_COL_GRADE_STRUCTURAL][0], 4, 0);
    assert_int_equal(g.stats.added, 3);
    assert_int_equal(g.inspections.count, 4);
    end(&g);
}

static void places_follow_direction_and_surveyed_length(void **state)
{
    /* 50 m long; the survey reached the other manhole at 49 m, beginning at the lower one */
    static const seen_row rows[] = {
        {"a", "", "", "", "2020-01-01", "BAB", "B", NAN, 9.8, NAN, 0, "against"},
        {"a", "", "", "", "2020-01-01", "BCE", "", NAN, 49, NAN, 0, "against"},
        {"b", "", "", "", "2020-01-01", "BAB", "B", NAN, 10, NAN, 0, "with"},
        {"b", "", "", "", "2020-01-01", "BCE", "", NAN, 20, NAN, 0, "with"}};
    graded g;

    (void)state;
    begin(&g);
    see(&g, rows, 4);
    assert_close(hn_observed_place_m(&g.o, 0, 50), 40, 1e-6);
    assert_close(hn_observed_place_m(&g.o, 1, 50) + 1, 1, 1e-6);
    assert_close(hn_observed_place_m(&g.o, 2, 40), 10, 1e-6); /* 20 m is not 40 m: not scaled */
    assert_int_equal(issues_of(&g.net, "surveyed_length_differs"), 1);
    end(&g);
}

/* Reach of 30 + 50 + 20 m between two manholes, the joints without a name; the longest
 * piece, p2, lends its id. By hand: 4 m into p3 with the flow is 84 m, against it 96 m; the
 * end code at 20 m says that p3 was surveyed, not the reach. */
static const pipe_row reach[] = {{"p1", "1", "", 0, 0, 30, 0},
                                 {"p2", "", "", 30, 0, 80, 0},
                                 {"p3", "", "2", 80, 0, 100, 0},
                                 {"q", "2", "3", 100, 0, 150, 0}};

static double place_of(const graded *g, const char *code, const char *date)
{
    int32_t day = HN_I32_MISSING;

    hn_date_parse(date, &day);
    for (size_t i = 0; i < g->o.count; i++)
        if (strcmp(hn_observed_text(&g->o, g->o.code[i]), code) == 0 &&
            g->o.visits.date[g->o.visit[i]] == day)
            return hn_observed_place_m(
                &g->o, i, HN_F64(g->net.table, LENGTH_M)[(size_t)g->o.row[g->o.visit[i]]]);
    fail_msg("no %s", code);
    return 0.0;
}

static void distances_on_a_piece_are_moved_onto_the_whole_segment(void **state)
{
    static const seen_row rows[] = {
        {"p3", "", "", "", "2020-01-01", "BAC", "A", NAN, 4, NAN, 0, "with"},
        {"p3", "", "", "", "2020-01-01", "BCE", "B", NAN, 20, NAN, 0, "with"},
        {"p3", "", "", "", "2020-01-02", "BAC", "A", NAN, 4, NAN, 0, "against"},
        {"p1", "", "", "", "2020-01-03", "BAC", "A", NAN, 4, NAN, 0, "against"},
        {"p2", "", "", "", "2020-01-04", "BAC", "A", NAN, 60, NAN, 0, "with"},
        {"p2", "", "", "", "2020-01-04", "BCE", "B", NAN, 100, NAN, 0, "with"},
        {"p2", "", "", "", "2020-01-05", "BAC", "A", NAN, 4, NAN, 0, "against"},
        {"p2", "", "", "", "2020-01-05", "BCE", "B", NAN, 50, NAN, 0, "against"},
        {"p1", "", "", "", "2020-01-06", "BAC", "A", NAN, 70, NAN, 0, "with"},
        {"p3", "", "", "", "2020-01-07", "BAC", "A", NAN, 10, NAN, 0, "with"},
        {"p3", "", "", "", "2020-01-07", "BCE", "B", NAN, 19, NAN, 0, "with"}};
    graded g;

    (void)state;
    begin_on(&g, reach, 4);
    see(&g, rows, 11);
    assert_int_equal(g.net.table->rows, 2);
    assert_close(place_of(&g, "BAC", "2020-01-01"), 84.0, 1e-4);
    assert_close(place_of(&g, "BCE", "2020-01-01"), 100.0, 1e-4);
    assert_close(place_of(&g, "BAC", "2020-01-02"), 96.0, 1e-4);
    assert_close(place_of(&g, "BAC", "2020-01-03"), 26.0, 1e-4);
    assert_close(place_of(&g, "BAC", "2020-01-04"), 60.0, 1e-4); /* 100 m surveyed: the reach */
    assert_close(place_of(&g, "BAC", "2020-01-05"), 76.0, 1e-4); /* 50 m: the piece */
    assert_close(place_of(&g, "BAC", "2020-01-06"), 70.0, 1e-4); /* does not lie on p1 */
    assert_close(place_of(&g, "BAC", "2020-01-07"), 80.0 + 10.0 * 20.0 / 19.0, 1e-4);
    assert_int_equal(g.stats.found[HN_FOUND_ON_PIECE], 8);
    assert_int_equal(g.stats.found[HN_FOUND_LENGTH_DIFFERS], 0);
    assert_int_equal(g.stats.found[HN_FOUND_BEYOND], 0);
    end(&g);
}

static void a_piece_seen_is_no_complete_inspection_of_the_whole(void **state)
{
    static const seen_row rows[] = {
        {"p3", "", "", "", "2020-01-01", "BAB", "B", NAN, 4, NAN, 0, "with"},
        {"p3", "", "", "", "2020-01-01", "BCE", "B", NAN, 20, NAN, 0, "with"}};
    graded g;
    hn_inspections *p = &g.inspections;

    (void)state;
    begin_on(&g, reach, 4);
    inspect(&g, "i1", "p1", "2021-01-01", 2.0);
    inspect(&g, "i2", "p2", "2021-01-01", 2.0);
    inspect(&g, "i3", "q", "2021-01-01", 2.0);
    see(&g, rows, 2);
    hn_inspections_on_pieces(g.net.table, &g.net.plan, p);
    assert_int_equal(p->count, 4);
    assert_int_equal(p->complete[0], HN_CODE_MISSING);
    assert_close(p->length_seen_m[0], 30.0, 1e-4);
    assert_int_equal(p->complete[1], 1); /* the id of the whole reach */
    assert_int_equal(p->complete[2], 1);
    assert_int_equal(p->complete[3], HN_CODE_MISSING);
    assert_close(p->length_seen_m[3], 20.0, 1e-4);
    end(&g);
}

static void marks_make_one_defect_of_two_rows(void **state)
{
    static const seen_row rows[] = {
        {"a", "", "", "", "2020-01-01", "BAF", "A", NAN, 10, NAN, 1, NULL},
        {"a", "", "", "", "2020-01-01", "BAF", "A", NAN, 30, NAN, 101, NULL},
        {"a", "", "", "", "2020-01-01", "BAF", "A", NAN, 40, NAN, 2, NULL}};
    graded g;

    (void)state;
    begin(&g);
    see(&g, rows, 3);
    assert_int_equal(verdict(&g, "a", HN_STRUCTURAL)->counted, 2);
    /* grade 2 over 20 m, and over the 0.3 m of a point where the end is missing */
    assert_close((double)verdict(&g, "a", HN_STRUCTURAL)->length_sum, 40.6, 1e-6);
    assert_int_equal(issues_of(&g.net, "observation_not_closed"), 1);
    end(&g);
}

static void what_cannot_be_told_gives_no_grade(void **state)
{
    static const seen_row rows[] = {
        {"a", "", "", "", "2020-01-01", "BAA", "", NAN, 10, NAN, 0, NULL},
        {"b", "", "", "", "2020-01-01", "QQQ", "", NAN, 10, NAN, 0, NULL},
        {"c", "", "", "", "2020-01-01", "BCD", "", NAN, 0, NAN, 0, NULL}};
    graded g;

    (void)state;
    begin(&g);
    see(&g, rows, 3);
    assert_true(isnan((double)verdict(&g, "a", HN_STRUCTURAL)->grade));
    assert_close((double)verdict(&g, "a", HN_SERVICE)->grade, 1, 0); /* no rule waits for it */
    for (int d = 0; d < HN_DRIVERS; d++) {
        assert_true(isnan((double)verdict(&g, "b", d)->grade));
        assert_close((double)verdict(&g, "c", d)->grade, 1, 0); /* surveyed, and sound */
    }
    assert_int_equal(issues_of(&g.net, "observation_cannot_tell"), 1);
    assert_int_equal(issues_of(&g.net, "observation_unknown_code"), 1);
    end(&g);
}

static void doubles_count_once_and_doubtful_places_are_listed(void **state)
{
    static const seen_row rows[] = {
        {"a", "", "", "", "1960-01-01", "BAB", "B", NAN, 10, NAN, 0, NULL},
        {"a", "", "", "", "1960-01-01", "BAB", "B", NAN, 10, NAN, 0, NULL},
        {"a", "", "", "", "1960-01-01", "BAJ", "A", NAN, 12, 20, 0, NULL},
        {"a", "", "", "", "1960-01-01", "BAJ", "A", NAN, 15, 18, 0, NULL},
        {"a", "", "", "", "1960-01-01", "BAF", "A", NAN, 99, NAN, 0, NULL},
        {"a", "", "", "", "1960-01-01", "BAF", "A", NAN, NAN, NAN, 0, NULL}};
    graded g;

    (void)state;
    begin(&g);
    assert_int_equal(hn_table_want(g.net.table, HN_COL_YEAR_BUILT, NULL), HN_OK);
    HN_F32(g.net.table, YEAR_BUILT)[row_of(&g.net, "a")] = 1970;
    see(&g, rows, 6);
    assert_int_equal(verdict(&g, "a", HN_STRUCTURAL)->counted, 5);
    assert_int_equal(g.stats.found[HN_FOUND_DUPLICATE], 1);
    assert_int_equal(g.stats.found[HN_FOUND_OVERLAP], 1);
    assert_int_equal(g.stats.found[HN_FOUND_BEYOND], 1);
    assert_int_equal(g.stats.found[HN_FOUND_NO_DISTANCE], 1);
    assert_int_equal(g.stats.found[HN_FOUND_BEFORE_BUILT], 6);
    end(&g);
}

static void recorded_grades_stay_unless_the_plan_replaces_them(void **state)
{
    static const seen_row rows[] = {
        {"a", "", "", "", "2020-01-01", "BAC", "B", NAN, 10, NAN, 0, NULL}};
    graded g;

    (void)state;
    for (int replace = 0; replace < 2; replace++) {
        begin(&g);
        g.net.plan.replace_recorded = replace;
        inspect(&g, "", "a", "2020-01-01", 3);
        see(&g, rows, 1);
        assert_close(g.inspections.number[HN_COL_GRADE_STRUCTURAL][0], replace ? 5 : 3, 0);
        assert_close((double)verdict(&g, "a", HN_STRUCTURAL)->recorded, 3, 0);
        assert_int_equal(issues_of(&g.net, "grade_differs_from_recorded"), 1);
        assert_int_equal(g.stats.replaced, replace);
        assert_int_equal(g.inspections.count, 1);
        end(&g);
    }
}

static void a_large_network_keeps_the_worst(void **state)
{
    seen_row rows[40] = {{0}};
    graded g;

    (void)state;
    for (int i = 0; i < 40; i++)
        rows[i] = (seen_row){i % 2 ? "a" : "b",
                             "",
                             "",
                             "",
                             "2020-01-01",
                             "BAB",
                             i % 4 < 2 ? "A" : "B",
                             NAN,
                             i,
                             NAN,
                             0,
                             NULL};
    begin(&g);
    g.net.plan.observations_all_up_to = 2;
    g.net.plan.observations_shown = 3;
    see(&g, rows, 40);
    assert_int_equal(g.o.count, 6);
    for (size_t i = 0; i < g.o.count; i++) {
        assert_close((double)g.o.grade[i], 3, 0);
        assert_true(g.o.rank[i] >= 1 && g.o.rank[i] <= 3);
    }
    assert_int_equal(g.o.start[g.o.visits.count], 6);
    assert_int_equal(verdict(&g, "a", HN_STRUCTURAL)->counted, 20); /* all were graded */
    end(&g);
}

/* ---- grades as a whole ---- */

static void judge_grades(built *b, double (*grade_of)(int), int repeats)
{
    enum { RECORDS = 60 };
    hn_inspections p = {0};
    int32_t row[RECORDS];

    assert_int_equal(hn_inspections_reserve(&p, RECORDS, NULL), HN_OK);
    assert_int_equal(hn_inspections_want(&p, HN_COL_GRADE_STRUCTURAL, NULL), HN_OK);
    for (int i = 0; i < RECORDS; i++) {
        row[i] = 0;
        p.source[i] = 0;
        p.date[i] = hn_date_days(1960 + i, 6, 1) + (repeats ? 0 : i);
        p.number[HN_COL_GRADE_STRUCTURAL][i] = grade_of(i);
    }
    p.count = RECORDS;
    assert_int_equal(hn_grade_checks(b->table, &p, row, &b->issues, NULL), HN_OK);
    hn_inspections_clear(&p);
}

static double one_grade(int i)
{
    return i * 0.0 + 3.0;
}
static double rising(int i)
{
    return 1.0 + i / 15.0;
}
static double falling(int i)
{
    return 5.0 - i / 15.0;
}
static double as_it_comes(int i)
{
    return 1.0 + (i * 7) % 5;
}

static void grades_that_look_wrong_as_a_whole_are_told(void **state)
{
    static const struct {
        double (*grade_of)(int);
        size_t same, never, follow, fall;
    } cases[] = {{one_grade, 1, 1, 0, 0},
                 {rising, 0, 0, 1, 0},
                 {falling, 0, 0, 0, 1},
                 {as_it_comes, 0, 0, 0, 0}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        built b;

        build(&b, pipes, 3);
        assert_int_equal(hn_table_want(b.table, HN_COL_YEAR_BUILT, NULL), HN_OK);
        HN_F32(b.table, YEAR_BUILT)[0] = 1950;
        judge_grades(&b, cases[i].grade_of, 1);
        assert_int_equal(issues_of(&b, "grades_all_same"), cases[i].same);
        assert_int_equal(issues_of(&b, "repeat_grades_never_differ"), cases[i].never);
        assert_int_equal(issues_of(&b, "grades_follow_age"), cases[i].follow);
        assert_int_equal(issues_of(&b, "grades_fall_with_age"), cases[i].fall);
        drop(&b);
    }
}

enum { MANY = 4000, EACH = 2 };

static void many_visits(graded *g)
{
    static const char *const codes[][2] = {{"BAC", "B"}, {"BAB", "C"}, {"BBA", ""}, {"QQQ", "A"}};
    seen_row *rows = calloc((size_t)MANY * EACH, sizeof *rows);
    char(*dates)[16] = calloc(MANY, sizeof *dates);

    assert_non_null(rows);
    assert_non_null(dates);
    for (int i = 0; i < MANY * EACH; i++) {
        const char *const *code = codes[i * 7 / 3 % 4];

        hn_date_text(hn_date_days(1990, 1, 1) + i / EACH, dates[i / EACH]);
        rows[i] = (seen_row){i % 3 ? "a" : "b",
                             "",
                             "",
                             "",
                             dates[i / EACH],
                             code[0],
                             code[1],
                             i % 90,
                             i % 37,
                             NAN,
                             0,
                             NULL};
    }
    begin(g);
    see(g, rows, (size_t)MANY * EACH);
    free(rows);
    free(dates);
}

static void grades_do_not_depend_on_the_threads(void **state)
{
    graded one, four;

    (void)state;
    threads = 1;
    many_visits(&one);
    threads = 4;
    many_visits(&four);
    threads = 2;
    assert_true(one.o.matched > MANY);
    assert_int_equal(one.o.matched, four.o.matched);
    assert_memory_equal(one.o.verdict, four.o.verdict,
                        one.o.matched * one.o.roll_ups * sizeof *one.o.verdict);
    assert_memory_equal(one.o.grade, four.o.grade, one.o.count * sizeof *one.o.grade);
    assert_memory_equal(one.o.rank, four.o.rank, one.o.count * sizeof *one.o.rank);
    assert_memory_equal(&one.stats, &four.stats, sizeof one.stats);
    end(&one);
    end(&four);
}

static void a_scheme_whose_grades_fall_with_age_is_told(void **state)
{
    static const char *const codes[][2] = {{"BAC", "B"}, {"BAB", "C"}, {"BAB", "B"}, {"BAB", "A"}};
    static char dates[60][16];
    seen_row rows[60];

    (void)state;
    for (int turned = 0; turned < 2; turned++) {
        graded g;

        begin(&g);
        assert_int_equal(hn_table_want(g.net.table, HN_COL_YEAR_BUILT, NULL), HN_OK);
        HN_F32(g.net.table, YEAR_BUILT)[row_of(&g.net, "a")] = 1950;
        for (int i = 0; i < 60; i++) {
            const char *const *code = codes[turned ? 3 - i / 15 : i / 15];

            snprintf(dates[i], sizeof dates[i], "%d-06-01", 1960 + i);
            rows[i] =
                (seen_row){"a", "", "", "", dates[i], code[0], code[1], NAN, 10, NAN, 0, NULL};
        }
        see(&g, rows, 60);
        /* structural and tightness; nothing is seen of service, so it never changes */
        assert_int_equal(issues_of(&g.net, "grades_fall_with_age"), turned ? 0 : 2);
        end(&g);
    }
}

static void no_allocation_that_fails_leaks_or_crashes(void **state)
{
    static const seen_row rows[] = {
        {"a", "", "", "", "2020-01-01", "BAB", "B", NAN, 10, NAN, 0, NULL},
        {"b", "", "", "", "2020-01-01", "BAC", "B", NAN, 10, NAN, 0, NULL}};

    (void)state;
    for (size_t nth = 1; nth < 400; nth++) {
        graded g;
        hn_observed one = {.code = "BAB",
                           .ch1 = "B",
                           .from_m = 1,
                           .to_m = NAN,
                           .q1 = NAN,
                           .q2 = NAN,
                           .clock_from = NAN,
                           .clock_to = NAN};
        hn_status rc = HN_OK;

        begin(&g);
        for (size_t i = 0; i < 2; i++) {
            one.segment = text_id(&g, rows[i].id);
            hn_date_parse(rows[i].date, &one.date);
            assert_int_equal(hn_observations_add(&g.o, &one, NULL), HN_OK);
        }
        hn_alloc_fail_after(nth);
        rc = hn_observe(g.net.table, &g.net.plan, &g.net.plane, 1, &g.inspections, &g.o, &g.stats,
                        &g.net.issues, NULL);
        hn_alloc_fail_after(0);
        end(&g);
        if (rc == HN_OK)
            return;
        assert_int_equal(rc, HN_ERR_MEMORY);
    }
    fail_msg("400 allocations for two observations");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(visits_match_by_id_nodes_reversed_and_inspection),
        cmocka_unit_test(places_follow_direction_and_surveyed_length),
        cmocka_unit_test(distances_on_a_piece_are_moved_onto_the_whole_segment),
        cmocka_unit_test(a_piece_seen_is_no_complete_inspection_of_the_whole),
        cmocka_unit_test(marks_make_one_defect_of_two_rows),
        cmocka_unit_test(what_cannot_be_told_gives_no_grade),
        cmocka_unit_test(doubles_count_once_and_doubtful_places_are_listed),
        cmocka_unit_test(recorded_grades_stay_unless_the_plan_replaces_them),
        cmocka_unit_test(a_large_network_keeps_the_worst),
        cmocka_unit_test(grades_that_look_wrong_as_a_whole_are_told),
        cmocka_unit_test(grades_do_not_depend_on_the_threads),
        cmocka_unit_test(a_scheme_whose_grades_fall_with_age_is_told),
        cmocka_unit_test(no_allocation_that_fails_leaks_or_crashes),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
