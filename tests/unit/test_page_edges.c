/* The page writer at its edges: the page of locks, files of other kinds, files
 * that are edited later, full disks and stops. */
#include "page_fixture.h"

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

int main(void)
{
    const struct CMUnitTest tests[] = {
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
