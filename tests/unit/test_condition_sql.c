/* The column loop and SQLite must agree on every expression and every row. */
#include "test_util.h"

#include "table/condition_sql.h"
#include "table/segment_table.h"

#include <stdio.h>
#include <string.h>

enum { ROWS = 1300 };

static const char *const expressions[] = {
    "width_mm > 2700",
    "width_mm <= 914.4 AND shape = 'circle'",
    "material IN ('brick', 'concrete') OR year_built < 1900",
    "material NOT IN ('brick', 'never seen')",
    "NOT (is_collapsed = 1)",
    "height_mm / width_mm > 1.4",
    "width_mm BETWEEN 800 AND 914",
    "width_mm NOT BETWEEN 800 AND 914",
    "year_built IS NULL",
    "material IS NOT NULL AND shape IS NULL",
    "coalesce(width_mm, 0) = 0",
    "max(width_mm, height_mm) >= 1000 AND min(width_mm, height_mm) < 900",
    "CASE WHEN width_mm < 300 THEN 1 WHEN shape = 'egg' THEN 0 ELSE year_built END > 0",
    "1",
    "0 OR width_mm",
    "-width_mm < -500",
    "2 * 3 + width_mm / 2.0 - 1 > 400",
    "source_rows / 2 = 1",
    "source_rows * 2 = 6",
    "near_rail_m <= 30",
    "near_moon_m <= 30",
    "shape <> 'egg'",
    "1/2 = 0",
    "width_mm = 300 = 1",
    "width_mm > '5'",
    "material < 'c'",
    "is_collapsed",
    "year_built IN (1900, 1950, 2000)",
    "inspected_on > '2010-01-01'",
    "inspected_on IS NULL",
    "upper(material) = 'BRICK'",
    "ABS(width_mm - height_mm) > 300",
    "NULLIF(material, 'pvc') IN ('brick', 'pvc')",
    "NULLIF(material, 'pvc') NOT IN ('brick', 'concrete')",
    "COALESCE(material, 'clay') <> 'brick'",
    "COALESCE(material, 'clay') IN ('clay', 'pvc')",
    "COALESCE(shape, 'egg') = 'egg'",
    "NULLIF(material, 'never') = 'brick'",
    "inspected_on IS NOT NULL AND width_mm IS NULL",
    "COALESCE(year_built, 1800) < 1900",
};
enum { COUNT = sizeof expressions / sizeof expressions[0] };

static unsigned next_random(unsigned *state)
{
    *state = *state * 1664525u + 1013904223u;
    return *state >> 8;
}

static hn_table *random_table(void)
{
    static const char *const materials[] = {"brick", "concrete", "pvc", ""};
    static const hn_column_id wanted[] = {HN_COL_WIDTH_MM,     HN_COL_HEIGHT_MM,
                                          HN_COL_YEAR_BUILT,   HN_COL_MATERIAL,
                                          HN_COL_SHAPE,        HN_COL_COLLAPSED,
                                          HN_COL_SOURCE_ROWS,  HN_COL_INSPECTED_ON};
    hn_table *t;
    float *rail;
    unsigned s = 7;

    assert_int_equal(hn_table_new(&t, NULL), HN_OK);
    assert_int_equal(hn_table_reserve(t, ROWS, NULL), HN_OK);
    t->rows = ROWS;
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++)
        assert_int_equal(hn_table_want(t, wanted[i], NULL), HN_OK);
    assert_int_equal(hn_table_add_extra(t, "near_rail_m", "Rail", "Distance", &rail, NULL), HN_OK);
    for (size_t i = 0; i < ROWS; i++) {
        const char *m = materials[next_random(&s) % 4];

        HN_F64(t, WIDTH_MM)[i] = next_random(&s) % 5 ? 100.0 * (double)(next_random(&s) % 30) : NAN;
        HN_F64(t, HEIGHT_MM)[i] = next_random(&s) % 5 ? 150.0 * (double)(next_random(&s) % 20) : NAN;
        HN_F32(t, YEAR_BUILT)[i] = next_random(&s) % 4 ? 1900.0f + 50.0f * (float)(next_random(&s) % 3) : NAN;
        HN_STR(t, MATERIAL)[i] = hn_text_pool_add(t->texts, m, strlen(m));
        HN_CODE(t, SHAPE)[i] = next_random(&s) % 3 ? (uint8_t)(next_random(&s) % 4) : 255;
        HN_CODE(t, COLLAPSED)[i] = next_random(&s) % 3 ? (uint8_t)(next_random(&s) % 2) : 255;
        HN_I32(t, SOURCE_ROWS)[i] = next_random(&s) % 3 ? (int32_t)(next_random(&s) % 5) : HN_I32_MISSING;
        HN_I32(t, INSPECTED_ON)[i] = next_random(&s) % 3 ? (int32_t)(next_random(&s) % 20000) : HN_I32_MISSING;
        rail[i] = next_random(&s) % 3 ? (float)(next_random(&s) % 60) : INFINITY;
    }
    return t;
}

static void both_ways_agree(void **state)
{
    hn_table *t = random_table();
    char slow_text[COUNT][256];
    const char *slow[COUNT], *where[COUNT];
    hn_condition_set *fast_set, *slow_set;
    static uint8_t fast_out[COUNT * ROWS], slow_out[COUNT * ROWS];
    static double fast_number[COUNT * ROWS], slow_number[COUNT * ROWS];
    hn_error err = {0};

    (void)state;
    for (size_t i = 0; i < COUNT; i++) {
        /* the column loop does not know the unary plus, SQLite ignores it */
        snprintf(slow_text[i], sizeof slow_text[i], "+(%s)", expressions[i]);
        slow[i] = slow_text[i];
        where[i] = "test";
    }
    if (hn_condition_compile(t, expressions, where, COUNT, &fast_set, &err) != HN_OK)
        fail_msg("%s", err.message);
    assert_int_equal(hn_condition_compile(t, slow, where, COUNT, &slow_set, &err), HN_OK);
    assert_int_equal(hn_condition_fast_count(slow_set), 0);
    assert_true(hn_condition_fast_count(fast_set) >= 30);
    assert_int_equal(hn_condition_truth(fast_set, 0, ROWS, fast_out, ROWS, &err), HN_OK);
    assert_int_equal(hn_condition_truth(slow_set, 0, ROWS, slow_out, ROWS, &err), HN_OK);
    assert_int_equal(hn_condition_number(fast_set, 0, ROWS, fast_number, ROWS, &err), HN_OK);
    assert_int_equal(hn_condition_number(slow_set, 0, ROWS, slow_number, ROWS, &err), HN_OK);
    for (size_t i = 0; i < COUNT; i++)
        for (size_t r = 0; r < ROWS; r++) {
            double a = fast_number[i * ROWS + r], b = slow_number[i * ROWS + r];

            if (fast_out[i * ROWS + r] != slow_out[i * ROWS + r])
                fail_msg("%s: row %zu is %d, SQLite says %d", expressions[i], r,
                         fast_out[i * ROWS + r], slow_out[i * ROWS + r]);
            if (!(a == b || (isnan(a) && isnan(b))))
                fail_msg("%s: row %zu is %g, SQLite says %g", expressions[i], r, a, b);
        }
    hn_condition_free(fast_set);
    hn_condition_free(slow_set);
    hn_table_free(t);
}

static void faults_name_the_rule_and_the_nearest_column(void **state)
{
    hn_table *t = random_table();
    static const char *const bad[] = {"widht_mm > 3", "width_mm >", "1) FROM segments; DROP TABLE x",
                                      "width_mm, 1", "(SELECT 1 FROM sqlite_master)"};
    const char *where = "config/method_rules.csv, rule r1";

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        hn_condition_set *set;
        hn_error err = {0};

        assert_int_equal(hn_condition_compile(t, &bad[i], &where, 1, &set, &err), HN_ERR_PLAN);
        assert_null(set);
        assert_non_null(strstr(err.message, "rule r1"));
        if (i == 0)
            assert_non_null(strstr(err.hint, "width_mm"));
    }
    hn_table_free(t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_ways_agree),
        cmocka_unit_test(faults_name_the_rule_and_the_nearest_column),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
