/* Context layers of every geometry into flat shapes of the network's CRS. */
#include "source_fixture.h"

#include "base/alloc.h"
#include "read/context_source.h"

typedef struct context {
    hn_context_shapes shapes;
    hn_context_stats stats;
    hn_issue_list issues;
    hn_error err;
    hn_status rc;
} context;

static context read_context(const char *from, const char *layer_crs, const char *where,
                            const double *box)
{
    hn_source source = {.key = "context.rail", .from = from, .crs = layer_crs, .where = where};
    context c = {.rc = HN_OK};

    assert_int_equal(hn_issue_list_init(&c.issues, NULL), HN_OK);
    c.rc = hn_context_read(&source, "EPSG:25832", box, &c.issues, &c.shapes, &c.stats, &c.err);
    return c;
}

static void forget(context *c)
{
    hn_context_shapes_clear(&c->shapes);
    hn_issue_list_clear(&c->issues);
}

static const char *rule_of(const context *c, size_t i)
{
    return hn_text_pool_get(c->issues.texts, c->issues.items[i].rule);
}

static const char *make_layer(const char *name, int epsg, const char *const *wkt, size_t count)
{
    const char *path = fixture_path(name);
    GDALDatasetH dataset = fixture_create("GPKG", path);
    OGRLayerH layer = fixture_layer(dataset, "rail", epsg, wkbUnknown);
    const char *cells[] = {"main"};

    fixture_field(layer, "class", OFTString);
    for (size_t i = 0; i < count; i++)
        fixture_row(layer, wkt[i], cells);
    GDALClose(dataset);
    return path;
}

static void every_geometry_becomes_parts(void **state)
{
    static const char *const wkt[] = {
        "POINT(1 2)",
        "MULTIPOINT(1 2,3 4)",
        "LINESTRING Z(0 0 5,1 0 5,1 1 5)",
        "MULTILINESTRING((0 0,1 0),(5 5,6 6))",
        "POLYGON((0 0,9 0,9 9,0 9,0 0),(1 1,2 1,2 2,1 1))",
        "MULTIPOLYGON(((0 0,1 0,1 1,0 0)),((5 5,6 5,6 6,5 5)))",
        "GEOMETRYCOLLECTION(POINT(7 7),LINESTRING(0 0,1 1))",
        "CIRCULARSTRING(1 0,0 1,-1 0)",
        NULL,
        "POINT EMPTY",
    };
    static const uint8_t kinds[] = {0, 0, 0, 1, 1, 1, 2, 3, 2, 2, 0, 1, 1};
    static const uint32_t features[] = {0, 1, 1, 2, 3, 3, 4, 4, 5, 5, 6, 6, 7};
    context c;

    (void)state;
    c = read_context(make_layer("all.gpkg", 25832, wkt, 10), NULL, NULL, NULL);
    if (c.rc != HN_OK)
        fail_msg("%s", c.err.message);
    assert_int_equal(c.shapes.parts, 13);
    assert_int_equal(c.shapes.features, 10);
    assert_memory_equal(c.shapes.kind, kinds, sizeof kinds);
    assert_memory_equal(c.shapes.feature, features, sizeof features);
    assert_int_equal(c.shapes.start[3], 3);
    assert_int_equal(c.shapes.start[4], 6);
    assert_true(c.shapes.xy[2 * 4] == 1 && c.shapes.xy[2 * 4 + 1] == 0);
    assert_in_range(c.shapes.start[13] - c.shapes.start[12], 181, 183); /* 1 degree each */
    assert_int_equal(c.stats.features_left_out, 2);
    assert_int_equal(c.issues.count, 1);
    assert_string_equal(rule_of(&c, 0), "context_shape_unusable");
    forget(&c);
}

/* 9 degrees east is the central meridian: 500000 m east (EPSG:16032); the
 * equator is 0 m north. */
static void degrees_are_turned_into_the_network_crs(void **state)
{
    static const char *const wkt[] = {"LINESTRING(9 0,9 1)", "POINT(9 95)"};
    context c;

    (void)state;
    c = read_context(make_layer("deg.gpkg", 4326, wkt, 2), NULL, NULL, NULL);
    assert_int_equal(c.rc, HN_OK);
    assert_int_equal(c.shapes.parts, 1);
    assert_close(c.shapes.xy[0], 500000, 1e-9);
    assert_true(fabs(c.shapes.xy[1]) < 1e-3);
    assert_close(c.shapes.xy[3], 110574.39 * 0.9996, 1e-6); /* WGS 84 meridian arc of 1 degree */
    assert_int_equal(c.stats.features_left_out, 1);
    forget(&c);
}

static void only_what_may_touch_the_box_is_read(void **state)
{
    static const char *const wkt[] = {"LINESTRING(9 49,9 49.01)", "LINESTRING(10 49,10 49.01)"};
    const double box[4] = {499000, 5427000, 501000, 5430000};
    context c;

    (void)state;
    c = read_context(make_layer("box.gpkg", 4326, wkt, 2), NULL, NULL, box);
    assert_int_equal(c.rc, HN_OK);
    assert_int_equal(c.shapes.parts, 1);
    assert_int_equal(c.stats.features_in_layer, 2);
    assert_int_equal(c.issues.count, 0);
    forget(&c);
}

static void a_layer_in_another_hemisphere_is_a_warning(void **state)
{
    static const char *const wkt[] = {"LINESTRING(9 -49,9 -49.01)"};
    const double box[4] = {499000, 5427000, 501000, 5430000};
    context c;

    (void)state;
    c = read_context(make_layer("south.gpkg", 4326, wkt, 1), NULL, NULL, box);
    assert_int_equal(c.rc, HN_OK);
    assert_int_equal(c.shapes.parts, 0);
    assert_non_null(c.shapes.start);
    assert_int_equal(c.issues.count, 1);
    assert_string_equal(rule_of(&c, 0), "context_far_away");
    assert_int_equal(c.issues.items[0].severity, HN_SEVERITY_WARNING);
    forget(&c);
}

static void an_empty_layer_is_a_note(void **state)
{
    context c;

    (void)state;
    c = read_context(make_layer("empty.gpkg", 25832, NULL, 0), NULL, NULL, NULL);
    assert_int_equal(c.rc, HN_OK);
    assert_string_equal(rule_of(&c, 0), "context_empty");
    assert_int_equal(c.issues.items[0].severity, HN_SEVERITY_NOTE);
    forget(&c);
}

static void a_missing_crs_or_geometry_is_an_error(void **state)
{
    context c;

    (void)state;
    c = read_context(fixture_text("rail.csv", "class,WKT\nmain,POINT(9 49)\n"), NULL, NULL, NULL);
    assert_int_equal(c.rc, HN_ERR_INPUT);
    assert_non_null(strstr(c.err.message, "context.rail"));
    assert_non_null(strstr(c.err.hint, "crs"));
    forget(&c);
    c = read_context(fixture_path("rail.csv"), "EPSG:4326", NULL, NULL);
    assert_int_equal(c.rc, HN_OK);
    assert_int_equal(c.shapes.parts, 1);
    forget(&c);
    c = read_context(fixture_text("plain.csv", "class,name\nmain,x\n"), "EPSG:4326", NULL, NULL);
    assert_int_equal(c.rc, HN_ERR_INPUT);
    if (!strstr(c.err.message, "without geometry"))
        fail_msg("%s", c.err.message);
    forget(&c);
}

static void running_out_of_memory_leaks_nothing(void **state)
{
    static const char *const wkt[] = {"POLYGON((0 0,9 0,9 9,0 9,0 0))", "POINT(1 1)"};
    const char *path = make_layer("memory.gpkg", 25832, wkt, 2);
    size_t nth = 0;
    hn_status rc;

    (void)state;
    do {
        size_t before = hn_alloc_live();
        context c;

        hn_alloc_fail_after(++nth + 6); /* the list of issues takes six */
        c = read_context(path, NULL, NULL, NULL);
        hn_alloc_fail_after(0);
        rc = c.rc;
        assert_true(rc == HN_OK || rc == HN_ERR_MEMORY);
        forget(&c);
        assert_int_equal(hn_alloc_live(), before);
    } while (rc != HN_OK);
    assert_true(nth > 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_geometry_becomes_parts),
        cmocka_unit_test(degrees_are_turned_into_the_network_crs),
        cmocka_unit_test(only_what_may_touch_the_box_is_read),
        cmocka_unit_test(a_layer_in_another_hemisphere_is_a_warning),
        cmocka_unit_test(an_empty_layer_is_a_note),
        cmocka_unit_test(a_missing_crs_or_geometry_is_an_error),
        cmocka_unit_test(running_out_of_memory_leaks_nothing),
    };

    return cmocka_run_group_tests(tests, fixture_begin, fixture_end);
}
