/* The workbook, read back by GDAL's XLSX driver and as raw XML. */
#include "test_util.h"
#include "write_fixture.h"

#include "base/alloc.h"
#include "write/xlsx_file.h"
#include "write/xlsx_sheet.h"

#include <cpl_vsi.h>
#include <gdal.h>
#include <ogr_api.h>
#include <signal.h>
#include <sys/resource.h>

static char folder[64], path[100];

static int set_up(void **state)
{
    (void)state;
    GDALAllRegister();
    fixture_folder(folder);
    snprintf(path, sizeof path, "%s/tables.xlsx", folder);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    fixture_remove(folder);
    return 0;
}

static const hn_view_column columns[] = {
    {"id", "T", "m", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"count", "T", "m", "", HN_VIEW_INT, 0, NULL, 0},
    {"length_m", "T", "m", "m", HN_VIEW_REAL, 2, NULL, 0},
    {"lined", "T", "m", "", HN_VIEW_BOOL, 0, NULL, 0},
    {"seen_on", "T", "m", "", HN_VIEW_DATE, 0, NULL, 0},
};
enum { COLUMNS = sizeof columns / sizeof *columns };
static const char *const cells[] = {"007",    "-12", "1.005", "1",
                                    "16071",  "",    "",      "",
                                    "",       "",    "=1+1",  "12345678901234567",
                                    "-0.001", "0",   "16072", " <a> & b",
                                    "5",      "nan", "1",     "20000"};
static const fixture table = {columns, COLUMNS, cells, NULL};

static hn_status try_write(size_t limit, hn_error *err)
{
    hn_view a = fixture_view(&table, "segments", HN_GEOMETRY_NONE, 4);
    hn_view b =
        fixture_view(&table, "a/very:long*name of a table?with[no]room", HN_GEOMETRY_NONE, 2);
    hn_view c = fixture_view(&table, "README", HN_GEOMETRY_NONE, 0);
    const hn_view *const views[] = {&a, &b, &c};
    const hn_result_spec spec = {
        .views = views, .view_count = 3, .xlsx_row_limit = limit, .write_csv = 1};
    hn_pace pace;

    hn_pace_init(&pace, 1, NULL, NULL);
    return hn_xlsx_write(path, &spec, &pace, err);
}

static void write_book(size_t limit)
{
    hn_error err = {0};

    if (try_write(limit, &err) != HN_OK)
        fail_msg("%s", err.message);
    assert_int_equal(hn_alloc_live(), 0);
}

static char *part(const char *name)
{
    char full[200];
    static char text[20000];
    VSILFILE *file;

    snprintf(full, sizeof full, "/vsizip/%s/%s", path, name);
    file = VSIFOpenL(full, "rb");
    assert_non_null(file);
    text[VSIFReadL(text, 1, sizeof text - 1, file)] = '\0';
    VSIFCloseL(file);
    return text;
}

static void cells_keep_their_kind(void **state)
{
    GDALDatasetH book;
    OGRFeatureDefnH head;
    OGRFeatureH row;
    OGRLayerH sheet;

    (void)state;
    write_book(0);
    book = GDALOpenEx(path, GDAL_OF_VECTOR, NULL, NULL, NULL);
    assert_non_null(book);
    sheet = GDALDatasetGetLayerByName(book, "segments");
    head = OGR_L_GetLayerDefn(sheet);
    assert_int_equal(OGR_L_GetFeatureCount(sheet, TRUE), 4);
    assert_int_equal(OGR_Fld_GetType(OGR_FD_GetFieldDefn(head, 0)), OFTString);
    assert_int_equal(OGR_Fld_GetType(OGR_FD_GetFieldDefn(head, 2)), OFTReal);
    assert_int_equal(OGR_Fld_GetType(OGR_FD_GetFieldDefn(head, 4)), OFTDate);
    row = OGR_L_GetNextFeature(sheet);
    assert_string_equal(OGR_F_GetFieldAsString(row, 0), "007");
    assert_int_equal(OGR_F_GetFieldAsInteger(row, 1), -12);
    assert_true(OGR_F_GetFieldAsDouble(row, 2) == 1.01);
    assert_int_equal(OGR_F_GetFieldAsInteger(row, 3), 1);
    assert_string_equal(OGR_F_GetFieldAsString(row, 4), "2014/01/01");
    OGR_F_Destroy(row);
    row = OGR_L_GetNextFeature(sheet);
    for (int c = 0; c < COLUMNS; c++)
        assert_false(OGR_F_IsFieldSetAndNotNull(row, c));
    OGR_F_Destroy(row);
    row = OGR_L_GetNextFeature(sheet);
    assert_string_equal(OGR_F_GetFieldAsString(row, 0), "=1+1");
    assert_string_equal(OGR_F_GetFieldAsString(row, 1), "12345678901234567");
    OGR_F_Destroy(row);
    row = OGR_L_GetNextFeature(sheet);
    assert_string_equal(OGR_F_GetFieldAsString(row, 0), " <a> & b");
    OGR_F_Destroy(row);
    GDALClose(book);
}

static void a_text_like_a_formula_is_marked_as_text(void **state)
{
    char mark[64];

    (void)state;
    write_book(0);
    snprintf(mark, sizeof mark, "<c r=\"A4\" s=\"%d\" t=\"inlineStr\"><is><t>=1+1<",
             HN_XLSX_GUARDED);
    assert_non_null(strstr(part("xl/worksheets/sheet2.xml"), mark));
    assert_null(strstr(part("xl/worksheets/sheet2.xml"), "<f>"));
    assert_non_null(strstr(part("xl/styles.xml"), "quotePrefix=\"1\""));
    assert_non_null(strstr(part("xl/worksheets/sheet2.xml"), "<v>-12</v>"));
}

static void the_first_sheet_says_what_was_cut(void **state)
{
    GDALDatasetH book;
    OGRFeatureH row;
    OGRLayerH sheet;

    (void)state;
    write_book(3);
    book = GDALOpenEx(path, GDAL_OF_VECTOR, NULL, NULL, NULL);
    assert_int_equal(GDALDatasetGetLayerCount(book), 4);
    sheet = GDALDatasetGetLayer(book, 0);
    assert_string_equal(OGR_L_GetName(sheet), "readme");
    row = OGR_L_GetNextFeature(sheet);
    assert_string_equal(OGR_F_GetFieldAsString(row, 0), "segments");
    assert_int_equal(OGR_F_GetFieldAsInteger(row, 3), 4);
    assert_int_equal(OGR_F_GetFieldAsInteger(row, 4), 3);
    assert_string_equal(OGR_F_GetFieldAsString(row, 5),
                        "cut at 3 rows; the whole table is in tables/segments.csv");
    OGR_F_Destroy(row);
    row = OGR_L_GetNextFeature(sheet);
    assert_string_equal(OGR_F_GetFieldAsString(row, 5), "all rows");
    OGR_F_Destroy(row);
    assert_int_equal(OGR_L_GetFeatureCount(GDALDatasetGetLayer(book, 1), TRUE), 3);
    assert_string_equal(OGR_L_GetName(GDALDatasetGetLayer(book, 2)),
                        "a_very_long_name of a table_wit");
    assert_string_equal(OGR_L_GetName(GDALDatasetGetLayer(book, 3)), "README_2");
    GDALClose(book);
}

static void column_letters_go_past_z(void **state)
{
    static const struct {
        size_t column;
        const char *letters;
    } known[] = {{0, "A"},   {25, "Z"},   {26, "AA"},   {51, "AZ"},
                 {52, "BA"}, {701, "ZZ"}, {702, "AAA"}, {16383, "XFD"}};
    char letters[HN_XLSX_LETTERS];

    (void)state;
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        hn_xlsx_letters(known[i].column, letters);
        assert_string_equal(letters, known[i].letters);
    }
}

static void every_allocation_may_fail(void **state)
{
    hn_status rc = HN_ERR_MEMORY;

    (void)state;
    for (size_t n = 1; rc != HN_OK; n++) {
        hn_error err = {0};

        hn_alloc_fail_after(n);
        rc = try_write(0, &err);
        hn_alloc_fail_after(0);
        assert_true(rc == HN_OK || rc == HN_ERR_MEMORY);
        assert_int_equal(hn_alloc_live(), 0);
        unlink(path);
        assert_true(n < 200);
    }
}

/* Cut off at every size, small and large: no failed write goes unseen. */
static void a_file_that_does_not_fit_is_never_called_done(void **state)
{
    struct rlimit old, tight;
    struct stat info;

    (void)state;
    write_book(0);
    assert_int_equal(stat(path, &info), 0);
    signal(SIGXFSZ, SIG_IGN);
    getrlimit(RLIMIT_FSIZE, &old);
    for (off_t limit = 0; limit < info.st_size; limit += 37) {
        hn_error err = {0};
        hn_status rc;

        unlink(path);
        tight = old;
        tight.rlim_cur = (rlim_t)limit;
        setrlimit(RLIMIT_FSIZE, &tight);
        rc = try_write(0, &err);
        setrlimit(RLIMIT_FSIZE, &old);
        assert_int_equal(rc, HN_ERR_OUTPUT);
        assert_non_null(strstr(err.message, path));
        assert_int_equal(hn_alloc_live(), 0);
    }
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_FOLDER(cells_keep_their_kind),
        IN_FOLDER(a_text_like_a_formula_is_marked_as_text),
        IN_FOLDER(the_first_sheet_says_what_was_cut),
        cmocka_unit_test(column_letters_go_past_z),
        IN_FOLDER(a_file_that_does_not_fit_is_never_called_done),
        IN_FOLDER(every_allocation_may_fail),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
