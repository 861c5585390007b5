/* Text tables: what a spreadsheet and OGR make of them, and the number text. */
#include "test_util.h"
#include "write_fixture.h"

#include "base/alloc.h"
#include "write/csv_file.h"
#include "write/text_out.h"

#include <float.h>
#include <gdal.h>
#include <locale.h>
#include <math.h>
#include <ogr_api.h>
#include <signal.h>
#include <sys/resource.h>

static char folder[64];

static int make_folder(void **state)
{
    (void)state;
    fixture_folder(folder);
    return 0;
}

static int drop_folder(void **state)
{
    (void)state;
    fixture_remove(folder);
    return 0;
}

static const char *fixed(double value, int decimals)
{
    static char text[600];
    hn_out out;

    assert_true(hn_out_init(&out, 1024, NULL, NULL));
    hn_put_fixed(&out, value, decimals);
    memcpy(text, out.data, out.used);
    text[out.used] = '\0';
    hn_out_clear(&out);
    return text;
}

static void halves_go_away_from_zero_as_people_write_them(void **state)
{
    (void)state;
    assert_string_equal(fixed(0.5, 0), "1");
    assert_string_equal(fixed(-0.5, 0), "-1");
    assert_string_equal(fixed(2.5, 0), "3");
    assert_string_equal(fixed(1.005, 2), "1.01"); /* the double is a little less */
    assert_string_equal(fixed(2.675, 2), "2.68");
    assert_string_equal(fixed(1.115, 2), "1.12");
    assert_string_equal(fixed(-1234567.125, 2), "-1234567.13");
    assert_string_equal(fixed(0.4999, 0), "0");
    assert_string_equal(fixed(9.995, 2), "10.00");
    assert_string_equal(fixed(999.9996, 3), "1000.000");
}

static void zero_never_has_a_sign(void **state)
{
    (void)state;
    assert_string_equal(fixed(-0.0, 2), "0.00");
    assert_string_equal(fixed(-0.004, 2), "0.00");
    assert_string_equal(fixed(-0.0, 0), "0");
    assert_string_equal(fixed(-0.006, 2), "-0.01");
}

static void very_large_numbers_keep_all_digits(void **state)
{
    (void)state;
    assert_string_equal(fixed(9007199254740993.0, 2), "9007199254740992.00");
    assert_string_equal(fixed(1e22, 1), "10000000000000000000000.0");
    assert_int_equal(strlen(fixed(-DBL_MAX, 3)), 1 + 309 + 4);
    assert_string_equal(fixed(18446744073709551616.0, 0), "18446744073709551616");
}

/* printf is the reference wherever no half is near. */
static void fixed_text_is_that_of_printf(void **state)
{
    uint64_t seed = 1;

    (void)state;
    for (int i = 0; i < 300000; i++) {
        char expected[400];
        double value, scaled;
        int decimals = i % 10;

        seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
        value = ldexp((double)(int64_t)seed, -20 - (int)(seed % 50));
        scaled = fabs(value) * pow(10, decimals);
        if (scaled > 0x1p50 || fabs(scaled - floor(scaled) - 0.5) < scaled * 1e-15)
            continue;
        snprintf(expected, sizeof expected, "%.*f", decimals, value);
        if (strspn(expected, "-0.") == strlen(expected))
            continue; /* "-0.00" */
        assert_string_equal(fixed(value, decimals), expected);
    }
}

static const hn_view_column columns[] = {
    {.name = "id", .kind = HN_VIEW_TEXT},
    {.name = "count", .kind = HN_VIEW_INT},
    {.name = "length_m", .kind = HN_VIEW_REAL, .decimals = 2},
    {.name = "lined", .kind = HN_VIEW_BOOL},
    {.name = "seen_on", .kind = HN_VIEW_DATE},
    {.name = "=note, \"x\"", .kind = HN_VIEW_TEXT},
};
enum { COLUMNS = sizeof columns / sizeof *columns };

static char *written(const fixture *f, size_t rows, char path[100])
{
    const hn_view view = fixture_view(f, "t", HN_GEOMETRY_NONE, rows);
    hn_error err = {0};
    hn_pace pace;

    hn_pace_init(&pace, rows, NULL, NULL);
    snprintf(path, 100, "%s/t.csv", folder);
    assert_int_equal(hn_csv_write(path, &view, 2, &pace, &err), HN_OK);
    assert_int_equal(hn_alloc_live(), 0);
    return fixture_read(path, NULL);
}

static void a_table_is_written_by_the_book(void **state)
{
    const char *const cells[] = {"007",    "-12",
                                 "1.005",  "1",
                                 "16071",  "plain",
                                 "",       "",
                                 "",       "",
                                 "",       "",
                                 "a,b",    "9223372036854775807",
                                 "-0.001", "0",
                                 "-1",     "he said \"no\"",
                                 "=1+1",   "5",
                                 "2",      "0",
                                 "0",      "-5 dB\nnext",
                                 "@x",     "1",
                                 "1e3",    "1",
                                 "11016",  "+49, tel"};
    const fixture f = {columns, COLUMNS, cells, NULL};
    char path[100], *text = written(&f, 5, path), *types;

    (void)state;
    assert_string_equal(text, "id,count,length_m,lined,seen_on,\"'=note, \"\"x\"\"\"\r\n"
                              "007,-12,1.01,true,2014-01-01,plain\r\n"
                              ",,,,,\r\n"
                              "\"a,b\",9223372036854775807,0.00,false,1969-12-31,"
                              "\"he said \"\"no\"\"\"\r\n"
                              "'=1+1,5,2.00,false,1970-01-01,\"'-5 dB\nnext\"\r\n"
                              "'@x,1,1000.00,true,2000-02-29,\"'+49, tel\"\r\n");
    strcat(path, "t");
    types = fixture_read(path, NULL);
    assert_string_equal(types, "\"String\",\"Integer64\",\"Real\",\"Integer(Boolean)\",\"Date\","
                               "\"String\"\r\n");
    free(types);
    free(text);
}

static void ogr_reads_the_types_back(void **state)
{
    const char *const cells[] = {"007", "-12", "1.25", "1", "16071", "x", "", "", "", "", "", ""};
    const fixture f = {columns, COLUMNS, cells, NULL};
    char path[100];
    GDALDatasetH file;
    OGRFeatureH row;
    OGRLayerH layer;

    (void)state;
    GDALAllRegister();
    free(written(&f, 2, path));
    file = GDALOpenEx(path, GDAL_OF_VECTOR, NULL, NULL, NULL);
    assert_non_null(file);
    layer = GDALDatasetGetLayer(file, 0);
    row = OGR_L_GetNextFeature(layer);
    assert_string_equal(OGR_F_GetFieldAsString(row, 0), "007");
    assert_int_equal(OGR_F_GetFieldAsInteger(row, 1), -12);
    assert_true(OGR_F_GetFieldAsDouble(row, 2) == 1.25);
    assert_int_equal(OGR_F_GetFieldAsInteger(row, 3), 1);
    assert_string_equal(OGR_F_GetFieldAsString(row, 4), "2014/01/01");
    OGR_F_Destroy(row);
    row = OGR_L_GetNextFeature(layer);
    for (int c = 1; c < 5; c++)
        assert_false(OGR_F_IsFieldSetAndNotNull(row, c));
    OGR_F_Destroy(row);
    GDALClose(file);
}

static void the_point_stays_a_point_on_every_locale(void **state)
{
    static const char *const names[] = {"de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "C.UTF-8"};

    (void)state;
    for (size_t i = 0; i < 4 && !setlocale(LC_ALL, names[i]); i++)
        ;
    assert_string_equal(fixed(1234.5, 2), "1234.50");
    assert_string_equal(fixed(1e20, 1), "100000000000000000000.0");
    setlocale(LC_ALL, "C");
}

static void one_empty_cell_is_still_a_row(void **state)
{
    const char *const cells[] = {"a", "", "b"};
    const fixture f = {columns, 1, cells, NULL};
    char path[100], *text = written(&f, 3, path);

    (void)state;
    assert_string_equal(text, "id\r\na\r\n\"\"\r\nb\r\n");
    free(text);
}

static void a_full_disk_is_told_with_the_path(void **state)
{
    const char *const cells[] = {"a text that takes up room", "1", "2", "1", "3", "x"};
    const fixture f = {columns, COLUMNS, cells, NULL};
    hn_view view = fixture_view(&f, "t", HN_GEOMETRY_NONE, 1);
    struct rlimit old, tight;
    char path[100];
    hn_error err = {0};
    hn_status rc;
    hn_pace pace;

    (void)state;
    hn_pace_init(&pace, 1, NULL, NULL);
    snprintf(path, sizeof path, "%s/t.csv", folder);
    signal(SIGXFSZ, SIG_IGN);
    getrlimit(RLIMIT_FSIZE, &old);
    tight = old;
    tight.rlim_cur = 10;
    setrlimit(RLIMIT_FSIZE, &tight);
    rc = hn_csv_write(path, &view, 2, &pace, &err);
    setrlimit(RLIMIT_FSIZE, &old);
    assert_int_equal(rc, HN_ERR_OUTPUT);
    assert_non_null(strstr(err.message, path));
    assert_non_null(strstr(err.hint, "limit"));
    assert_int_equal(hn_alloc_live(), 0);
}

static void every_allocation_may_fail(void **state)
{
    const char *const cells[] = {"a", "1", "2", "1", "3", "x"};
    const fixture f = {columns, COLUMNS, cells, NULL};
    const hn_view view = fixture_view(&f, "t", HN_GEOMETRY_NONE, 1);
    hn_status rc = HN_ERR_MEMORY;

    (void)state;
    for (size_t n = 1; rc != HN_OK; n++) {
        char path[100];
        hn_error err = {0};
        hn_pace pace;

        hn_pace_init(&pace, 1, NULL, NULL);
        snprintf(path, sizeof path, "%s/t%zu.csv", folder, n);
        hn_alloc_fail_after(n);
        rc = hn_csv_write(path, &view, 2, &pace, &err);
        hn_alloc_fail_after(0);
        assert_true(rc == HN_OK || rc == HN_ERR_MEMORY);
        assert_int_equal(hn_alloc_live(), 0);
        assert_true(n < 100);
    }
}

static void xml_text_holds_no_forbidden_byte(void **state)
{
    hn_out out;

    (void)state;
    assert_true(hn_out_init(&out, 4, NULL, NULL));
    hn_put_xml(&out,
               "a<b>&\"c\"\x01\x1f\t\xff\xc3\xa9\xed\xa0\x80\xc0\x80\xf0\x9f\x98\x80\xef\xbf\xbf");
    hn_put_char(&out, '\0');
    assert_string_equal(out.data, "a&lt;b&gt;&amp;&quot;c&quot;\t\xEF\xBF\xBD\xc3\xa9"
                                  "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"
                                  "\xEF\xBF\xBD\xEF\xBF\xBD\xf0\x9f\x98\x80");
    hn_out_clear(&out);
    assert_true(hn_out_init(&out, 4, NULL, NULL));
    hn_put_xml_cut(&out, "\xc3\xa9\xc3\xa9", 3);
    hn_put_char(&out, '\0');
    assert_string_equal(out.data, "\xc3\xa9");
    hn_out_clear(&out);
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, make_folder, drop_folder)

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(halves_go_away_from_zero_as_people_write_them),
        cmocka_unit_test(zero_never_has_a_sign),
        cmocka_unit_test(very_large_numbers_keep_all_digits),
        cmocka_unit_test(fixed_text_is_that_of_printf),
        cmocka_unit_test(the_point_stays_a_point_on_every_locale),
        cmocka_unit_test(xml_text_holds_no_forbidden_byte),
        IN_FOLDER(a_table_is_written_by_the_book),
        IN_FOLDER(ogr_reads_the_types_back),
        IN_FOLDER(one_empty_cell_is_still_a_row),
        IN_FOLDER(a_full_disk_is_told_with_the_path),
        IN_FOLDER(every_allocation_may_fail),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
