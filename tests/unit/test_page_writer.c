/* The page writer against its oracle: SQL fills the same views, and SQLite
 * itself judges the pages. */
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

static int set_up(void **state)
{
    (void)state;
    GDALAllRegister();
    fixture_folder(folder);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    hn_gpkg_use_sql(0);
    fixture_remove(folder);
    return 0;
}

static const char *in_folder(const char *name)
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

static uint64_t noise(size_t row, uint64_t salt)
{
    uint64_t x = (row + 1) * 0x9E3779B97F4A7C15ULL + salt * 0xD1B54A32D192ED03ULL;

    x ^= x >> 29;
    x *= 0xBF58476D1CE4E5B9ULL;
    return x ^ x >> 32;
}

/* Whole numbers on both sides of every size that the format knows. */
static int64_t some_int(size_t row)
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

static double some_real(size_t row)
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

static void any_row(const void *context, size_t row, hn_cell *cells, hn_scratch *scratch)
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

static void any_shape(const void *context, size_t row, hn_shape_ref *out, hn_scratch *scratch)
{
    const lengths *l = context;
    const size_t points = l->points(row);

    scratch->xy[0] = line_xy + 2 * (noise(row, 3) % (POINTS - points + 1));
    scratch->points[0] = points;
    *out = (hn_shape_ref){0, points > 1, scratch->xy, NULL, scratch->points};
}

static void make_stock(void)
{
    for (size_t i = 0; i + 1 < TEXT_ROOM; i++)
        long_text[i] = (char)('a' + i * i % 23);
    for (size_t i = 0; i < POINTS; i++) {
        line_xy[2 * i] = 500000 + (double)(noise(i, 8) % 1000000) / 50;
        line_xy[2 * i + 1] = 5000000 + (double)(noise(i, 9) % 1000000) / 50;
    }
}

static hn_view any_view(const char *name, const lengths *l, size_t rows, hn_view_geometry geometry)
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

static size_t short_text(size_t row)
{
    return noise(row, 4) % 40;
}
static size_t short_line(size_t row)
{
    return row % 97 ? 2 + noise(row, 6) % 5 : 0;
}
static const lengths plain = {short_text, short_line};

/* ---- writing and judging ---- */

static hn_status try_write(const char *path, const hn_view *const *views, size_t count, int threads,
                           hn_error *err)
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

static void write_views(const char *path, const hn_view *const *views, size_t count, int threads,
                        int by_sql)
{
    hn_error err = {0};

    hn_gpkg_use_sql(by_sql);
    if (try_write(path, views, count, threads, &err) != HN_OK)
        fail_msg("%s", err.message);
    hn_gpkg_use_sql(0);
    assert_int_equal(hn_alloc_live(), 0);
}

static sqlite3 *open_file(const char *path)
{
    sqlite3 *db = NULL;

    assert_int_equal(sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    return db;
}

static sqlite3_stmt *ask(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *query = NULL;

    if (sqlite3_prepare_v2(db, sql, -1, &query, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sql, sqlite3_errmsg(db));
    return query;
}

static void assert_answer(sqlite3 *db, const char *sql, const char *expected)
{
    sqlite3_stmt *query = ask(db, sql);

    assert_int_equal(sqlite3_step(query), SQLITE_ROW);
    assert_string_equal((const char *)sqlite3_column_text(query, 0), expected);
    sqlite3_finalize(query);
}

static void assert_sound(const char *path)
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
static void assert_same_answers(sqlite3 *a, sqlite3 *b, const char *sql)
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

static void assert_same_content(const char *path_a, const char *path_b)
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
static void check_views(const hn_view *const *views, size_t count)
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

static void check_lengths(const lengths *l, size_t rows)
{
    const hn_view layer = any_view("layer", l, rows, HN_GEOMETRY_LINE);
    const hn_view table = any_view("bare", l, rows, HN_GEOMETRY_NONE);
    const hn_view *const views[] = {&table, &layer};

    check_views(views, 2);
}

static void pages_and_sql_hold_the_same_for_any_number_of_rows(void **state)
{
    static const size_t sizes[] = {0,   1,    2,    3,    20,   40,   51,   52,
                                   300, 1024, 1025, 2600, 2700, 5000, 60000};

    (void)state;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        check_lengths(&plain, sizes[i]);
}

/* The other values of a row take up to 70 bytes, so every size of record around
 * the limit of a page (4,061 bytes) and of one and two overflow pages is met. */
static size_t text_near_limit(size_t row)
{
    return row < 200 ? 3900 + row : row < 400 ? 4300 + row - 200 : 8400 + row - 400;
}
static size_t no_line(size_t row)
{
    (void)row;
    return 0;
}

static void records_around_the_limit_of_a_page_are_whole(void **state)
{
    const lengths l = {text_near_limit, no_line};

    (void)state;
    check_lengths(&l, 900);
}

static size_t text_of_10_kb(size_t row)
{
    return row % 3 ? 10000 + row : row % 5;
}
static size_t long_line(size_t row)
{
    return row % 40 == 7 ? POINTS : row % 10 == 3 ? 5000 : short_line(row);
}

static void long_texts_and_lines_are_whole(void **state)
{
    const lengths l = {text_of_10_kb, long_line};

    (void)state;
    check_lengths(&l, 1); /* one leaf with overflow: it lies in the root page */
    check_lengths(&l, 8);
    check_lengths(&l, 300); /* more than is kept in memory at a time */
}

static size_t text_of_three_pages(size_t row)
{
    return 10000 + row;
}

static void a_table_of_one_leaf_with_overflow_is_whole(void **state)
{
    const lengths l = {text_of_three_pages, no_line};

    (void)state;
    check_lengths(&l, 1);
    check_lengths(&l, 2);
    check_lengths(&l, 3);
}

/* One row a page and rowids of six bytes, so that interior pages get full. */
static hn_status put_big_rowid(const void *context, void *room, size_t row, hn_page_record *record,
                               int64_t *rowid, hn_error *err)
{
    (void)context;
    (void)room;
    (void)err;
    *rowid = ((int64_t)1 << 40) + (int64_t)row;
    hn_record_null(record);
    hn_record_text(record, long_text, 3000);
    return HN_OK;
}

static void fill_big_rowids(const char *path, size_t rows)
{
    const hn_page_source source = {.rows = rows, .values = 2, .put = put_big_rowid};
    hn_page_file file;
    hn_error err = {0};
    char count[32];
    sqlite3 *db;

    unlink(path);
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "CREATE TABLE t(id INTEGER PRIMARY KEY, x)", 0, 0, 0), 0);
    sqlite3_close(db);
    assert_int_equal(hn_page_file_open(&file, path, &err), HN_OK);
    assert_int_equal(hn_page_table_fill(&file, 2, &source, 2, NULL, &err), HN_OK);
    assert_int_equal(hn_page_file_close(&file, &err), HN_OK);
    assert_sound(path);
    db = open_file(path);
    snprintf(count, sizeof count, "%zu", rows);
    assert_answer(db, "SELECT count(*) FROM t WHERE length(x) = 3000", count);
    assert_answer(db, "SELECT min(id) FROM t", "1099511627776");
    sqlite3_close(db);
}

/* (4096 - 12) / (4 + 6 + 2) + 1 = 341 pages fit below an interior page. */
static void full_interior_pages_are_sound(void **state)
{
    static const size_t rows[] = {2, 339, 340, 341, 342, 343, 681, 682, 683, 684, 1023, 1024};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        fill_big_rowids(in_folder("big.db"), rows[i]);
}

static size_t long_end(size_t row)
{
    return row == 1024 ? TEXT_ROOM - 1 : 1;
}

static void a_long_row_alone_in_its_block_is_whole(void **state)
{
    const lengths l = {long_end, no_line};

    (void)state;
    check_lengths(&l, 1025);
}

static void layers_with_few_shapes_have_sound_indexes(void **state)
{
    static const size_t sizes[] = {1, 2, 97, 98, 99};
    const lengths none = {short_text, no_line};

    (void)state;
    check_lengths(&none, 3000);
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        check_lengths(&plain, sizes[i]);
}

/* ---- the page that SQLite keeps for its locks ---- */

static void check_lock_page(uint32_t page, const hn_view *const *views, size_t count)
{
    sqlite3_test_control(SQLITE_TESTCTRL_PENDING_BYTE, (page - 1) * 4096);
    hn_page_file_lock_byte((page - 1) * 4096);
    write_views(in_folder("sql.gpkg"), views, count, 1, 1);
    write_views(in_folder("lock.gpkg"), views, count, 2, 0);
    assert_true(hn_gpkg_used_pages());
    assert_sound(in_folder("lock.gpkg"));
    assert_same_content(in_folder("sql.gpkg"), in_folder("lock.gpkg"));
    sqlite3_test_control(SQLITE_TESTCTRL_PENDING_BYTE, 0x40000000);
    hn_page_file_lock_byte(0);
}

static size_t text_with_overflow(size_t row)
{
    return row % 7 == 0 ? 12000 : short_text(row);
}

static void the_lock_page_is_left_out_wherever_it_lies(void **state)
{
    const lengths l = {text_with_overflow, short_line};
    const hn_view layer = any_view("layer", &l, 3000, HN_GEOMETRY_LINE);
    const hn_view *const views[] = {&layer};
    struct stat info;
    uint32_t pages;

    (void)state;
    write_views(in_folder("pages.gpkg"), views, 1, 1, 0);
    assert_int_equal(stat(in_folder("pages.gpkg"), &info), 0);
    pages = (uint32_t)(info.st_size / 4096);
    assert_true(pages > 1400);
    for (uint32_t page = 200; page < 220; page++)
        check_lock_page(page, views, 1);
    for (uint32_t page = 540; page < 1400; page += 61)
        check_lock_page(page, views, 1);
    for (uint32_t page = pages - 30; page < pages + 3; page++)
        check_lock_page(page, views, 1);
}

/* ---- files of other kinds ---- */

static void other_page_sizes_are_filled_and_others_left_to_sql(void **state)
{
    static const struct {
        const char *pragma;
        int pages;
    } cases[] = {{"page_size=1024", 1}, {"page_size=8192", 1}, {"page_size=65536", 1},
                 {"auto_vacuum=1", 0},  {"auto_vacuum=2", 0},  {"legacy_file_format=0", 1}};
    const lengths l = {text_with_overflow, short_line};
    const hn_view layer = any_view("layer", &l, 2500, HN_GEOMETRY_LINE);
    const hn_view *const views[] = {&layer};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        CPLSetConfigOption("OGR_SQLITE_PRAGMA", cases[i].pragma);
        write_views(in_folder("other.gpkg"), views, 1, 2, 0);
        if (hn_gpkg_used_pages() != cases[i].pages)
            fail_msg("%s", cases[i].pragma);
        if (strncmp(cases[i].pragma, "page_size=", 10) == 0) {
            sqlite3 *db = open_file(in_folder("other.gpkg"));

            assert_answer(db, "PRAGMA page_size", cases[i].pragma + 10);
            sqlite3_close(db);
        }
        write_views(in_folder("sql.gpkg"), views, 1, 2, 1);
        CPLSetConfigOption("OGR_SQLITE_PRAGMA", NULL);
        assert_sound(in_folder("other.gpkg"));
        assert_same_content(in_folder("sql.gpkg"), in_folder("other.gpkg"));
    }
}

static void a_header_that_is_not_known_is_refused(void **state)
{
    static const int bytes[] = {0, 15, 16, 18, 19, 20, 27, 39, 47, 55, 59, 95};
    const hn_view view = any_view("bare", &plain, 3, HN_GEOMETRY_NONE);
    const hn_view *const views[] = {&view};
    unsigned char *head;

    (void)state;
    write_views(in_folder("a.gpkg"), views, 1, 1, 0);
    assert_true(hn_page_file_fits(in_folder("a.gpkg")));
    head = (unsigned char *)fixture_read(in_folder("a.gpkg"), NULL);
    assert_true(hn_page_head_fits(head));
    for (size_t i = 0; i < sizeof bytes / sizeof *bytes; i++) {
        head[bytes[i]] ^= 5;
        if (hn_page_head_fits(head))
            fail_msg("byte %d", bytes[i]);
        head[bytes[i]] ^= 5;
    }
    free(head);
    assert_false(hn_page_file_fits(in_folder("none.gpkg")));
}

static void a_table_with_rows_is_not_filled_again(void **state)
{
    const hn_view view = any_view("bare", &plain, 3, HN_GEOMETRY_NONE);
    const hn_view *const views[] = {&view};
    hn_page_file file;
    hn_error err = {0};
    sqlite3_stmt *query;
    sqlite3 *db;

    (void)state;
    write_views(in_folder("a.gpkg"), views, 1, 1, 0);
    db = open_file(in_folder("a.gpkg"));
    query = ask(db, "SELECT rootpage FROM sqlite_master WHERE name = 'bare'");
    assert_int_equal(sqlite3_step(query), SQLITE_ROW);
    assert_int_equal(hn_page_file_open(&file, in_folder("a.gpkg"), &err), HN_OK);
    assert_int_equal(hn_page_file_expect_empty(&file, (uint32_t)sqlite3_column_int(query, 0), &err),
                     HN_ERR_INTERNAL);
    assert_int_equal(hn_page_file_expect_empty(&file, file.pages + 1, &err), HN_ERR_OUTPUT);
    hn_page_file_discard(&file);
    sqlite3_finalize(query);
    sqlite3_close(db);
}

/* ---- life after us ---- */

static void edit_layer(OGRLayerH layer)
{
    OGRFeatureH row;

    assert_int_equal(OGR_L_StartTransaction(layer), OGRERR_NONE);
    for (long fid = 1; fid <= 5000; fid += 7)
        assert_int_equal(OGR_L_DeleteFeature(layer, fid), OGRERR_NONE);
    for (long fid = 3; fid <= 5000; fid += 14) {
        OGRGeometryH line = OGR_G_CreateGeometry(wkbLineString);

        row = OGR_L_GetFeature(layer, fid);
        assert_non_null(row);
        OGR_G_AddPoint_2D(line, 1000.0 + (double)fid, 1000);
        OGR_G_AddPoint_2D(line, 1001.0 + (double)fid, 1002);
        assert_int_equal(OGR_F_SetGeometryDirectly(row, line), OGRERR_NONE);
        OGR_F_SetFieldString(row, 0, long_text + TEXT_ROOM - 6000);
        assert_int_equal(OGR_L_SetFeature(layer, row), OGRERR_NONE);
        OGR_F_Destroy(row);
    }
    for (int i = 0; i < 300; i++) {
        row = OGR_F_Create(OGR_L_GetLayerDefn(layer));
        OGR_F_SetFieldString(row, 0, "new");
        assert_int_equal(OGR_L_CreateFeature(layer, row), OGRERR_NONE);
        assert_int_equal(OGR_F_GetFID(row), 5001 + i); /* the sequence is known */
        OGR_F_Destroy(row);
    }
    assert_int_equal(OGR_L_CommitTransaction(layer), OGRERR_NONE);
}

static void a_file_that_is_edited_later_stays_sound(void **state)
{
    const hn_view view = any_view("layer", &plain, 5000, HN_GEOMETRY_LINE);
    const hn_view *const views[] = {&view};
    const long left = 5000 - 715 + 300;
    GDALDatasetH file;
    OGRLayerH layer;

    (void)state;
    write_views(in_folder("a.gpkg"), views, 1, 2, 0);
    file = GDALOpenEx(in_folder("a.gpkg"), GDAL_OF_VECTOR | GDAL_OF_UPDATE, NULL, NULL, NULL);
    assert_non_null(file);
    layer = GDALDatasetGetLayer(file, 0);
    assert_int_equal(OGR_L_GetFeatureCount(layer, TRUE), 5000);
    edit_layer(layer);
    GDALClose(file);
    assert_sound(in_folder("a.gpkg"));
    file = GDALOpenEx(in_folder("a.gpkg"), GDAL_OF_VECTOR, NULL, NULL, NULL);
    layer = GDALDatasetGetLayer(file, 0);
    assert_int_equal(OGR_L_GetFeatureCount(layer, FALSE), left);
    OGR_L_SetSpatialFilterRect(layer, 0, 0, 9000, 9000);
    assert_int_equal(OGR_L_GetFeatureCount(layer, TRUE), 357); /* the moved lines: 3, 17 ... */
    GDALClose(file);
}

/* ---- what goes wrong ---- */

static void a_disk_without_room_is_told(void **state)
{
    static const rlim_t limits[] = {4096, 200000, 300000, 500000, 1000000, 3000000};
    const hn_view view = any_view("layer", &plain, 40000, HN_GEOMETRY_LINE);
    const hn_view *const views[] = {&view};
    struct rlimit old, tight;

    (void)state;
    signal(SIGXFSZ, SIG_IGN);
    getrlimit(RLIMIT_FSIZE, &old);
    for (size_t i = 0; i < 2 * sizeof limits / sizeof *limits; i++) {
        hn_error err = {0};
        hn_status rc;

        tight = old;
        tight.rlim_cur = limits[i / 2];
        setrlimit(RLIMIT_FSIZE, &tight);
        rc = try_write(in_folder("a.gpkg"), views, 1, 1 + (int)i % 2, &err);
        setrlimit(RLIMIT_FSIZE, &old);
        assert_int_equal(rc, HN_ERR_OUTPUT);
        assert_non_null(strstr(err.message, "a.gpkg"));
        assert_int_equal(hn_alloc_live(), 0);
    }
}

static void a_stop_ends_all_threads(void **state)
{
    const hn_view view = any_view("layer", &plain, 40000, HN_GEOMETRY_LINE);
    const hn_view *const views[] = {&view};
    const hn_result_spec spec = {.views = views, .view_count = 1, .title = "t", .threads = 4};
    hn_error err = {0};
    hn_pace pace;

    (void)state;
    hn_pace_init(&pace, 1, NULL, NULL);
    hn_pace_stop(&pace);
    assert_int_equal(hn_gpkg_write(in_folder("a.gpkg"), &spec, &pace, &err), HN_ERR_OUTPUT);
    assert_string_equal(err.message, HN_PACE_STOPPED);
    assert_int_equal(hn_alloc_live(), 0);
}

/* The example of the format's own text: 130 is 0x81 0x02, and so on. */
static void varints_are_as_the_format_says(void **state)
{
    static const struct {
        uint64_t value;
        size_t bytes;
        unsigned char first, last;
    } cases[] = {{0, 1, 0, 0},
                 {127, 1, 127, 127},
                 {128, 2, 0x81, 0},
                 {16383, 2, 0xff, 127},
                 {16384, 3, 0x81, 0},
                 {130, 2, 0x81, 2},
                 {((uint64_t)1 << 56) - 1, 8, 0xff, 0x7f}};
    unsigned char room[16];

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_int_equal(hn_varint_size(cases[i].value), cases[i].bytes);
        assert_int_equal(hn_put_varint(room, cases[i].value) - room, cases[i].bytes);
        assert_int_equal(room[0], cases[i].first);
        assert_int_equal(room[cases[i].bytes - 1], cases[i].last);
    }
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_FOLDER(pages_and_sql_hold_the_same_for_any_number_of_rows),
        IN_FOLDER(records_around_the_limit_of_a_page_are_whole),
        IN_FOLDER(long_texts_and_lines_are_whole),
        IN_FOLDER(a_table_of_one_leaf_with_overflow_is_whole),
        IN_FOLDER(full_interior_pages_are_sound),
        IN_FOLDER(a_long_row_alone_in_its_block_is_whole),
        IN_FOLDER(layers_with_few_shapes_have_sound_indexes),
        IN_FOLDER(the_lock_page_is_left_out_wherever_it_lies),
        IN_FOLDER(other_page_sizes_are_filled_and_others_left_to_sql),
        IN_FOLDER(a_header_that_is_not_known_is_refused),
        IN_FOLDER(a_table_with_rows_is_not_filled_again),
        IN_FOLDER(a_file_that_is_edited_later_stays_sound),
        IN_FOLDER(a_disk_without_room_is_told),
        IN_FOLDER(a_stop_ends_all_threads),
        IN_FOLDER(varints_are_as_the_format_says),
    };

    make_stock();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
