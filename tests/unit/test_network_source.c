/* The network layer of every common format into the segment table. */
#include "source_fixture.h"

#include "base/alloc.h"
#include "read/network_source.h"
#include "table/field_roles.h"

typedef struct network {
    hn_table *table;
    hn_issue_list issues;
    hn_crs_info crs;
    hn_read_stats stats;
    hn_error err;
    hn_status rc;
} network;

static const hn_field_map plain_fields[] = {
    {.role = "segment_id", .field = "id", .unit_factor = 1},
    {.role = "material", .field = "mat", .unit_factor = 1},
    {.role = "width", .field = "dn", .unit = "mm", .unit_factor = 1},
    {.role = "length", .field = "len", .unit = "m", .unit_factor = 1},
};

static network read_network(const hn_source *source, int threads)
{
    network n = {0};

    assert_int_equal(hn_issue_list_init(&n.issues, NULL), HN_OK);
    n.rc =
        hn_network_read(source, threads, &n.issues, NULL, NULL, &n.table, &n.crs, &n.stats, &n.err);
    return n;
}

static network read_good(const hn_source *source)
{
    network n = read_network(source, 1);

    if (n.rc != HN_OK)
        fail_msg("%s (%s)", n.err.message, n.err.hint);
    return n;
}

static void forget(network *n)
{
    hn_table_free(n->table);
    hn_issue_list_clear(&n->issues);
    hn_crs_info_clear(&n->crs);
}

static hn_source plain_source(const char *from)
{
    return (hn_source){.key = "network", .from = from, .fields = plain_fields, .field_count = 4};
}

static size_t count_issues(const network *n, const char *rule)
{
    size_t count = 0;

    for (size_t i = 0; i < n->issues.count; i++)
        count += strcmp(hn_text_pool_get(n->issues.texts, n->issues.items[i].rule), rule) == 0;
    return count;
}

static const hn_issue *find_issue(const network *n, const char *rule)
{
    for (size_t i = 0; i < n->issues.count; i++)
        if (strcmp(hn_text_pool_get(n->issues.texts, n->issues.items[i].rule), rule) == 0)
            return &n->issues.items[i];
    fail_msg("no issue %s", rule);
    return NULL;
}

static const char *id_of(const network *n, size_t row)
{
    return hn_table_text(n->table, HN_COL_SEGMENT_ID, row);
}

static OGRLayerH plain_layer(GDALDatasetH dataset, int epsg, OGRwkbGeometryType type)
{
    OGRLayerH layer = fixture_layer(dataset, "sewers", epsg, type);

    fixture_field(layer, "id", OFTString);
    fixture_field(layer, "mat", OFTString);
    fixture_field(layer, "dn", OFTReal);
    fixture_field(layer, "len", OFTReal);
    return layer;
}

static const char *const row_a[] = {"S1", "clay", "300", "50.2"};
static const char *const row_b[] = {"S2", NULL, "250", NULL};

static void write_two_rows(const char *driver, const char *path, int epsg, const char *wkt_a,
                           const char *wkt_b, OGRwkbGeometryType type)
{
    GDALDatasetH dataset = fixture_create(driver, path);
    OGRLayerH layer = plain_layer(dataset, epsg, type);

    fixture_row(layer, wkt_a, row_a);
    fixture_row(layer, wkt_b, row_b);
    GDALClose(dataset);
}

static void expect_two_rows(const network *n)
{
    assert_int_equal(n->table->rows, 2);
    assert_string_equal(id_of(n, 0), "S1");
    assert_string_equal(id_of(n, 1), "S2");
    assert_string_equal(hn_table_text(n->table, HN_COL_MATERIAL, 0), "clay");
    assert_string_equal(hn_table_text(n->table, HN_COL_MATERIAL, 1), "");
    assert_true(HN_F64(n->table, WIDTH_MM)[0] == 300);
    assert_true(HN_F64(n->table, LENGTH_RECORDED_M)[0] == 50.2);
    assert_true(isnan(HN_F64(n->table, LENGTH_RECORDED_M)[1]));
    assert_int_equal(hn_line_points(&n->table->lines, 0), 2);
    assert_int_equal(hn_line_points(&n->table->lines, 1), 3);
    assert_int_equal(n->stats.rows_kept, 2);
}

#define UTM_A "LINESTRING(500000 5500000,500050 5500000)"
#define UTM_B "LINESTRING(500050 5500000,500050 5500040,500080 5500040)"

/* UTM on its central meridian: scale 0.9996 (EPSG:16032), so 50 m on the grid
 * are 50/0.9996 m on the ellipsoid. */
static void the_same_rows_come_from_every_format(void **state)
{
    static const char *const formats[][2] = {
        {"GPKG", "a.gpkg"},       {"ESRI Shapefile", "a.shp"}, {"FlatGeobuf", "a.fgb"},
        {"OpenFileGDB", "a.gdb"}, {"SQLite", "a.sqlite"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof formats / sizeof formats[0]; i++) {
        hn_source source = plain_source(fixture_path(formats[i][1]));
        network n;

        write_two_rows(formats[i][0], source.from, 25832, UTM_A, UTM_B, wkbLineString);
        n = read_good(&source);
        expect_two_rows(&n);
        assert_string_equal(n.stats.driver, formats[i][0]);
        assert_int_equal(n.crs.epsg, 25832);
        assert_false(n.crs.is_geographic);
        assert_true(n.crs.metres_per_unit == 1);
        assert_close(HN_F64(n.table, LENGTH_GEOMETRY_M)[0], 50 / 0.9996, 1e-6);
        assert_null(n.table->lines.z);
        assert_null(n.table->lines.break_before);
        assert_null(n.table->column[HN_COL_HEIGHT_MM]);
        if (n.issues.count)
            fail_msg("%s: %s", formats[i][0],
                     hn_text_pool_get(n.issues.texts, n.issues.items[0].message));
        forget(&n);
    }
}

static void geojson_is_read_in_degrees(void **state)
{
    hn_source source = plain_source(fixture_text(
        "deg.geojson",
        "{\"type\":\"FeatureCollection\",\"features\":["
        "{\"type\":\"Feature\",\"properties\":{\"id\":\"S1\",\"mat\":\"clay\",\"dn\":300,"
        "\"len\":50.2},\"geometry\":{\"type\":\"LineString\",\"coordinates\":"
        "[[9,0],[9.001,0]]}},"
        "{\"type\":\"Feature\",\"properties\":{\"id\":\"S2\",\"mat\":null,\"dn\":250,"
        "\"len\":null},\"geometry\":{\"type\":\"LineString\",\"coordinates\":"
        "[[9,0],[9,0.001],[9.001,0.001]]}}]}"));
    network n = read_good(&source);

    (void)state;
    expect_two_rows(&n);
    assert_int_equal(n.crs.epsg, 4326);
    assert_true(n.crs.is_geographic);
    assert_true(isnan(n.crs.metres_per_unit));
    /* a thousandth of a degree of the equator, a = 6378137 m */
    assert_close(HN_F64(n.table, LENGTH_GEOMETRY_M)[0], 6378137 * 0.001 * M_PI / 180, 1e-8);
    forget(&n);
}

static void geojson_with_metres_needs_the_crs_of_the_plan(void **state)
{
    const char *path =
        fixture_text("metres.geojson",
                     "{\"type\":\"FeatureCollection\",\"features\":["
                     "{\"type\":\"Feature\",\"properties\":{\"id\":\"S1\",\"mat\":\"\",\"dn\":300,"
                     "\"len\":\"\"},\"geometry\":{\"type\":\"LineString\",\"coordinates\":"
                     "[[500000,5500000,1.5],[500050,5500000,1.25]]}}]}");
    hn_source source = plain_source(path);
    network n = read_network(&source, 1);

    (void)state;
    assert_int_equal(n.rc, HN_ERR_INPUT);
    assert_int_equal(count_issues(&n, "coordinates_off_earth"), 1);
    forget(&n);
    source.crs = "EPSG:25832";
    n = read_good(&source);
    assert_int_equal(n.table->rows, 1);
    assert_non_null(n.table->lines.z);
    assert_true(n.table->lines.z[1] == 1.25);
    assert_int_equal(n.crs.epsg, 25832);
    forget(&n);
}

static void csv_gives_lines_as_wkt(void **state)
{
    hn_source source = plain_source(fixture_text("lines.csv", "id,mat,dn,len,WKT\n"
                                                              "S1,clay,300,50.2,\"" UTM_A
                                                              "\"\nS2,,250,,\"" UTM_B "\"\n"));
    network n;

    (void)state;
    n = read_network(&source, 1);
    assert_int_equal(n.rc, HN_ERR_INPUT);
    assert_non_null(strstr(n.err.hint, "EPSG:"));
    forget(&n);
    source.crs = "EPSG:25832";
    n = read_good(&source);
    expect_two_rows(&n);
    forget(&n);
}

static void tables_without_lines_are_refused(void **state)
{
    static const char *const formats[][2] = {{"XLSX", "t.xlsx"}, {"ODS", "t.ods"}};

    (void)state;
    for (size_t i = 0; i < 2; i++) {
        hn_source source = plain_source(fixture_path(formats[i][1]));
        network n;

        write_two_rows(formats[i][0], source.from, 0, NULL, NULL, wkbNone);
        n = read_network(&source, 1);
        assert_int_equal(n.rc, HN_ERR_INPUT);
        assert_non_null(strstr(n.err.message, "without geometry"));
        assert_null(n.table);
        forget(&n);
    }
}

static void feet_stay_feet_and_lengths_are_metres(void **state)
{
    hn_source source = plain_source(fixture_path("feet.gpkg"));
    network n;

    (void)state;
    write_two_rows("GPKG", source.from, 2263, "LINESTRING(980000 200000,980100 200000)",
                   "LINESTRING(980000 200000,980100 200000,980100 200100)", wkbLineString);
    n = read_good(&source);
    assert_close(n.crs.metres_per_unit, 1200.0 / 3937.0, 1e-12);
    assert_true(n.table->lines.xy[0] == 980000);
    assert_close(HN_F64(n.table, LENGTH_GEOMETRY_M)[0], 100 * 1200.0 / 3937.0, 1e-4);
    forget(&n);
}

static void read_shapes(OGRwkbGeometryType type, const char *const *wkt, size_t count, network *n,
                        const char *name)
{
    hn_source source = plain_source(fixture_path(name));
    GDALDatasetH dataset = fixture_create("GPKG", source.from);
    OGRLayerH layer = plain_layer(dataset, 25832, type);
    char id[32];

    for (size_t i = 0; i < count; i++) {
        const char *cells[] = {id, NULL, NULL, i % 2 ? "10" : NULL};

        snprintf(id, sizeof id, "S%zu", i);
        fixture_row(layer, wkt[i], cells);
    }
    GDALClose(dataset);
    *n = read_good(&source);
}

static void parts_that_touch_become_one_line(void **state)
{
    static const char *const wkt[] = {
        "MULTILINESTRING((500000 5500000,500010 5500000),(500010 5500000,500020 5500000))",
        ("MULTILINESTRING((500000 5500000,500005 5500000),(500010 5500000,500005 5500000),"
         "(500010 5500000,500020 5500000))"),
        ("MULTILINESTRING((500010 5500000,500020 5500000),(500000 5500000,500010 5500000),"
         "(500030 5500000,500020 5500000))"),
        "MULTILINESTRING((500000 5500000,500010 5500000))",
    };
    network n;

    (void)state;
    read_shapes(wkbMultiLineString, wkt, 4, &n, "join.gpkg");
    assert_int_equal(n.table->rows, 4);
    assert_null(n.table->lines.break_before);
    assert_int_equal(n.issues.count, 0);
    assert_int_equal(hn_line_points(&n.table->lines, 0), 3);
    assert_int_equal(hn_line_points(&n.table->lines, 1), 4);
    assert_true(n.table->lines.xy[2 * 3] == 500000);
    assert_true(n.table->lines.xy[2 * 6] == 500020);
    assert_int_equal(hn_line_points(&n.table->lines, 2), 4);
    assert_true(n.table->lines.xy[2 * 7] == 500000);
    assert_true(n.table->lines.xy[2 * 10] == 500030);
    assert_close(HN_F64(n.table, LENGTH_GEOMETRY_M)[2], 30 / 0.9996, 1e-6);
    forget(&n);
}

static void parts_that_do_not_touch_stay_parts(void **state)
{
    static const char *const wkt[] = {
        "LINESTRING(500000 5500000,500010 5500000)",
        "MULTILINESTRING((500000 5500000,500010 5500000),(500020 5500000,500030 5500000))",
        ("MULTILINESTRING((500000 5500000,500010 5500000),(500010 5500000,500020 5500000),"
         "(500010 5500000,500010 5500010))"),
    };
    network n;
    static const uint8_t expected[] = {0, 0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 0};

    (void)state;
    read_shapes(wkbMultiLineString, wkt, 3, &n, "parts.gpkg");
    assert_int_equal(n.table->rows, 3);
    assert_int_equal(count_issues(&n, "geometry_in_parts"), 2);
    assert_non_null(n.table->lines.break_before);
    assert_int_equal(n.table->lines.points, 12);
    assert_memory_equal(n.table->lines.break_before, expected, 12);
    assert_close(HN_F64(n.table, LENGTH_GEOMETRY_M)[1], 20 / 0.9996, 1e-6);
    forget(&n);
}

/* Quarter circle of radius 100 m: pi/2 x 100; chords of 1 degree fall short
 * by a share of (pi/180)^2/24 = 1.3e-5. */
static void curves_become_chords(void **state)
{
    static const char *const wkt[] = {
        "CIRCULARSTRING(500100 5500000,500070.71067811865 5500070.71067811865,500000 5500100)",
        "COMPOUNDCURVE((500000 5500000,500010 5500000),"
        "CIRCULARSTRING(500010 5500000,500020 5500010,500030 5500000))",
    };
    network n;

    (void)state;
    read_shapes(wkbUnknown, wkt, 2, &n, "curve.gpkg");
    assert_int_equal(n.table->rows, 2);
    assert_int_equal(count_issues(&n, "geometry_is_curved"), 1);
    assert_close(HN_F64(n.table, LENGTH_GEOMETRY_M)[0], M_PI / 2 * 100 / 0.9996, 3e-5);
    assert_close(HN_F64(n.table, LENGTH_GEOMETRY_M)[1], (10 + M_PI * 10) / 0.9996, 3e-5);
    forget(&n);
}

static void heights_are_kept_and_measures_dropped(void **state)
{
    static const char *const wkt[] = {
        "LINESTRING(500000 5500000,500010 5500000)",
        "LINESTRING ZM(500000 5500000 5 1,500010 5500000 6 2)",
        "LINESTRING M(500000 5500000 1,500010 5500000 2)",
    };
    network n;

    (void)state;
    read_shapes(wkbUnknown, wkt, 3, &n, "zm.gpkg");
    assert_int_equal(n.table->rows, 3);
    assert_non_null(n.table->lines.z);
    assert_true(isnan(n.table->lines.z[0]));
    assert_true(n.table->lines.z[2] == 5 && n.table->lines.z[3] == 6);
    assert_true(isnan(n.table->lines.z[4]));
    assert_int_equal(count_issues(&n, "geometry_has_m"), 1);
    assert_string_equal(hn_text_pool_get(n.issues.texts, find_issue(&n, "geometry_has_m")->value),
                        "2 rows");
    forget(&n);
}

/* Rows with an odd number have a recorded length of 10 m and stay. */
static void broken_lines_are_listed_and_stay_only_with_a_length(void **state)
{
    static const char *const wkt[] = {
        "LINESTRING(500000 5500000,500010 5500000)",
        NULL,
        "POINT(500000 5500000)",
        "POLYGON((0 0,1 0,1 1,0 0))",
        "LINESTRING EMPTY",
        "LINESTRING EMPTY",
        "LINESTRING(500000 5500000,500000 5500000)",
        "LINESTRING(500000 5500000,500000 5500000)",
        "!nan",
        "!inf",
        "LINESTRING(1e30 5500000,1e30 5500010)",
        "LINESTRING(1e30 5500000,1e30 5500010)",
        "GEOMETRYCOLLECTION(LINESTRING(500000 5500000,500010 5500000),POINT(1 1))",
        NULL,
        NULL,
    };
    network n;

    (void)state;
    read_shapes(wkbUnknown, wkt, 15, &n, "broken.gpkg");
    assert_int_equal(n.stats.rows_read, 15);
    assert_int_equal(n.stats.rows_kept, 8);
    assert_int_equal(n.stats.rows_rejected, 7);
    assert_int_equal(n.table->rows, 8);
    assert_int_equal(count_issues(&n, "geometry_missing"), 5);
    assert_int_equal(count_issues(&n, "geometry_not_a_line"), 3);
    assert_int_equal(count_issues(&n, "geometry_no_length"), 2);
    assert_int_equal(count_issues(&n, "geometry_not_finite"), 2);
    assert_int_equal(count_issues(&n, "coordinates_off_crs"), 2);
    for (size_t row = 1; row < 8; row++) {
        assert_int_equal(hn_line_points(&n.table->lines, row), 0);
        assert_true(isnan(HN_F64(n.table, LENGTH_GEOMETRY_M)[row]));
        assert_true(HN_F64(n.table, LENGTH_RECORDED_M)[row] == 10);
    }
    assert_int_equal(hn_line_points(&n.table->lines, 0), 2);
    assert_int_equal(n.table->lines.points, 2);
    forget(&n);
}

static void coordinates_far_from_the_crs_are_listed(void **state)
{
    static const char *const wkt[] = {
        "LINESTRING(500000 5500000,500010 5500000)",
        "LINESTRING(8.5 49.5,8.6 49.5)", /* degrees in a layer of metres */
        "LINESTRING(5500000 500000,5500010 500000)",
    };
    network n;

    (void)state;
    read_shapes(wkbLineString, wkt, 3, &n, "far.gpkg");
    assert_int_equal(n.table->rows, 3);
    assert_int_equal(count_issues(&n, "coordinates_off_area"), 2);
    forget(&n);
}

static void bad_values_are_issues_not_errors(void **state)
{
    hn_source source = plain_source(fixture_text("bad.csv", "id,mat,dn,len,WKT\n"
                                                            "S1,x,12 mm,0,\"" UTM_A "\"\n"
                                                            ",x,-3,\"1,5\",\"" UTM_B "\"\n"
                                                            "\"S3\",Stra\xdf"
                                                            "e,300,abc,\n"));
    network n;

    (void)state;
    source.crs = "EPSG:25832";
    n = read_good(&source);
    assert_int_equal(n.table->rows, 2);
    assert_string_equal(id_of(&n, 1), "fid:2");
    assert_int_equal(count_issues(&n, "segment_id_missing"), 1);
    assert_int_equal(count_issues(&n, "value_not_a_number"), 2);
    assert_int_equal(count_issues(&n, "value_not_positive"), 2);
    assert_int_equal(count_issues(&n, "value_with_comma"), 1);
    assert_int_equal(count_issues(&n, "text_not_utf8"), 1);
    assert_true(isnan(HN_F64(n.table, WIDTH_MM)[0]));
    assert_string_equal(hn_text_pool_get(n.issues.texts, find_issue(&n, "value_with_comma")->value),
                        "1,5");
    assert_string_equal(
        hn_text_pool_get(n.issues.texts, find_issue(&n, "value_with_comma")->segment), "fid:2");
    forget(&n);
}

static void the_feature_number_is_the_id_when_none_is_mapped(void **state)
{
    hn_source source = plain_source(fixture_path("fid.gpkg"));
    network n;

    (void)state;
    write_two_rows("GPKG", source.from, 25832, UTM_A, UTM_B, wkbLineString);
    source.fields = plain_fields + 1;
    source.field_count = 3;
    n = read_good(&source);
    assert_string_equal(id_of(&n, 0), "1");
    assert_string_equal(id_of(&n, 1), "2");
    assert_int_equal(count_issues(&n, "segment_id_not_mapped"), 1);
    forget(&n);
}

static void the_feature_number_can_be_mapped(void **state)
{
    const hn_field_map fields[] = {{.role = "segment_id", .field = "fid", .unit_factor = 1}};
    hn_source source = plain_source(fixture_path("fid2.gpkg"));
    network n;

    (void)state;
    write_two_rows("GPKG", source.from, 25832, UTM_A, UTM_B, wkbLineString);
    source.fields = fields;
    source.field_count = 1;
    n = read_good(&source);
    assert_string_equal(id_of(&n, 1), "2");
    assert_int_equal(n.issues.count, 0);
    forget(&n);
}

static void widths_heights_and_constants_are_completed(void **state)
{
    static const hn_value_pair shapes[] = {{"clay", "circle"}};
    const hn_field_map fields[] = {
        {.role = "segment_id", .field = "id", .unit_factor = 1},
        {.role = "width_up", .field = "dn", .unit_factor = 1},
        {.role = "width_down", .field = "len", .unit_factor = 1},
        {.role = "shape", .field = "mat", .unit_factor = 1, .values = shapes, .value_count = 1},
        {.role = "duty", .constant = "combined", .unit_factor = 1},
        {.role = "depth_up", .constant = "10", .unit = "ft", .unit_factor = 0.3048},
        {.role = "inspected_on", .constant = "2020-01-31", .unit_factor = 1},
    };
    hn_source source = plain_source(fixture_path("complete.gpkg"));
    network n;

    (void)state;
    write_two_rows("GPKG", source.from, 25832, UTM_A, UTM_B, wkbLineString);
    source.fields = fields;
    source.field_count = 7;
    n = read_good(&source);
    assert_true(HN_F64(n.table, WIDTH_MM)[0] == 50.2);
    assert_true(HN_F64(n.table, WIDTH_MM)[1] == 250);
    assert_int_equal(count_issues(&n, "width_ends_differ"), 1);
    assert_true(HN_F64(n.table, HEIGHT_MM)[0] == 50.2);
    assert_true(isnan(HN_F64(n.table, HEIGHT_MM)[1]));
    assert_string_equal(hn_table_text(n.table, HN_COL_DUTY, 1), "combined");
    assert_close((double)HN_F32(n.table, DEPTH_UP_M)[1], 3.048, 1e-7);
    assert_int_equal(HN_I32(n.table, INSPECTED_ON)[0], 18292); /* date -d 2020-01-31 +%s / 86400 */
    forget(&n);
}

static void where_is_the_sources_own_sql(void **state)
{
    hn_source source = plain_source(fixture_path("where.gpkg"));
    network n;

    (void)state;
    write_two_rows("GPKG", source.from, 25832, UTM_A, UTM_B, wkbLineString);
    source.where = "dn < 280";
    n = read_good(&source);
    assert_int_equal(n.table->rows, 1);
    assert_int_equal(n.stats.rows_in_layer, 2);
    assert_string_equal(id_of(&n, 0), "S2");
    forget(&n);
    source.where = "dn <";
    n = read_network(&source, 1);
    assert_int_equal(n.rc, HN_ERR_INPUT);
    assert_non_null(strstr(n.err.message, "where: dn <"));
    forget(&n);
    source.where = "dn > 1000";
    n = read_network(&source, 1);
    assert_int_equal(n.rc, HN_ERR_INPUT);
    assert_non_null(strstr(n.err.hint, "where"));
    forget(&n);
}

static void what_is_not_there_is_answered_with_what_is(void **state)
{
    hn_field_map fields[] = {{.role = "segment_id", .field = "idd", .unit_factor = 1}};
    hn_source source = plain_source(fixture_path("there.gpkg"));
    network n;

    (void)state;
    write_two_rows("GPKG", source.from, 25832, UTM_A, UTM_B, wkbLineString);
    source.fields = fields;
    source.field_count = 1;
    n = read_network(&source, 1);
    assert_int_equal(n.rc, HN_ERR_INPUT);
    assert_non_null(strstr(n.err.hint, "did you mean \"id\""));
    forget(&n);
    source.layer = "sewer";
    n = read_network(&source, 1);
    assert_non_null(strstr(n.err.hint, "sewers"));
    forget(&n);
    source.layer = NULL;
    source.crs = "EPSG:99999999";
    n = read_network(&source, 1);
    assert_int_equal(n.rc, HN_ERR_INPUT);
    assert_non_null(strstr(n.err.message, "99999999"));
    forget(&n);
    source = plain_source(fixture_text("broken.gpkg2", "this is no data"));
    n = read_network(&source, 1);
    assert_int_equal(n.rc, HN_ERR_INPUT);
    forget(&n);
    fields[0] = (hn_field_map){.role = "colour", .field = "id"};
    source = plain_source(fixture_path("there.gpkg"));
    source.fields = fields;
    source.field_count = 1;
    n = read_network(&source, 1);
    assert_int_equal(n.rc, HN_ERR_PLAN);
    forget(&n);
}

static void running_out_of_memory_is_reported(void **state)
{
    hn_source source = plain_source(fixture_path("memory.gpkg"));
    size_t nth = 0;
    hn_status rc;

    (void)state;
    write_two_rows("GPKG", source.from, 25832, UTM_A,
                   "MULTILINESTRING Z((500000 5500000 1,500010 5500000 1),"
                   "(500020 5500000 1,500030 5500000 1))",
                   wkbUnknown);
    do {
        size_t before = hn_alloc_live();
        hn_issue_list issues;
        network n = {0};

        assert_int_equal(hn_issue_list_init(&issues, NULL), HN_OK);
        hn_alloc_fail_after(++nth);
        rc = hn_network_read(&source, 2, &issues, NULL, NULL, &n.table, &n.crs, &n.stats, NULL);
        hn_alloc_fail_after(0);
        assert_true(rc == HN_OK || rc == HN_ERR_MEMORY);
        rc = issues.dropped ? HN_ERR_MEMORY : rc;
        n.issues = issues;
        forget(&n);
        assert_int_equal(hn_alloc_live(), before);
        assert_true(nth < 400);
    } while (rc != HN_OK);
    assert_true(nth > 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_rows_come_from_every_format),
        cmocka_unit_test(geojson_is_read_in_degrees),
        cmocka_unit_test(geojson_with_metres_needs_the_crs_of_the_plan),
        cmocka_unit_test(csv_gives_lines_as_wkt),
        cmocka_unit_test(tables_without_lines_are_refused),
        cmocka_unit_test(feet_stay_feet_and_lengths_are_metres),
        cmocka_unit_test(parts_that_touch_become_one_line),
        cmocka_unit_test(parts_that_do_not_touch_stay_parts),
        cmocka_unit_test(curves_become_chords),
        cmocka_unit_test(heights_are_kept_and_measures_dropped),
        cmocka_unit_test(broken_lines_are_listed_and_stay_only_with_a_length),
        cmocka_unit_test(coordinates_far_from_the_crs_are_listed),
        cmocka_unit_test(bad_values_are_issues_not_errors),
        cmocka_unit_test(the_feature_number_is_the_id_when_none_is_mapped),
        cmocka_unit_test(the_feature_number_can_be_mapped),
        cmocka_unit_test(widths_heights_and_constants_are_completed),
        cmocka_unit_test(where_is_the_sources_own_sql),
        cmocka_unit_test(what_is_not_there_is_answered_with_what_is),
        cmocka_unit_test(running_out_of_memory_is_reported),
    };

    return cmocka_run_group_tests(tests, fixture_begin, fixture_end);
}
