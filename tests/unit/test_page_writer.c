/* The page writer against its oracle: SQL fills the same views, and SQLite
 * itself judges the pages. */
#include "page_fixture.h"

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
    };

    make_stock();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
