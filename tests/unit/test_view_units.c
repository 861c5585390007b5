/* unit/test_view_units.c - a view in US customary units: values, units and names
 * change together, and what has no metre in it stays. */
#include "test_util.h"

#include "base/arena.h"
#include "table/view_units.h"

static const hn_view_column columns[] = {
    {"wall_mm", "", "", "mm", HN_VIEW_REAL, 1, NULL, 0},
    {"length_m", "", "", "m", HN_VIEW_REAL, 1, NULL, 0},
    {"rate_per_m", "", "", "EUR/m", HN_VIEW_REAL, 2, NULL, 0},
    {"slope_m_per_m", "", "", "m/m", HN_VIEW_REAL, 5, NULL, 0},
    {"cost", "", "", "EUR", HN_VIEW_REAL, 2, NULL, 0},
    {"risk", "", "", "EUR/year", HN_VIEW_REAL, 2, NULL, 0},
};
enum { COLUMNS = sizeof columns / sizeof columns[0] };

static void fill(const void *context, size_t row, hn_cell *cells, hn_scratch *scratch)
{
    static const double values[COLUMNS] = {25.4, 30.48, 100.0, 0.01, 7.0, 3.0};

    (void)context;
    (void)row;
    (void)scratch;
    for (int c = 0; c < COLUMNS; c++)
        cells[c].r = values[c];
}

/* 1 ft is 0.3048 m exactly: 100 money a metre are 30.48 money a foot. */
static void prices_by_length_change_with_the_lengths(void **state)
{
    static const char *const names[COLUMNS] = {"wall_in",       "length_ft", "rate_per_ft",
                                               "slope_m_per_m", "cost",      "risk"};
    static const char *const units[COLUMNS] = {"in", "ft", "EUR/ft", "m/m", "EUR", "EUR/year"};
    static const double values[COLUMNS] = {1.0, 100.0, 30.48, 0.01, 7.0, 3.0};
    const hn_view metric = {
        .name = "t", .columns = columns, .column_count = COLUMNS, .rows = 1, .row = fill};
    const hn_view *us;
    hn_cell cells[COLUMNS];
    hn_arena arena = {0};
    hn_error err = {0};

    (void)state;
    assert_int_equal(hn_view_in_us_units(&metric, &arena, &us, &err), HN_OK);
    us->row(us->context, 0, cells, NULL);
    for (int c = 0; c < COLUMNS; c++) {
        assert_string_equal(us->columns[c].name, names[c]);
        assert_string_equal(us->columns[c].unit, units[c]);
        assert_close(cells[c].r, values[c], 1e-12);
    }
    hn_arena_clear(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(prices_by_length_change_with_the_lengths),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
