/* unit/page_fixture.h - made-up rows of all kinds, and the judges of what the page
 * writer makes of them: SQL fills the same views, and SQLite checks the pages. */
#ifndef HN_UNIT_PAGE_FIXTURE_H
#define HN_UNIT_PAGE_FIXTURE_H

#include "test_util.h"
#include "write_fixture.h"

#include "base/alloc.h"
#include "write/gpkg_file.h"
#include "write/gpkg_layer.h"
#include "write/page_file.h"
#include "write/page_table.h"

#include <cpl_conv.h>
#include <gdal.h>
#include <ogr_api.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/resource.h>

static char folder[64];

static inline int set_up(void **state)
{
    (void)state;
    GDALAllRegister();
    fixture_folder(folder);
    return 0;
}

static inline int tear_down(void **state)
{
    (void)state;
    hn_gpkg_use_sql(0);
    fixture_remove(folder);
    return 0;
}

static inline const char *in_folder(const char *name)
{
    static char paths[4][100];
    static int next;
    char *path = paths[next++ % 4];

    snprintf(path, sizeof paths[0], "%s/%s", folder, name);
    return path;
}

/* ---- made-up rows of all kinds; safe in several threads ---- */

enum { TEXT_ROOM = 1 << 17, POINTS = 100000, COLUMNS = 6 };
static const hn_view_column columns[COLUMNS] = {
    {"text", "Text", "m", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"whole", "Whole", "m", "", HN_VIEW_INT, 0, NULL, 0},
    {"number", "Number", "m", "", HN_VIEW_REAL, 0, NULL, 0},
    {"yes", "Yes", "m", "", HN_VIEW_BOOL, 0, NULL, 0},
    {"day", "Day", "m", "", HN_VIEW_DATE, 0, NULL, 0},
    {"other", "Other", "m", "", HN_VIEW_TEXT, 0, NULL, 0}};

static char long_text[TEXT_ROOM];
static double line_xy[2 * POINTS];

/* How long a row's text is and how many points its line has; 0 for null. */
typedef struct lengths {
    size_t (*text_bytes)(size_t row);
    size_t (*points)(size_t row);
} lengths;

static inline uint64_t noise(size_t row, uint64_t salt)
{
    uint64_t x = (row + 1) * 0x9E3779B97F4A7C15ULL + salt * 0xD1B54A32D192ED03ULL;

    x ^= x >> 29;
    x *= 0xBF58476D1CE4E5B9ULL;
    return x ^ x >> 32;
}

/* Whole numbers on both sides of every size that the format knows. */
static inline int64_t some_int(size_t row)
{
    static const int64_t steps[] = {0,
                                    1,
                                    2,
                                    127,
                                    128,
                                    32767,
                                    32768,
                                    8388607,
                                    8388608,
                                    2147483647,
                                    2147483648,
                                    140737488355327,
                                    140737488355328,
                                    INT64_MAX,
                                    INT64_MAX - 1};
    const int64_t value = steps[row % (sizeof steps / sizeof *steps)];

    return row / 15 % 2 ? value : -value - (int64_t)(row / 30 % 2);
}

static inline double some_real(size_t row)
{
    static const double values[] = {0.0,
                                    -0.0,
                                    1.0,
                                    -1.0,
                                    0.1,
                                    1e15,
                                    1e14,
                                    1e300,
                                    5e-324,
                                    INFINITY,
                                    -INFINITY,
                                    NAN,
                                    140737488355327.0,
                                    140737488355328.0,
                                    -140737488355328.0,
                                    9007199254740993.0,
                                    300,
                                    -129};

    return row % 3 ? (double)(int64_t)noise(row, 5) / 1e7
                   : values[row / 3 % (sizeof values / sizeof *values)];
}

static inline void any_row(const void *context, size_t row, hn_cell *cells, hn_scratch *scratch)
{
    const lengths *l = context;
    const size_t bytes = l->text_bytes(row);

    for (int c = 0; c < COLUMNS; c++)
        cells[c] = (hn_cell){0};
    hn_cell_text(&cells[0], bytes ? long_text + TEXT_ROOM - 1 - bytes : NULL);
    hn_cell_int(&cells[1], some_int(row));
    cells[2].r = some_real(row);
    hn_cell_int(&cells[3], noise(row, 1) % 2 ? 7 : 0);
    hn_cell_int(&cells[4], (int64_t)(noise(row, 2) % 40000) - 10000);
    hn_cell_text(&cells[5], hn_scratch_printf(scratch, "S%zu", row));
    for (int c = 1; c < COLUMNS; c++)
        if (noise(row, 10 + (uint64_t)c) % 11 == 0)
            hn_cell_null(&cells[c]);
}

static inline void any_shape(const void *context, size_t row, hn_shape_ref *out,
                             hn_scratch *scratch)
{
    const lengths *l = context;
    const size_t points = l->points(row);

    scratch->xy[0] = line_xy + 2 * (noise(row, 3) % (POINTS - points + 1));
    scratch->points[0] = points;
    *out = (hn_shape_ref){0, points > 1, scratch->xy, NULL, scratch->points};
}

static inline void make_stock(void)
{
    for (size_t i = 0; i + 1 < TEXT_ROOM; i++)
        long_text[i] = (char)('a' + i * i % 23);
    for (size_t i = 0; i < POINTS; i++) {
        line_xy[2 * i] = 500000 + (double)(noise(i, 8) % 1000000) / 50;
        line_xy[2 * i + 1] = 5000000 + (double)(noise(i, 9) % 1000000) / 50;
    }
}

static inline hn_view any_view(const char *name, const lengths *l, size_t rows,
                               hn_view_geometry geometry)
{
    return (hn_view){.name = name,
                     .title = name,
                     .meaning = "Rows.",
                     .geometry = geometry,
                     .columns = columns,
                     .column_count = COLUMNS,
                     .rows = rows,
                     .context = l,
                     .row = any_row,
                     .shape = any_shape};
}

static inline size_t short_text(size_t row)
{
    return noise(row, 4) % 40;
}
static inline size_t short_line(size_t row)
{
    return row % 97 ? 2 + noise(row, 6) % 5 : 0;
}
static const lengths plain = {short_text, short_line};

/* ---- writing and judging ---- */

static inline hn_status try_write(const char *path, const hn_view *const *views, size_t count,
                                  int threads, hn_error *err)
{
    const hn_result_spec spec = {.views = views,
                                 .view_count = count,
                                 .crs_epsg = 25832,
                                 .title = "t",
                                 .lineage = "l",
                                 .as_of = 20454,
                                 .threads = threads};
    hn_pace pace;

    hn_pace_init(&pace, 1, NULL, NULL);
    unlink(path);
    return hn_gpkg_write(path, &spec, &pace, err);
}

static inline void write_views(const char *path, const hn_view *const *views, size_t count,
                               int threads, int by_sql)
{
    hn_error err = {0};

    hn_gpkg_use_sql(by_sql);
    if (try_write(path, views, count, threads, &err) != HN_OK)
        fail_msg("%s", err.message);
    hn_gpkg_use_sql(0);
    assert_int_equal(hn_alloc_live(), 0);
}

static inline sqlite3 *open_file(const char *path)
{
    sqlite3 *db = NULL;

    assert_int_equal(sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    return db;
}

static inline sqlite3_stmt *ask(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *query = NULL;

    if (sqlite3_prepare_v2(db, sql, -1, &query, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sql, sqlite3_errmsg(db));
    return query;
}

static inline void assert_answer(sqlite3 *db, const char *sql, const char *expected)
{
    sqlite3_stmt *query = ask(db, sql);

    assert_int_equal(sqlite3_step(query), SQLITE_ROW);
    assert_string_equal((const char *)sqlite3_column_text(query, 0), expected);
    sqlite3_finalize(query);
}

static inline void assert_sound(const char *path)
{
    sqlite3 *db = open_file(path);
    sqlite3_stmt *names = ask(db, "SELECT 'SELECT rtreecheck('''||name||''')' FROM sqlite_master"
                                  " WHERE sql LIKE 'CREATE VIRTUAL%'");

    assert_answer(db, "PRAGMA integrity_check", "ok");
    while (sqlite3_step(names) == SQLITE_ROW)
        assert_answer(db, (const char *)sqlite3_column_text(names, 0), "ok");
    sqlite3_finalize(names);
    sqlite3_close(db);
}

/* Row by row, with the type of every value. */
static inline void assert_same_answers(sqlite3 *a, sqlite3 *b, const char *sql)
{
    sqlite3_stmt *x = ask(a, sql), *y = ask(b, sql);
    int code;

    do {
        code = sqlite3_step(x);
        assert_int_equal(sqlite3_step(y), code);
        for (int c = 0; code == SQLITE_ROW && c < sqlite3_column_count(x); c++) {
            const void *p = sqlite3_column_blob(x, c), *q = sqlite3_column_blob(y, c);
            const int bytes = sqlite3_column_bytes(x, c);

            if (sqlite3_column_type(x, c) != sqlite3_column_type(y, c) ||
                bytes != sqlite3_column_bytes(y, c) || (bytes && memcmp(p, q, (size_t)bytes) != 0))
                fail_msg("%s: column %d differs", sql, c);
        }
    } while (code == SQLITE_ROW);
    assert_int_equal(code, SQLITE_DONE);
    sqlite3_finalize(x);
    sqlite3_finalize(y);
}

static inline void assert_same_content(const char *path_a, const char *path_b)
{
    sqlite3 *a = open_file(path_a), *b = open_file(path_b);
    sqlite3_stmt *tables = ask(a, "SELECT 'SELECT * FROM \"'||name||'\"' FROM sqlite_master"
                                  " WHERE type = 'table'");
    int count = 0;

    assert_same_answers(a, b,
                        "SELECT type, name, tbl_name, sql FROM sqlite_master"
                        " ORDER BY type, name");
    for (; sqlite3_step(tables) == SQLITE_ROW; count++)
        assert_same_answers(a, b, (const char *)sqlite3_column_text(tables, 0));
    assert_true(count > 10);
    sqlite3_finalize(tables);
    sqlite3_close(a);
    sqlite3_close(b);
}

/* Pages with 1, 2 and 4 threads and SQL: sound, equal bytes, equal content. */
static inline void check_views(const hn_view *const *views, size_t count)
{
    static const int threads[] = {1, 2, 4};

    write_views(in_folder("sql.gpkg"), views, count, 2, 1);
    assert_false(hn_gpkg_used_pages());
    for (size_t i = 0; i < sizeof threads / sizeof *threads; i++) {
        write_views(in_folder(i ? "again.gpkg" : "pages.gpkg"), views, count, threads[i], 0);
        assert_true(hn_gpkg_used_pages());
        if (i)
            assert_true(fixture_same_bytes(in_folder("again.gpkg"), in_folder("pages.gpkg")));
    }
    assert_sound(in_folder("pages.gpkg"));
    assert_same_content(in_folder("sql.gpkg"), in_folder("pages.gpkg"));
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

#endif
