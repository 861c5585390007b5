/* Inspections, nodes and works by their roles. */
#include "source_fixture.h"

#include "base/alloc.h"
#include "base/dates.h"
#include "read/role_table.h"

static const char inspections_csv[] = "pipe;from_mh;status;seen;str;day;root\n"
                                      "S1;A;complete;12.5;0;2019-05-31;fine\n"
                                      "S2;;abandoned;3.2 ft;9;31.05.2019;\n"
                                      "S1;B;;;4;2020-01-01;mass\n";

static const hn_value_pair states[] = {{"complete", "yes"}, {"abandoned", "no"}};
static const hn_field_map inspection_fields[] = {
    {.role = "segment_id", .field = "PIPE", .unit_factor = 1},
    {.role = "up_node", .field = "from_mh", .unit_factor = 1},
    {.role = "complete", .field = "status", .unit_factor = 1, .values = states, .value_count = 2},
    {.role = "length_seen", .field = "seen", .unit_factor = 1},
    {.role = "grade_structural",
     .field = "str",
     .unit_factor = 1,
     .has_scale = 1,
     .best = 0,
     .worst = 4},
    {.role = "inspected_on", .field = "day", .unit_factor = 1},
    {.role = "roots", .field = "root", .unit_factor = 1},
    {.role = "duty", .constant = "foul", .unit_factor = 1},
};

static hn_source inspections(void)
{
    return (hn_source){.key = "inspections[1]",
                       .from = fixture_text("seen.csv", inspections_csv),
                       .fields = inspection_fields,
                       .field_count = sizeof inspection_fields / sizeof inspection_fields[0]};
}

static void inspections_become_arrays(void **state)
{
    hn_source source = inspections();
    hn_text_pool *texts = hn_text_pool_new();
    uint32_t s1 = hn_text_pool_add(texts, "S1", 2);
    hn_issue_list issues;
    hn_role_table t;
    hn_error err = {0};

    (void)state;
    assert_int_equal(hn_issue_list_init(&issues, NULL), HN_OK);
    if (hn_role_table_read(&source, hn_inspection_roles, hn_inspection_role_count, HN_ROLE_ENDS,
                           "EPSG:25832", 1, texts, &issues, &t, &err) != HN_OK)
        fail_msg("%s", err.message);
    assert_int_equal(t.rows, 3);
    assert_null(t.first_xy);
    assert_int_equal(hn_role_table_column(&t, "segment_id")->text[2], s1);
    assert_int_equal(hn_role_table_column(&t, "up_node")->text[1], 0);
    assert_true(hn_role_table_column(&t, "complete")->number[0] == 1);
    assert_true(hn_role_table_column(&t, "complete")->number[1] == 0);
    assert_true(isnan(hn_role_table_column(&t, "complete")->number[2]));
    assert_true(hn_role_table_column(&t, "length_seen")->number[0] == 12.5);
    assert_true(hn_role_table_column(&t, "grade_structural")->number[0] == 1);
    assert_true(isnan(hn_role_table_column(&t, "grade_structural")->number[1]));
    assert_true(hn_role_table_column(&t, "grade_structural")->number[2] == 5);
    assert_int_equal(hn_role_table_column(&t, "inspected_on")->date[0], hn_date_days(2019, 5, 31));
    assert_int_equal(hn_role_table_column(&t, "inspected_on")->date[1], HN_I32_MISSING);
    assert_string_equal(hn_text_pool_get(texts, hn_role_table_column(&t, "duty")->text[2]), "foul");
    assert_false(hn_role_table_column(&t, "width")->is_mapped);
    assert_null(hn_role_table_column(&t, "width")->number);
    assert_null(hn_role_table_column(&t, "no such role"));
    assert_int_equal(issues.count, 3); /* 3.2 ft, 9, 31.05.2019 */
    assert_string_equal(hn_text_pool_get(issues.texts, issues.items[0].segment), "S2");
    hn_role_table_clear(&t);
    hn_issue_list_clear(&issues);
    hn_text_pool_free(texts);
}

static const hn_field_map node_fields[] = {
    {.role = "node_id", .field = "mh", .unit_factor = 1},
    {.role = "ground", .field = "rim", .unit = "ft", .unit_factor = 0.3048},
};

static void make_nodes(const char *path, int epsg)
{
    static const char *const rows[][2] = {{"A", "100"}, {"B", NULL}, {"C", "110"}};
    static const char *const wkt[] = {"POINT(9 49.5)", NULL, "LINESTRING(9 0,9 49.5,9.5 49.5)"};
    GDALDatasetH dataset = fixture_create("GPKG", path);
    OGRLayerH layer = fixture_layer(dataset, "nodes", epsg, wkbUnknown);

    fixture_field(layer, "mh", OFTString);
    fixture_field(layer, "rim", OFTReal);
    for (int i = 0; i < 3; i++)
        fixture_row(layer, wkt[i], rows[i]);
    GDALClose(dataset);
}

static void nodes_come_in_the_network_crs(void **state)
{
    hn_source source = {.key = "nodes", .fields = node_fields, .field_count = 2};
    hn_text_pool *texts = hn_text_pool_new();
    hn_issue_list issues;
    hn_role_table t;

    (void)state;
    source.from = fixture_path("nodes.gpkg");
    make_nodes(source.from, 4258);
    assert_int_equal(hn_issue_list_init(&issues, NULL), HN_OK);
    assert_int_equal(hn_role_table_read(&source, hn_node_roles, hn_node_role_count, HN_ROLE_LINES,
                                        "EPSG:25832", 2, texts, &issues, &t, NULL),
                     HN_OK);
    assert_int_equal(t.rows, 3);
    /* central meridian 9 degrees: false easting 500000 m (EPSG:16032) */
    assert_close(t.first_xy[0], 500000, 1e-9);
    assert_close(t.last_xy[0], 500000, 1e-9);
    assert_true(isnan(t.first_xy[2]) && isnan(t.last_xy[3]));
    assert_true(fabs(t.first_xy[5]) < 1e-6);
    assert_close(t.last_xy[5], t.first_xy[1], 1e-3);
    assert_true(t.last_xy[4] > 530000);
    assert_int_equal(hn_line_points(&t.lines, 0), 1);
    assert_int_equal(hn_line_points(&t.lines, 1), 0);
    assert_int_equal(hn_line_points(&t.lines, 2), 3);
    assert_close(t.lines.xy[2 * 2 + 1], t.first_xy[1], 1e-9);
    assert_close(hn_role_table_column(&t, "ground")->number[0], 30.48, 1e-12);
    assert_int_equal(t.fid[2], 3);
    hn_role_table_clear(&t);
    hn_issue_list_clear(&issues);
    hn_text_pool_free(texts);
}

static void wanted_geometry_needs_a_crs(void **state)
{
    hn_source source = {.key = "nodes", .fields = node_fields, .field_count = 2};
    hn_text_pool *texts = hn_text_pool_new();
    hn_issue_list issues;
    hn_role_table t;
    hn_error err = {0};

    (void)state;
    source.from = fixture_text("nodes.geojson.csv", "mh,rim,x,y\nA,100,9,49.5\n");
    assert_int_equal(hn_issue_list_init(&issues, NULL), HN_OK);
    assert_int_equal(hn_role_table_read(&source, hn_node_roles, hn_node_role_count, HN_ROLE_ENDS,
                                        "EPSG:25832", 1, texts, &issues, &t, &err),
                     HN_ERR_INPUT);
    assert_non_null(strstr(err.hint, "crs"));
    hn_role_table_clear(&t);
    source.crs = "EPSG:4258";
    assert_int_equal(hn_role_table_read(&source, hn_node_roles, hn_node_role_count, HN_ROLE_ENDS,
                                        "EPSG:25832", 1, texts, &issues, &t, &err),
                     HN_OK);
    assert_close(t.first_xy[0], 500000, 1e-9);
    hn_role_table_clear(&t);
    hn_issue_list_clear(&issues);
    hn_text_pool_free(texts);
}

static void running_out_of_memory_leaks_nothing(void **state)
{
    hn_source source = inspections(),
              nodes = {.key = "nodes", .fields = node_fields, .field_count = 2};
    size_t nth = 0;
    int done;

    (void)state;
    nodes.from = fixture_path("nodes2.gpkg");
    make_nodes(nodes.from, 4258);
    do {
        hn_text_pool *texts = hn_text_pool_new();
        hn_issue_list issues;
        hn_role_table a, b;
        hn_status ra, rb;
        size_t before;

        assert_int_equal(hn_issue_list_init(&issues, NULL), HN_OK);
        before = hn_alloc_live();
        hn_alloc_fail_after(++nth);
        ra = hn_role_table_read(&nodes, hn_node_roles, hn_node_role_count, HN_ROLE_LINES,
                                "EPSG:25832", 2, texts, &issues, &a, NULL);
        rb = hn_role_table_read(&source, hn_inspection_roles, hn_inspection_role_count,
                                HN_ROLE_NO_GEOMETRY, NULL, 1, texts, &issues, &b, NULL);
        hn_alloc_fail_after(0);
        done = ra == HN_OK && rb == HN_OK && issues.dropped == 0;
        assert_true(ra == HN_OK || ra == HN_ERR_MEMORY);
        assert_true(rb == HN_OK || rb == HN_ERR_MEMORY);
        hn_role_table_clear(&a);
        hn_role_table_clear(&b);
        assert_true(hn_alloc_live() <= before + 64); /* texts and issues stay with the caller */
        hn_issue_list_clear(&issues);
        hn_text_pool_free(texts);
        assert_true(nth < 500);
    } while (!done);
    assert_true(nth > 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(inspections_become_arrays),
        cmocka_unit_test(nodes_come_in_the_network_crs),
        cmocka_unit_test(wanted_geometry_needs_a_crs),
        cmocka_unit_test(running_out_of_memory_leaks_nothing),
    };

    return cmocka_run_group_tests(tests, fixture_begin, fixture_end);
}
