/* Dates, names, texts, arenas, allocation that fails, ranges on threads. */
#include "test_util.h"

#include "base/alloc.h"
#include "base/arena.h"
#include "base/dates.h"
#include "base/nearest.h"
#include "base/parallel.h"
#include "base/text_pool.h"

#include <stdio.h>
#include <string.h>

static void dates_go_there_and_back(void **state)
{
    char text[HN_DATE_TEXT];
    int32_t day;

    (void)state;
    assert_int_equal(hn_date_days(1970, 1, 1), 0);
    assert_int_equal(hn_date_days(2000, 3, 1), 11017);
    for (int32_t d = -200000; d < 200000; d += 37) {
        int y, m, n;

        hn_date_civil(d, &y, &m, &n);
        assert_int_equal(hn_date_days(y, m, n), d);
    }
    assert_true(hn_date_parse("2024-02-29", &day));
    hn_date_text(day, text);
    assert_string_equal(text, "2024-02-29");
    assert_false(hn_date_parse("2023-02-29", &day));
    assert_false(hn_date_parse("2023-13-01", &day));
    assert_false(hn_date_parse("yesterday", &day));
    assert_close(hn_date_year(hn_date_days(2026, 7, 2)), 2026.0 + 182.0 / 365.0, 1e-12);
}

static void the_nearest_name_is_found_within_reason(void **state)
{
    static const char *const names[] = {"width_mm", "height_mm", "material"};

    (void)state;
    assert_string_equal(hn_nearest_of("widht_mm", names, 3), "width_mm");
    assert_string_equal(hn_nearest_of("Material", names, 3), "material");
    assert_null(hn_nearest_of("zzz", names, 3));
}

static void every_text_has_one_number(void **state)
{
    hn_text_pool *pool = hn_text_pool_new();
    char text[32];

    (void)state;
    for (uint32_t i = 0; i < 20000; i++) {
        int n = snprintf(text, sizeof text, "S%u", i % 10000);
        uint32_t id = hn_text_pool_add(pool, text, (size_t)n);

        assert_int_equal(id, i % 10000 + 1);
        assert_string_equal(hn_text_pool_get(pool, id), text);
        assert_int_equal(hn_text_pool_length(pool, id), (uint32_t)n);
    }
    assert_int_equal(hn_text_pool_count(pool), 10001);
    assert_int_equal(hn_text_pool_find(pool, "S77", 3), 78);
    assert_int_equal(hn_text_pool_find(pool, "nobody", 6), 0);
    assert_int_equal(hn_text_pool_add(pool, "", 0), 0);
    hn_text_pool_seal(pool);
    assert_string_equal(hn_text_pool_get(pool, 78), "S77");
    assert_int_equal(hn_text_pool_find(pool, "S77", 3), 0);
    assert_int_equal(hn_text_pool_add(pool, "new", 3), UINT32_MAX);
    hn_text_pool_free(pool);
}

static void a_failed_allocation_leaves_no_block_behind(void **state)
{
    size_t before = hn_alloc_live();

    (void)state;
    for (size_t nth = 1; nth < 8; nth++) {
        hn_text_pool *pool;
        hn_arena arena = {0};

        hn_alloc_fail_after(nth);
        pool = hn_text_pool_new();
        if (pool)
            hn_text_pool_add(pool, "x", 1);
        hn_arena_text(&arena, "some text");
        hn_alloc_fail_after(0);
        hn_arena_clear(&arena);
        hn_text_pool_free(pool);
        assert_int_equal(hn_alloc_live(), before);
    }
    assert_null(hn_alloc(SIZE_MAX / 2, 4));
}

static void count_rows(void *context, size_t begin, size_t end, int worker)
{
    (void)worker;
    for (size_t i = begin; i < end; i++)
        ((uint8_t *)context)[i]++;
}

static void every_row_is_done_once_whatever_the_threads(void **state)
{
    static uint8_t done[100003];

    (void)state;
    for (int threads = 1; threads <= 5; threads++) {
        memset(done, 0, sizeof done);
        hn_parallel_blocks(threads, sizeof done, 977, count_rows, done);
        for (size_t i = 0; i < sizeof done; i++)
            assert_int_equal(done[i], 1);
    }
    hn_parallel(4, 0, count_rows, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(dates_go_there_and_back),
        cmocka_unit_test(the_nearest_name_is_found_within_reason),
        cmocka_unit_test(every_text_has_one_number),
        cmocka_unit_test(a_failed_allocation_leaves_no_block_behind),
        cmocka_unit_test(every_row_is_done_once_whatever_the_threads),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
