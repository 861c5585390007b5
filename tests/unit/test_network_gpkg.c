/* Both ways of reading a GeoPackage give the same table, issues included. */
#include "source_fixture.h"

#include "base/alloc.h"
#include "read/gpkg_batches.h"
#include "read/network_rows.h"
#include "read/ogr_batches.h"

static const hn_value_pair materials[] = {{"m1", "clay"}, {"m2", "concrete"}};
static const char *const missing[] = {"0"};
static const hn_field_map fields[] = {
    {.role = "segment_id", .field = "id", .unit_factor = 1},
    {.role = "up_node", .field = "fid", .unit_factor = 1},
    {.role = "material",
     .field = "mat",
     .unit_factor = 1,
     .values = materials,
     .value_count = 2,
     .other = "unknown"},
    {.role = "width",
     .field = "dn",
     .unit = "in",
     .unit_factor = 25.4,
     .missing = missing,
     .missing_count = 1},
    {.role = "depth_up", .field = "depth", .unit_factor = 1, .pattern = "([0-9.]+) *m"},
    {.role = "laterals", .field = "count", .unit_factor = 1},
    {.role = "inspected_on", .field = "seen", .unit_factor = 1},
    {.role = "year_built", .field = "built", .unit_factor = 1},
    {.role = "length", .field = "len", .unit_factor = 1},
    {.role = "duty", .constant = "foul", .unit_factor = 1},
};

enum { ROWS = 5000, FIELDS = sizeof fields / sizeof fields[0] };

static void add_fields(OGRLayerH layer)
{
    static const struct {
        const char *name;
        OGRFieldType type;
    } columns[] = {
        {"id", OFTString},      {"mat", OFTString},    {"dn", OFTReal},
        {"depth", OFTString},   {"count", OFTInteger}, {"seen", OFTDate},
        {"built", OFTDateTime}, {"len", OFTReal},      {"quo\"ted", OFTString},
    };

    for (size_t i = 0; i < sizeof columns / sizeof columns[0]; i++)
        fixture_field(layer, columns[i].name, columns[i].type);
}

static const char *geometry_of(int i, char *room, size_t size)
{
    static const char *const odd[] = {
        NULL,
        "POINT(500000 5500000)",
        "LINESTRING EMPTY",
        "MULTILINESTRING((500000 5500000,500010 5500000),(500010 5500000,500020 5500000))",
        "MULTILINESTRING Z((500000 5500000 1,500010 5500000 1),(500020 5500000 1,500030 5500000 "
        "2))",
        "LINESTRING ZM(500000 5500000 3 4,500010 5500000 5 6)",
        "CIRCULARSTRING(500100 5500000,500070 5500070,500000 5500100)",
        "GEOMETRYCOLLECTION(LINESTRING(500000 5500000,500010 5500000))",
        "!nan",
    };

    if (i % 10 == 0)
        return odd[i / 10 % (int)(sizeof odd / sizeof odd[0])];
    snprintf(room, size, "LINESTRING(%d 5500000,%d 5500030.125,%d 5500031)", 500000 + i, 500020 + i,
             500040 + i);
    return room;
}

static void make_network(const char *path)
{
    GDALDatasetH dataset = fixture_create("GPKG", path);
    OGRLayerH layer = fixture_layer(dataset, "sew\"ers", 25832, wkbUnknown);
    char id[32], dn[32], depth[32], count[32], seen[32], wkt[256];

    add_fields(layer);
    GDALDatasetStartTransaction(dataset, 0);
    for (int i = 0; i < ROWS; i++) {
        const char *cells[] = {i % 97 ? id : NULL,
                               i % 3   ? "M1"
                               : i % 2 ? "m2"
                                       : "x",
                               i % 5 ? dn : NULL,
                               i % 7 ? depth : "deep",
                               i % 11 ? count : NULL,
                               i % 13 ? seen : NULL,
                               i % 17 ? "1965-03-01T12:00:00" : NULL,
                               i % 4 ? "12.345678901" : NULL,
                               "x"};

        snprintf(id, sizeof id, " S%d ", i);
        snprintf(dn, sizeof dn, "%d", i % 6);
        snprintf(depth, sizeof depth, "%d.5 m", i % 4);
        snprintf(count, sizeof count, "%d", i % 9 - 1);
        snprintf(seen, sizeof seen, "20%02d-06-%02d", i % 20, i % 28 + 1);
        fixture_row(layer, geometry_of(i, wkt, sizeof wkt), cells);
    }
    GDALDatasetCommitTransaction(dataset);
    fixture_sql(dataset, "DELETE FROM \"sew\"\"ers\" WHERE fid % 50 = 7");
    /* blobs that are no geometry: cut off, wrong mark, cut inside the points */
    fixture_sql(dataset, "UPDATE \"sew\"\"ers\" SET geom = x'4750' WHERE fid % 100 = 12");
    fixture_sql(dataset, "UPDATE \"sew\"\"ers\" SET geom = x'00112233445566778899' "
                         "WHERE fid % 100 = 13");
    fixture_sql(dataset, "UPDATE \"sew\"\"ers\" SET geom = substr(geom, 1, 70) "
                         "WHERE fid % 100 = 14");
    GDALClose(dataset);
}

typedef struct result {
    hn_table *table;
    hn_issue_list issues;
    hn_read_stats stats;
} result;

static hn_status take(void *context, const hn_row_batch *batch, hn_error *err)
{
    return hn_network_rows_take(context, batch, err);
}

/* threads 0: feature by feature. */
static result read_by(const char *path, const char *where, int threads)
{
    hn_source source = {
        .key = "network", .from = path, .where = where, .fields = fields, .field_count = FIELDS};
    hn_line_rules rules = {.touch = 0.001};
    hn_role_map map;
    hn_gdal_log log;
    hn_opened opened;
    hn_error err = {0};
    result r = {0};
    hn_network_rows rows = {.map = &map, .key = "network", .issues = &r.issues, .stats = &r.stats};
    int done = 1;

    hn_gdal_log_begin(&log);
    assert_int_equal(hn_issue_list_init(&r.issues, NULL), HN_OK);
    assert_int_equal(hn_open_source(&source, &log, &opened, &err), HN_OK);
    assert_int_equal(
        hn_role_map_init(&map, &source, &opened, hn_segment_roles, hn_segment_role_count, &err),
        HN_OK);
    assert_int_equal(hn_table_new(&rows.table, NULL), HN_OK);
    assert_int_equal(hn_network_rows_begin(&rows, &err), HN_OK);
    if (threads == 0)
        assert_int_equal(hn_ogr_batches(&opened, &map, &rules, take, &rows, &err), HN_OK);
    else
        assert_int_equal(
            hn_gpkg_batches(&source, &opened, &map, &rules, threads, take, &rows, &done, &err),
            HN_OK);
    assert_true(done);
    assert_int_equal(hn_network_rows_end(&rows, &err), HN_OK);
    hn_opened_close(&opened);
    hn_gdal_log_end();
    r.table = rows.table;
    return r;
}

static void free_result(result *r)
{
    hn_table_free(r->table);
    hn_issue_list_clear(&r->issues);
}

static void expect_same_lines(const hn_lines *a, const hn_lines *b, size_t rows)
{
    assert_int_equal(a->points, b->points);
    assert_memory_equal(a->start, b->start, (rows + 1) * sizeof *a->start);
    assert_memory_equal(a->xy, b->xy, a->points * 2 * sizeof *a->xy);
    assert_true(!a->z == !b->z);
    for (size_t i = 0; a->z && i < a->points; i++)
        assert_true(a->z[i] == b->z[i] || (isnan(a->z[i]) && isnan(b->z[i])));
    assert_true(!a->break_before == !b->break_before);
    if (a->break_before)
        assert_memory_equal(a->break_before, b->break_before, a->points);
}

/* Text ids are given by first sight, so equal ids mean equal order too. */
static void expect_same(const result *a, const result *b)
{
    assert_int_equal(a->table->rows, b->table->rows);
    assert_int_equal(a->stats.rows_read, b->stats.rows_read);
    assert_int_equal(a->stats.rows_rejected, b->stats.rows_rejected);
    for (int id = 0; id < HN_COL_COUNT; id++) {
        size_t size = hn_kind_size(hn_column_definition((hn_column_id)id)->kind);

        assert_true(!a->table->column[id] == !b->table->column[id]);
        for (size_t row = 0; a->table->column[id] && row < a->table->rows; row++)
            if (!isnan(hn_table_number(a->table, (hn_column_id)id, row)) || size != 8)
                assert_memory_equal((char *)a->table->column[id] + row * size,
                                    (char *)b->table->column[id] + row * size, size);
            else
                assert_true(isnan(hn_table_number(b->table, (hn_column_id)id, row)));
    }
    assert_int_equal(hn_text_pool_count(a->table->texts), hn_text_pool_count(b->table->texts));
    for (uint32_t id = 0; id < hn_text_pool_count(a->table->texts); id++)
        assert_string_equal(hn_text_pool_get(a->table->texts, id),
                            hn_text_pool_get(b->table->texts, id));
    expect_same_lines(&a->table->lines, &b->table->lines, a->table->rows);
    assert_int_equal(a->issues.count, b->issues.count);
    for (size_t i = 0; i < a->issues.count; i++) {
        const hn_issue *p = &a->issues.items[i], *q = &b->issues.items[i];

        assert_int_equal(p->rule, q->rule);
        assert_int_equal(p->segment, q->segment);
        assert_int_equal(p->value, q->value);
        assert_int_equal(p->effect, q->effect);
        assert_int_equal(p->severity, q->severity);
    }
}

static size_t count_rule(const result *r, const char *rule)
{
    uint32_t id = hn_text_pool_find(r->issues.texts, rule, strlen(rule));
    size_t count = 0;

    for (size_t i = 0; i < r->issues.count; i++)
        count += r->issues.items[i].rule == id;
    return count;
}

static void both_ways_of_reading_give_the_same(void **state)
{
    static const char *const filters[] = {NULL, "dn > 2 OR mat = 'm2' -- a remark"};
    const char *path = fixture_path("both.gpkg");

    (void)state;
    make_network(path);
    for (size_t f = 0; f < 2; f++) {
        result features = read_by(path, filters[f], 0), one = read_by(path, filters[f], 1),
               three = read_by(path, filters[f], 3);

        assert_true(features.table->rows > 1000);
        assert_true(features.issues.count > 500);
        assert_true(f == 1 || count_rule(&features, "geometry_unreadable") == 3 * ROWS / 100);
        expect_same(&features, &one);
        expect_same(&features, &three);
        free_result(&features);
        free_result(&one);
        free_result(&three);
    }
}

static int fits(const char *path, const char *where)
{
    hn_source source = {.key = "network", .from = path, .where = where};
    hn_line_rules rules = {.touch = 0.001};
    hn_issue_list issues;
    hn_read_stats stats = {0};
    hn_role_map map;
    hn_gdal_log log;
    hn_opened opened;
    hn_network_rows rows = {.map = &map, .key = "network", .issues = &issues, .stats = &stats};
    int done = 0;

    hn_gdal_log_begin(&log);
    assert_int_equal(hn_issue_list_init(&issues, NULL), HN_OK);
    assert_int_equal(hn_open_source(&source, &log, &opened, NULL), HN_OK);
    assert_int_equal(
        hn_role_map_init(&map, &source, &opened, hn_segment_roles, hn_segment_role_count, NULL),
        HN_OK);
    assert_int_equal(hn_table_new(&rows.table, NULL), HN_OK);
    assert_int_equal(hn_network_rows_begin(&rows, NULL), HN_OK);
    assert_int_equal(hn_gpkg_batches(&source, &opened, &map, &rules, 2, take, &rows, &done, NULL),
                     HN_OK);
    hn_opened_close(&opened);
    hn_gdal_log_end();
    hn_table_free(rows.table);
    hn_issue_list_clear(&issues);
    return done;
}

static void make_small(const char *path, const char *sql)
{
    GDALDatasetH dataset = fixture_create("GPKG", path);
    OGRLayerH layer = fixture_layer(dataset, "t", 25832, wkbLineString);
    const char *cells[] = {"a"};

    fixture_field(layer, "id", OFTString);
    for (int i = 0; i < 3; i++)
        fixture_row(layer, "LINESTRING(0 0,1 1)", cells);
    fixture_sql(dataset, sql);
    GDALClose(dataset);
}

static void odd_tables_are_left_to_the_general_way(void **state)
{
    const char *plain = fixture_path("plain.gpkg"), *sparse = fixture_path("sparse.gpkg");
    const char *wal = fixture_path("wal.gpkg"), *empty = fixture_path("empty.gpkg");

    (void)state;
    make_small(plain, "SELECT 1");
    assert_true(fits(plain, NULL));
    assert_true(fits(plain, "id = 'a'"));
    assert_false(fits(plain, "ST_IsEmpty(geom) = 0")); /* a function of GDAL */
    make_small(sparse, "UPDATE t SET fid = 4000000000000 WHERE fid = 3");
    assert_false(fits(sparse, NULL));
    make_small(wal, "PRAGMA journal_mode = wal");
    assert_false(fits(wal, NULL));
    make_small(empty, "DELETE FROM t");
    assert_true(fits(empty, NULL));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_ways_of_reading_give_the_same),
        cmocka_unit_test(odd_tables_are_left_to_the_general_way),
    };

    return cmocka_run_group_tests(tests, fixture_begin, fixture_end);
}
