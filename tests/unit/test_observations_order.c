/* Observations in the order of their visits, and some of them out. */
#include "test_util.h"

#include "table/observations.h"

#include <math.h>
#include <stdio.h>

enum { VISITS = 7 };

/* Visit 3 gets hundreds of rows, the others few; places repeat, and some are missing. */
static void fill(hn_observations *o, size_t count)
{
    assert_int_equal(hn_observations_init(o, NULL), HN_OK);
    for (size_t i = 0; i < count; i++) {
        char remark[16];
        hn_observed row = {.inspection_id = i % 10 ? 4 : (uint32_t)(1 + i % VISITS),
                           .date = HN_I32_MISSING,
                           .code = "BAB",
                           .remark = remark,
                           .from_m = i % 11 == 5 ? (double)NAN : (double)(i * 7919 % 13),
                           .to_m = (double)NAN,
                           .q1 = (double)i};

        snprintf(remark, sizeof remark, "r%zu", i);
        assert_int_equal(hn_observations_add(o, &row, NULL), HN_OK);
    }
}

static void order_back_to_front(hn_observations *o)
{
    uint32_t rank[VISITS];

    assert_int_equal(o->visits.count, VISITS);
    for (uint32_t v = 0; v < VISITS; v++)
        rank[v] = VISITS - 1 - v;
    assert_int_equal(hn_observations_order(o, rank, NULL), HN_OK);
}

/* Before b: at a smaller place, a missing one last, else added earlier. */
static int stands_before(const hn_observations *o, size_t a, size_t b)
{
    const double x = (double)o->from_m[a], y = (double)o->from_m[b];

    if (isnan(x) != isnan(y))
        return isnan(y);
    if (!isnan(x) && (x < y || x > y))
        return x < y;
    return o->q1[a] < o->q1[b];
}

static void rows_lie_by_visit_then_place_then_as_added(void **state)
{
    hn_observations o;

    (void)state;
    fill(&o, 2000);
    order_back_to_front(&o);
    assert_int_equal(o.start[0], 0);
    assert_int_equal(o.start[VISITS], 2000);
    for (size_t v = 0; v < VISITS; v++)
        for (size_t i = o.start[v]; i < o.start[v + 1]; i++) {
            char remark[16];

            snprintf(remark, sizeof remark, "r%.0f", (double)o.q1[i]);
            assert_string_equal(hn_observed_text(&o, o.remark[i]), remark);
            assert_int_equal(o.visit[i], v);
            assert_true(i == o.start[v] || stands_before(&o, i - 1, i));
        }
    hn_observations_clear(&o);
}

static void what_is_kept_keeps_its_order(void **state)
{
    hn_observations o;
    uint8_t keep[2000] = {0};
    float expected[2000];
    size_t kept = 0;

    (void)state;
    fill(&o, 2000);
    order_back_to_front(&o);
    for (size_t i = 0; i < 2000; i++) {
        o.rank[i] = (uint16_t)i;
        o.grade[i] = (float)i / 2;
        keep[i] = i % 5 == 2 || i > 1990;
        if (keep[i])
            expected[kept++] = o.q1[i];
    }
    hn_observations_keep(&o, keep);
    assert_int_equal(o.count, kept);
    assert_int_equal(o.start[VISITS], kept);
    for (size_t i = 0; i < kept; i++) {
        assert_true(o.q1[i] >= expected[i] && o.q1[i] <= expected[i]);
        assert_close((double)o.grade[i], o.rank[i] / 2.0, 1e-12);
    }
    hn_observations_clear(&o);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_lie_by_visit_then_place_then_as_added),
        cmocka_unit_test(what_is_kept_keeps_its_order),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
