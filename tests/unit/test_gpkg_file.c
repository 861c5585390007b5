/* The GeoPackage: read back by GDAL and SQLite, checked by GDAL's validator
 * where Python has it, its index compared with brute force. */
#include "test_util.h"
#include "write_fixture.h"

#include "base/alloc.h"
#include "write/gpkg_file.h"

#include <cpl_conv.h>
#include <cpl_minixml.h>
#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>
#include <sqlite3.h>

static char folder[64], path[100];
static sqlite3 *db;

static int set_up(void **state)
{
    (void)state;
    GDALAllRegister();
    fixture_folder(folder);
    snprintf(path, sizeof path, "%s/result.gpkg", folder);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    sqlite3_close(db);
    db = NULL;
    fixture_remove(folder);
    return 0;
}

static hn_status try_write(const hn_view *const *views, size_t count, hn_error *err)
{
    hn_pace pace;
    const hn_result_spec spec = {.views = views,
                                 .view_count = count,
                                 .crs_epsg = 25832,
                                 .title = "Plan <A> & B",
                                 .lineage = "network.gpkg, hash 1234",
                                 .as_of = 20454,
                                 .threads = 1};

    hn_pace_init(&pace, 1, NULL, NULL);
    return hn_gpkg_write(path, &spec, &pace, err);
}

static void validate(void)
{
    char command[400];

    if (system("/usr/bin/python3 -c 'import osgeo_utils.samples.validate_gpkg' 2>/dev/null") != 0) {
        print_message("GDAL's validator is not installed: step left out\n");
        return;
    }
    snprintf(command, sizeof command,
             "/usr/bin/python3 -m osgeo_utils.samples.validate_gpkg '%s' >'%s/log' 2>&1 ||"
             " { cat '%s/log'; exit 1; }",
             path, folder, folder);
    assert_int_equal(system(command), 0);
}

static void write_views(const hn_view *const *views, size_t count)
{
    hn_error err = {0};

    if (try_write(views, count, &err) != HN_OK)
        fail_msg("%s", err.message);
    assert_int_equal(hn_alloc_live(), 0);
    validate();
    assert_int_equal(sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
}

static void write_one(const fixture *f, const char *name, hn_view_geometry geometry, size_t rows)
{
    const hn_view view = fixture_view(f, name, geometry, rows);
    const hn_view *const views[] = {&view};

    write_views(views, 1);
}

/* First value of a query as text; "NULL" for a null, "-" for no row. */
static const char *ask(const char *sql)
{
    static char answer[4][8000];
    static int next;
    char *text = answer[next++ % 4];
    sqlite3_stmt *query = NULL;

    if (sqlite3_prepare_v2(db, sql, -1, &query, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sql, sqlite3_errmsg(db));
    snprintf(text, sizeof answer[0], "-");
    if (sqlite3_step(query) == SQLITE_ROW) {
        const char *value = (const char *)sqlite3_column_text(query, 0);

        snprintf(text, sizeof answer[0], "%s", value ? value : "NULL");
    }
    sqlite3_finalize(query);
    return text;
}

static void assert_wkt(OGRLayerH layer, long fid, const char *expected)
{
    OGRFeatureH row = OGR_L_GetFeature(layer, fid);
    OGRGeometryH shape;
    char *wkt = NULL;

    assert_non_null(row);
    shape = OGR_F_GetGeometryRef(row);
    if (!expected) {
        assert_null(shape);
    } else {
        assert_non_null(shape);
        OGR_G_ExportToIsoWkt(shape, &wkt);
        assert_string_equal(wkt, expected);
        CPLFree(wkt);
    }
    OGR_F_Destroy(row);
}

static const hn_coded_value materials[] = {{"vc", "vitrified clay"}, {"co", "concrete"}};
static const hn_view_column columns[] = {
    {"id", "Identity", "Who it is.", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"material", "Material", "What it is made of.", "", HN_VIEW_TEXT, 0, materials, 2},
    {"width_mm", "Width", "Inner width.", "mm", HN_VIEW_REAL, 0, NULL, 0},
    {"grade", "Grade", "Grade.", "", HN_VIEW_INT, 0, NULL, 0},
    {"act_now", "Act now", "Cannot wait.", "", HN_VIEW_BOOL, 0, NULL, 0},
    {"seen_on", "Seen on", "Last inspection.", "", HN_VIEW_DATE, 0, NULL, 0},
};
enum { COLUMNS = sizeof columns / sizeof *columns };
static const char *const cells[] = {
    "007", "vc", "300.1", "3", "1", "16071", "",    "",
    "",    "",   "",      "",  "b", "co",    "nan", "-9223372036854775808",
    "0",   "-1"};
static const char *const lines[] = {"0 0, 10 5, 20 0", "", "1 1, 2 2; 5 5, 6.5 -7.5"};
static const fixture table = {columns, COLUMNS, cells, lines};

static void values_come_back_as_they_were(void **state)
{
    (void)state;
    write_one(&table, "segments", HN_GEOMETRY_LINE, 3);
    assert_string_equal(ask("SELECT group_concat(fid) FROM segments"), "1,2,3");
    assert_string_equal(ask("SELECT id||material||width_mm||grade||act_now||seen_on FROM segments"),
                        "007vc300.1312014-01-01");
    assert_string_equal(ask("SELECT count(*) FROM segments WHERE fid = 2 AND id IS NULL AND"
                            " material IS NULL AND width_mm IS NULL AND grade IS NULL AND"
                            " act_now IS NULL AND seen_on IS NULL AND geom IS NULL"),
                        "1");
    assert_string_equal(ask("SELECT width_mm FROM segments WHERE fid = 3"), "NULL");
    assert_string_equal(ask("SELECT grade FROM segments WHERE fid = 3"), "-9223372036854775808");
    assert_string_equal(ask("SELECT typeof(id)||typeof(width_mm)||typeof(grade)||typeof(act_now)"
                            " FROM segments"),
                        "textrealintegerinteger");
    assert_string_equal(ask("SELECT feature_count FROM gpkg_ogr_contents"), "3");
    assert_string_equal(ask("SELECT seq FROM sqlite_sequence WHERE name = 'segments'"), "3");
}

static void gdal_sees_layer_types_and_geometry(void **state)
{
    GDALDatasetH file;
    OGRFeatureDefnH head;
    OGRLayerH layer;
    OGREnvelope box;

    (void)state;
    write_one(&table, "segments", HN_GEOMETRY_LINE, 3);
    file = GDALOpenEx(path, GDAL_OF_VECTOR, NULL, NULL, NULL);
    assert_non_null(file);
    layer = GDALDatasetGetLayer(file, 0);
    assert_int_equal(OGR_L_GetGeomType(layer), wkbMultiLineString);
    assert_string_equal(OSRGetAuthorityCode(OGR_L_GetSpatialRef(layer), NULL), "25832");
    assert_wkt(layer, 1, "MULTILINESTRING ((0 0,10 5,20 0))");
    assert_wkt(layer, 2, NULL);
    assert_wkt(layer, 3, "MULTILINESTRING ((1 1,2 2),(5 5,6.5 -7.5))");
    assert_int_equal(OGR_L_GetFeatureCount(layer, FALSE), 3);
    assert_int_equal(OGR_L_GetExtent(layer, &box, FALSE), OGRERR_NONE);
    assert_true(box.MinX == 0 && box.MaxX == 20 && box.MinY == -7.5 && box.MaxY == 5);
    head = OGR_L_GetLayerDefn(layer);
    assert_int_equal(OGR_Fld_GetType(OGR_FD_GetFieldDefn(head, 0)), OFTString);
    assert_int_equal(OGR_Fld_GetType(OGR_FD_GetFieldDefn(head, 2)), OFTReal);
    assert_int_equal(OGR_Fld_GetType(OGR_FD_GetFieldDefn(head, 3)), OFTInteger64);
    assert_int_equal(OGR_Fld_GetSubType(OGR_FD_GetFieldDefn(head, 4)), OFSTBoolean);
    assert_int_equal(OGR_Fld_GetType(OGR_FD_GetFieldDefn(head, 5)), OFTDate);
    GDALClose(file);
}

static void columns_carry_title_meaning_and_codes(void **state)
{
    const hn_view a = fixture_view(&table, "segments", HN_GEOMETRY_LINE, 3);
    const hn_view b = fixture_view(&table, "options", HN_GEOMETRY_NONE, 3);
    const hn_view *const views[] = {&b, &a};
    const OGRCodedValue *codes;
    GDALDatasetH file;
    OGRFeatureDefnH head;

    (void)state;
    write_views(views, 2);
    assert_string_equal(ask("SELECT title||'|'||name||'|'||description FROM gpkg_data_columns"
                            " WHERE table_name = 'segments' AND column_name = 'width_mm'"),
                        "Width|Width|Inner width. (unit: mm)");
    assert_string_equal(ask("SELECT count(*) FROM gpkg_data_columns"), "12");
    assert_string_equal(ask("SELECT group_concat(value||'='||description) FROM"
                            " gpkg_data_column_constraints"),
                        "vc=vitrified clay,co=concrete");
    assert_string_equal(ask("SELECT group_concat(identifier||'/'||description, ';') FROM"
                            " gpkg_contents"),
                        "A title (segments)/What it is.;A title (options)/What it is.");
    file = GDALOpenEx(path, GDAL_OF_VECTOR, NULL, NULL, NULL);
    head = OGR_L_GetLayerDefn(GDALDatasetGetLayerByName(file, "segments"));
    assert_string_equal(OGR_Fld_GetDomainName(OGR_FD_GetFieldDefn(head, 1)), "options.material");
    codes = OGR_CodedFldDomain_GetEnumeration(GDALDatasetGetFieldDomain(file, "options.material"));
    assert_string_equal(codes[0].pszValue, "concrete"); /* GDAL sorts by value */
    GDALClose(file);
}

static void the_metadata_record_names_title_and_lineage(void **state)
{
    CPLXMLNode *record;

    (void)state;
    write_one(&table, "segments", HN_GEOMETRY_LINE, 3);
    assert_string_equal(ask("SELECT md_standard_uri FROM gpkg_metadata"),
                        "http://www.isotc211.org/2005/gmd");
    record = CPLParseXMLString(ask("SELECT metadata FROM gpkg_metadata"));
    assert_non_null(record);
    CPLStripXMLNamespace(record, NULL, TRUE);
    assert_string_equal(CPLGetXMLValue(record,
                                       "=MD_Metadata.identificationInfo.MD_DataIdentification."
                                       "citation.CI_Citation.title.CharacterString",
                                       ""),
                        "Plan <A> & B");
    assert_string_equal(CPLGetXMLValue(record,
                                       "=MD_Metadata.dataQualityInfo.DQ_DataQuality.lineage."
                                       "LI_Lineage.statement.CharacterString",
                                       ""),
                        "network.gpkg, hash 1234");
    CPLDestroyXMLNode(record);
    assert_string_equal(ask("SELECT metadata LIKE '%Plan &lt;A&gt; &amp; B%' AND metadata LIKE"
                            " '%network.gpkg, hash 1234%' AND metadata LIKE '%2026-01-01%'"
                            " FROM gpkg_metadata"),
                        "1");
    assert_string_equal(ask("SELECT reference_scope||timestamp||md_file_id FROM"
                            " gpkg_metadata_reference"),
                        "geopackage2026-01-01T00:00:00.000Z1");
    assert_string_equal(ask("SELECT last_change FROM gpkg_contents"), "2026-01-01T00:00:00.000Z");
}

static void heights_are_kept_and_never_invented(void **state)
{
    const char *const shapes[] = {"0 0 1, 1 1 2", "5 5, 6 6", "1 1 nan, 2 2 5"};
    const fixture f = {columns, COLUMNS, cells, shapes};
    GDALDatasetH file;
    OGRLayerH layer;

    (void)state;
    write_one(&f, "lines", HN_GEOMETRY_LINE, 3);
    assert_string_equal(ask("SELECT geometry_type_name||z FROM gpkg_geometry_columns"),
                        "LINESTRING2");
    file = GDALOpenEx(path, GDAL_OF_VECTOR, NULL, NULL, NULL);
    layer = GDALDatasetGetLayer(file, 0);
    assert_wkt(layer, 1, "LINESTRING Z (0 0 1,1 1 2)");
    assert_wkt(layer, 2, "LINESTRING (5 5,6 6)");
    assert_wkt(layer, 3, "LINESTRING (1 1,2 2)");
    GDALClose(file);
}

static void a_layer_of_heights_alone_is_3d(void **state)
{
    const char *const shapes[] = {"0 0 1, 1 1 2; 3 3 3, 4 4 4", "5 5 7, 6 6 8"};
    const fixture f = {columns, COLUMNS, cells, shapes};
    GDALDatasetH file;

    (void)state;
    write_one(&f, "lines", HN_GEOMETRY_LINE, 2);
    assert_string_equal(ask("SELECT geometry_type_name||z FROM gpkg_geometry_columns"),
                        "MULTILINESTRING1");
    file = GDALOpenEx(path, GDAL_OF_VECTOR, NULL, NULL, NULL);
    assert_wkt(GDALDatasetGetLayer(file, 0), 1, "MULTILINESTRING Z ((0 0 1,1 1 2),(3 3 3,4 4 4))");
    assert_wkt(GDALDatasetGetLayer(file, 0), 2, "MULTILINESTRING Z ((5 5 7,6 6 8))");
    GDALClose(file);
}

static void points_and_mixed_shapes_find_their_type(void **state)
{
    const char *const points[] = {"P1 2", "P3 4 5"}, *const many[] = {"P1 2", "P3 4, 5 6"};
    const char *const mixed[] = {"P1 2", "0 0, 1 1"};
    const fixture f = {columns, COLUMNS, cells, points}, g = {columns, COLUMNS, cells, many},
                  h = {columns, COLUMNS, cells, mixed};
    const hn_view a = fixture_view(&f, "points", HN_GEOMETRY_ANY, 2);
    const hn_view b = fixture_view(&g, "many", HN_GEOMETRY_ANY, 2);
    const hn_view c = fixture_view(&h, "mixed", HN_GEOMETRY_ANY, 2);
    const hn_view *const views[] = {&a, &b, &c};
    GDALDatasetH file;

    (void)state;
    write_views(views, 3);
    assert_string_equal(ask("SELECT group_concat(geometry_type_name) FROM gpkg_geometry_columns"),
                        "POINT,MULTIPOINT,GEOMETRY");
    file = GDALOpenEx(path, GDAL_OF_VECTOR, NULL, NULL, NULL);
    assert_wkt(GDALDatasetGetLayer(file, 0), 1, "POINT (1 2)");
    assert_wkt(GDALDatasetGetLayer(file, 0), 2, "POINT Z (3 4 5)");
    assert_wkt(GDALDatasetGetLayer(file, 1), 1, "MULTIPOINT ((1 2))");
    assert_wkt(GDALDatasetGetLayer(file, 1), 2, "MULTIPOINT ((3 4),(5 6))");
    assert_wkt(GDALDatasetGetLayer(file, 2), 1, "POINT (1 2)");
    assert_wkt(GDALDatasetGetLayer(file, 2), 2, "LINESTRING (0 0,1 1)");
    GDALClose(file);
}

static void a_shape_that_cannot_be_drawn_is_no_geometry(void **state)
{
    const char *const shapes[] = {"0 0, 1 nan", "7 7", "1 1, inf 2; 0 0, 1 1"};
    const fixture f = {columns, COLUMNS, cells, shapes};

    (void)state;
    write_one(&f, "lines", HN_GEOMETRY_LINE, 3);
    assert_string_equal(ask("SELECT count(*) FROM lines WHERE geom IS NULL"), "3");
    assert_string_equal(ask("SELECT count(*) FROM rtree_lines_geom"), "0");
    assert_string_equal(ask("SELECT min_x FROM gpkg_contents"), "NULL");
    assert_string_equal(ask("SELECT rtreecheck('rtree_lines_geom')"), "ok");
}

static void no_rows_and_one_row_make_good_layers(void **state)
{
    const hn_view a = fixture_view(&table, "none", HN_GEOMETRY_LINE, 0);
    const hn_view b = fixture_view(&table, "one", HN_GEOMETRY_LINE, 1);
    const hn_view c = fixture_view(&table, "bare", HN_GEOMETRY_NONE, 0);
    const hn_view *const views[] = {&a, &b, &c};

    (void)state;
    write_views(views, 3);
    assert_string_equal(ask("SELECT geometry_type_name FROM gpkg_geometry_columns"), "LINESTRING");
    assert_string_equal(ask("SELECT rtreecheck('rtree_none_geom')"), "ok");
    assert_string_equal(ask("SELECT rtreecheck('rtree_one_geom')"), "ok");
    assert_string_equal(ask("SELECT id FROM rtree_one_geom WHERE minx < 5 AND maxx > 5"), "1");
    assert_string_equal(ask("SELECT group_concat(feature_count) FROM gpkg_ogr_contents"), "0,1,0");
    assert_string_equal(ask("PRAGMA integrity_check"), "ok");
}

static void hostile_names_do_no_harm(void **state)
{
    const hn_view_column odd[] = {
        {"fid", "T", "m", "", HN_VIEW_TEXT, 0, NULL, 0},
        {"GEOM", "T", "m", "", HN_VIEW_TEXT, 0, NULL, 0},
        {"a\"; DROP TABLE gpkg_contents; --", "it's", "o'clock", "", HN_VIEW_TEXT, 0, materials, 2},
        {"select", NULL, NULL, NULL, HN_VIEW_INT, 0, NULL, 0},
        {"100%s%n", "%d", "%s", "%", HN_VIEW_INT, 0, NULL, 0},
        {"\xc3\xa9tat", "", "", "", HN_VIEW_INT, 0, NULL, 0},
    };
    const fixture f = {odd, 6, cells, lines};
    hn_view view = fixture_view(&f, "seg\"me'nts %s", HN_GEOMETRY_LINE, 3);
    const hn_view *const views[] = {&view};

    (void)state;
    view.title = "it's \"so\"";
    write_views(views, 1);
    assert_string_equal(ask("SELECT \"a\"\"; DROP TABLE gpkg_contents; --\" FROM"
                            " \"seg\"\"me'nts %s\" WHERE fid_1 = 3"),
                        "nan");
    assert_string_equal(ask("SELECT rtreecheck('rtree_seg\"me''nts %s_geom_1')"), "ok");
    assert_string_equal(ask("SELECT identifier FROM gpkg_contents"), "it's \"so\"");
    assert_string_equal(ask("SELECT name||'|'||title FROM gpkg_data_columns WHERE column_name ="
                            " 'fid'"),
                        "fid|T"); /* the title is used twice, so it is no alias */
}

static void triggers_are_there_and_work(void **state)
{
    GDALDatasetH file;
    OGRLayerH layer;

    (void)state;
    write_one(&table, "segments", HN_GEOMETRY_LINE, 3);
    assert_string_equal(ask("SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND"
                            " tbl_name = 'segments'"),
                        "8");
    sqlite3_close(db);
    file = GDALOpenEx(path, GDAL_OF_VECTOR | GDAL_OF_UPDATE, NULL, NULL, NULL);
    layer = GDALDatasetGetLayer(file, 0);
    assert_int_equal(OGR_L_DeleteFeature(layer, 1), OGRERR_NONE);
    GDALClose(file);
    assert_int_equal(sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    assert_string_equal(ask("SELECT group_concat(id) FROM rtree_segments_geom"), "3");
    assert_string_equal(ask("SELECT rtreecheck('rtree_segments_geom')"), "ok");
}

/* Many lines of made-up places; every 97th row has no shape. */
enum { MANY = 60000 };
static double many_xy[MANY][6];

static void many_row(const void *context, size_t row, hn_cell *out, hn_scratch *scratch)
{
    (void)context;
    hn_cell_text(&out[0], hn_scratch_printf(scratch, "S%zu", row));
}

static void many_shape(const void *context, size_t row, hn_shape_ref *out, hn_scratch *scratch)
{
    (void)context;
    scratch->xy[0] = many_xy[row];
    scratch->points[0] = 3;
    *out = (hn_shape_ref){0, row % 97 ? 1 : 0, scratch->xy, NULL, scratch->points};
}

static hn_view many_view(size_t rows)
{
    uint64_t seed = 7;

    for (size_t row = 0; row < MANY; row++)
        for (int i = 0; i < 6; i++) {
            seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
            many_xy[row][i] = (i < 2 ? 500000.0 * (i + 1) + (double)(seed >> 44) / 50
                                     : many_xy[row][i - 2] + (double)(seed >> 58));
        }
    return (hn_view){.name = "many",
                     .title = "Many",
                     .meaning = "Many.",
                     .geometry = HN_GEOMETRY_LINE,
                     .columns = columns,
                     .column_count = 1,
                     .rows = rows,
                     .row = many_row,
                     .shape = many_shape};
}

static int touches(size_t row, const double q[4])
{
    const double *p = many_xy[row];

    return row % 97 && fmin(p[0], fmin(p[2], p[4])) <= q[2] &&
           fmax(p[0], fmax(p[2], p[4])) >= q[0] && fmin(p[1], fmin(p[3], p[5])) <= q[3] &&
           fmax(p[1], fmax(p[3], p[5])) >= q[1];
}

/* The index works in single precision, rounded outwards: it may find a few
 * more, never less. */
static void compare_query(const double q[4], size_t rows)
{
    static unsigned char found[MANY + 1];
    size_t extra = 0, exact = 0;
    sqlite3_stmt *query = NULL;

    memset(found, 0, sizeof found);
    assert_int_equal(sqlite3_prepare_v2(db,
                                        "SELECT id FROM rtree_many_geom WHERE minx <= ?3 AND"
                                        " maxx >= ?1 AND miny <= ?4 AND maxy >= ?2",
                                        -1, &query, NULL),
                     SQLITE_OK);
    for (int i = 0; i < 4; i++)
        sqlite3_bind_double(query, i + 1, q[i]);
    while (sqlite3_step(query) == SQLITE_ROW)
        found[sqlite3_column_int64(query, 0)]++;
    sqlite3_finalize(query);
    for (size_t row = 0; row < rows; row++) {
        assert_true(found[row + 1] <= 1);
        if (touches(row, q))
            assert_int_equal(found[row + 1], 1);
        exact += touches(row, q);
        extra += found[row + 1] && !touches(row, q);
    }
    assert_true(extra <= exact / 50 + 3);
}

static void check_index(size_t rows)
{
    const hn_view view = many_view(rows);
    const hn_view *const views[] = {&view};
    char expected[32];
    uint64_t seed = 3;

    write_views(views, 1);
    snprintf(expected, sizeof expected, "%zu", rows - (rows + 96) / 97);
    assert_string_equal(ask("SELECT rtreecheck('rtree_many_geom')"), "ok");
    assert_string_equal(ask("SELECT count(*) FROM rtree_many_geom"), expected);
    for (int i = 0; i < 100; i++) {
        double q[4];

        for (int k = 0; k < 2; k++) {
            seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
            q[k] = 500000.0 * (k + 1) + (double)(seed >> 44) / 50;
            q[k + 2] = q[k] + (i % 10) * 100;
        }
        compare_query(q, rows);
    }
    for (size_t row = 1; row < rows; row += rows / 50 + 1) { /* just touching */
        const double *p = many_xy[row];

        compare_query((double[]){p[0] - 9, p[1] - 9, p[0], p[1]}, rows);
        compare_query((double[]){p[4], p[5], p[4] + 9, p[5] + 9}, rows);
    }
    compare_query((double[]){0, 0, 1e9, 1e9}, rows);
    sqlite3_close(db);
    db = NULL;
    assert_int_equal(unlink(path), 0);
}

static void spatial_queries_agree_with_brute_force(void **state)
{
    /* around the limits of one node (51 cells) and of two levels (51 * 51) */
    static const size_t sizes[] = {2, 51, 52, 53, 54, 2600, 2628, 2629, 2700, MANY};

    (void)state;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        check_index(sizes[i]);
}

static void two_runs_give_the_same_bytes(void **state)
{
    const hn_view a = many_view(5000), b = fixture_view(&table, "t", HN_GEOMETRY_NONE, 3);
    const hn_view *const views[] = {&b, &a};
    char first[128];
    hn_error err = {0};

    (void)state;
    assert_int_equal(try_write(views, 2, &err), HN_OK);
    snprintf(first, sizeof first, "%s.first", path);
    assert_int_equal(rename(path, first), 0);
    sleep(1); /* a clock in the file would show */
    assert_int_equal(try_write(views, 2, &err), HN_OK);
    assert_true(fixture_same_bytes(path, first));
}

static void an_unknown_reference_system_is_marked_so(void **state)
{
    const hn_view view = fixture_view(&table, "segments", HN_GEOMETRY_LINE, 3);
    const hn_view *const views[] = {&view};
    const hn_result_spec spec = {.views = views, .view_count = 1, .title = "t", .as_of = 0};
    hn_error err = {0};
    hn_pace pace;

    (void)state;
    hn_pace_init(&pace, 1, NULL, NULL);
    assert_int_equal(hn_gpkg_write(path, &spec, &pace, &err), HN_OK);
    validate();
    assert_int_equal(sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    assert_string_equal(ask("SELECT srs_id FROM gpkg_contents"), "-1");
    assert_string_equal(ask("SELECT hex(substr(geom, 5, 4)) FROM segments"), "FFFFFFFF");
}

static void a_file_that_cannot_be_made_is_told(void **state)
{
    const hn_view view = fixture_view(&table, "segments", HN_GEOMETRY_LINE, 3);
    const hn_view *const views[] = {&view};
    hn_error err = {0};

    (void)state;
    snprintf(path, sizeof path, "%s/no/such/folder.gpkg", folder);
    assert_int_equal(try_write(views, 1, &err), HN_ERR_OUTPUT);
    assert_non_null(strstr(err.message, path));
    assert_int_equal(hn_alloc_live(), 0);
}

static void every_allocation_may_fail(void **state)
{
    const hn_view a = many_view(120), b = fixture_view(&table, "t", HN_GEOMETRY_LINE, 3);
    const hn_view *const views[] = {&a, &b};
    hn_status rc = HN_ERR_MEMORY;
    size_t n = 0;

    (void)state;
    while (rc != HN_OK) {
        hn_error err = {0};

        hn_alloc_fail_after(++n);
        rc = try_write(views, 2, &err);
        hn_alloc_fail_after(0);
        assert_true(rc == HN_OK || rc == HN_ERR_MEMORY);
        assert_int_equal(hn_alloc_live(), 0);
        unlink(path);
        assert_true(n < 300);
    }
    assert_true(n > 20);
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_FOLDER(values_come_back_as_they_were),
        IN_FOLDER(gdal_sees_layer_types_and_geometry),
        IN_FOLDER(columns_carry_title_meaning_and_codes),
        IN_FOLDER(the_metadata_record_names_title_and_lineage),
        IN_FOLDER(heights_are_kept_and_never_invented),
        IN_FOLDER(a_layer_of_heights_alone_is_3d),
        IN_FOLDER(points_and_mixed_shapes_find_their_type),
        IN_FOLDER(a_shape_that_cannot_be_drawn_is_no_geometry),
        IN_FOLDER(no_rows_and_one_row_make_good_layers),
        IN_FOLDER(hostile_names_do_no_harm),
        IN_FOLDER(triggers_are_there_and_work),
        IN_FOLDER(spatial_queries_agree_with_brute_force),
        IN_FOLDER(two_runs_give_the_same_bytes),
        IN_FOLDER(an_unknown_reference_system_is_marked_so),
        IN_FOLDER(a_file_that_cannot_be_made_is_told),
        IN_FOLDER(every_allocation_may_fail),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
