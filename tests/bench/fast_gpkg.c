/* tests/bench/fast_gpkg.c - see fast_gpkg.h.
 *
 * The index writes the node tables of SQLite's R*Tree module itself. Source of
 * their layout: SQLite documentation, "The SQLite R*Tree Module", section on
 * the shadow tables; cell counts from memory, checked with rtreecheck().
 */
#include "fast_gpkg.h"

#include <gdal.h>
#include <math.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    NODE_CELLS = 51, /* what fits a node of a file with 4096-byte pages */
    CELL_BYTES = 24,
    NODE_BYTES = 4 + NODE_CELLS * CELL_BYTES,
    TREE_LEVELS = 8, /* 51^8 boxes are enough */
    TRIGGERS_MAX = 16
};

typedef struct box {
    double min_x, min_y, max_x, max_y;
} box;

typedef struct tree_cell {
    int64_t id; /* fid in a leaf, node number above */
    box box;
} tree_cell;

typedef struct tree_level {
    int used;
    tree_cell cell[NODE_CELLS];
} tree_level;

struct gpkg_layer {
    sqlite3 *db;
    const gpkg_layer_def *def;
    sqlite3_stmt *insert, *node, *rowid, *parent;
    int bound;
    int64_t rows, next_node;
    box extent;
    tree_level level[TREE_LEVELS];
    int trigger_count;
    char *trigger[TRIGGERS_MAX];
};

void bench_die(const char *format, ...)
{
    va_list args;

    va_start(args, format);
    fputs("make_network: ", stderr);
    vfprintf(stderr, format, args);
    fputc('\n', stderr);
    va_end(args);
    exit(1);
}

/* ---- the file ---- */

static void add_fields(OGRLayerH layer, const gpkg_layer_def *def)
{
    static const OGRFieldType type[] = {OFTString, OFTInteger, OFTReal, OFTDate};

    for (int i = 0; i < def->field_count; i++) {
        OGRFieldDefnH field = OGR_Fld_Create(def->fields[i].name, type[def->fields[i].type]);
        if (OGR_L_CreateField(layer, field, FALSE) != OGRERR_NONE)
            bench_die("field %s cannot be made", def->fields[i].name);
        OGR_Fld_Destroy(field);
    }
}

static void add_layer(GDALDatasetH file, const gpkg_layer_def *def, OGRSpatialReferenceH crs)
{
    static const OGRwkbGeometryType type[] = {wkbNone, wkbLineString, wkbPoint};
    char with[] = "SPATIAL_INDEX=YES", without[] = "SPATIAL_INDEX=NO";
    char *options[] = {def->index ? with : without, NULL};
    OGRLayerH layer = GDALDatasetCreateLayer(file, def->name, def->shape == GPKG_TABLE ? NULL : crs,
                                             type[def->shape], options);

    if (!layer)
        bench_die("layer %s cannot be made", def->name);
    add_fields(layer, def);
}

void gpkg_create(const char *path, const gpkg_layer_def *layers, int count)
{
    OGRSpatialReferenceH crs = OSRNewSpatialReference(NULL);
    GDALDriverH driver;
    GDALDatasetH file;

    GDALAllRegister();
    driver = GDALGetDriverByName("GPKG");
    if (!driver || OSRImportFromEPSG(crs, GPKG_EPSG) != OGRERR_NONE)
        bench_die("GDAL has no GeoPackage driver or no EPSG:%d", GPKG_EPSG);
    remove(path);
    file = GDALCreate(driver, path, 0, 0, 0, GDT_Unknown, NULL);
    if (!file)
        bench_die("%s cannot be made", path);
    for (int i = 0; i < count; i++)
        add_layer(file, &layers[i], crs);
    GDALClose(file);
    OSRDestroySpatialReference(crs);
}

static void run_sql(sqlite3 *db, const char *sql)
{
    if (sqlite3_exec(db, sql, NULL, NULL, NULL) != SQLITE_OK)
        bench_die("%s: %s", sqlite3_errmsg(db), sql);
}

sqlite3 *gpkg_open(const char *path)
{
    sqlite3 *db = NULL;

    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK)
        bench_die("%s cannot be opened: %s", path, sqlite3_errmsg(db));
    run_sql(db, "PRAGMA journal_mode=OFF; PRAGMA synchronous=OFF; PRAGMA locking_mode=EXCLUSIVE;"
                "PRAGMA cache_size=-65536; BEGIN");
    return db;
}

void gpkg_close(sqlite3 *db)
{
    /* The time of writing would make two files of one seed differ. */
    run_sql(db, "UPDATE gpkg_contents SET last_change = '2026-01-01T00:00:00.000Z'; COMMIT");
    if (sqlite3_close(db) != SQLITE_OK)
        bench_die("a file cannot be closed: %s", sqlite3_errmsg(db));
}

/* ---- triggers: out while rows go in, then back ---- */

static sqlite3_stmt *prepare(sqlite3 *db, const char *format, ...)
{
    sqlite3_stmt *statement = NULL;
    va_list args;
    char *sql;

    va_start(args, format);
    sql = sqlite3_vmprintf(format, args);
    va_end(args);
    if (!sql || sqlite3_prepare_v2(db, sql, -1, &statement, NULL) != SQLITE_OK)
        bench_die("%s: %s", sqlite3_errmsg(db), sql ? sql : "");
    sqlite3_free(sql);
    return statement;
}

static void step(sqlite3 *db, sqlite3_stmt *statement)
{
    if (sqlite3_step(statement) != SQLITE_DONE || sqlite3_reset(statement) != SQLITE_OK)
        bench_die("%s", sqlite3_errmsg(db));
}

static void take_triggers(gpkg_layer *layer)
{
    char *names[TRIGGERS_MAX];
    sqlite3_stmt *find = prepare(
        layer->db, "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %Q",
        layer->def->name);

    while (sqlite3_step(find) == SQLITE_ROW) {
        if (layer->trigger_count == TRIGGERS_MAX)
            bench_die("too many triggers on %s", layer->def->name);
        names[layer->trigger_count] = sqlite3_mprintf("%s", sqlite3_column_text(find, 0));
        layer->trigger[layer->trigger_count++] =
            sqlite3_mprintf("%s", sqlite3_column_text(find, 1));
    }
    sqlite3_finalize(find);
    for (int i = 0; i < layer->trigger_count; i++) {
        sqlite3_stmt *drop = prepare(layer->db, "DROP TRIGGER \"%w\"", names[i]);
        step(layer->db, drop);
        sqlite3_finalize(drop);
        sqlite3_free(names[i]);
    }
}

static void put_triggers_back(gpkg_layer *layer)
{
    for (int i = 0; i < layer->trigger_count; i++) {
        run_sql(layer->db, layer->trigger[i]);
        sqlite3_free(layer->trigger[i]);
    }
}

/* ---- rows ---- */

static sqlite3_stmt *prepare_insert(sqlite3 *db, const gpkg_layer_def *def)
{
    sqlite3_str *names = sqlite3_str_new(db), *marks = sqlite3_str_new(db);
    char *name_text, *mark_text;
    sqlite3_stmt *statement;

    for (int i = 0; i < def->field_count; i++) {
        sqlite3_str_appendf(names, "%s\"%w\"", i ? ", " : "", def->fields[i].name);
        sqlite3_str_appendall(marks, i ? ", ?" : "?");
    }
    if (def->shape != GPKG_TABLE) {
        sqlite3_str_appendall(names, ", geom");
        sqlite3_str_appendall(marks, ", ?");
    }
    name_text = sqlite3_str_finish(names);
    mark_text = sqlite3_str_finish(marks);
    statement = prepare(db, "INSERT INTO \"%w\" (%s) VALUES (%s)", def->name, name_text, mark_text);
    sqlite3_free(name_text);
    sqlite3_free(mark_text);
    return statement;
}

static void prepare_index(gpkg_layer *layer)
{
    const char *name = layer->def->name;

    layer->node = prepare(layer->db, "REPLACE INTO \"rtree_%w_geom_node\" VALUES (?, ?)", name);
    layer->rowid = prepare(layer->db, "INSERT INTO \"rtree_%w_geom_rowid\" VALUES (?, ?)", name);
    layer->parent = prepare(layer->db, "INSERT INTO \"rtree_%w_geom_parent\" VALUES (?, ?)", name);
    layer->next_node = 2; /* 1 is the root */
}

gpkg_layer *gpkg_begin(sqlite3 *db, const gpkg_layer_def *def)
{
    gpkg_layer *layer = calloc(1, sizeof *layer);

    if (!layer)
        bench_die("out of memory");
    layer->db = db;
    layer->def = def;
    layer->extent = (box){INFINITY, INFINITY, -INFINITY, -INFINITY};
    take_triggers(layer);
    layer->insert = prepare_insert(db, def);
    if (def->index)
        prepare_index(layer);
    return layer;
}

void gpkg_text(gpkg_layer *layer, const char *text)
{
    sqlite3_bind_text(layer->insert, ++layer->bound, text, -1, SQLITE_STATIC);
}

void gpkg_integer(gpkg_layer *layer, int value)
{
    if (value < 0)
        sqlite3_bind_null(layer->insert, ++layer->bound);
    else
        sqlite3_bind_int(layer->insert, ++layer->bound, value);
}

void gpkg_real(gpkg_layer *layer, double value)
{
    sqlite3_bind_double(layer->insert, ++layer->bound, value); /* NaN is stored as NULL */
}

static void widen(box *b, const box *by)
{
    b->min_x = fmin(b->min_x, by->min_x);
    b->min_y = fmin(b->min_y, by->min_y);
    b->max_x = fmax(b->max_x, by->max_x);
    b->max_y = fmax(b->max_y, by->max_y);
}

static box box_of(const double *xy, int points)
{
    box b = {xy[0], xy[1], xy[0], xy[1]};

    for (int i = 1; i < points; i++) {
        box point = {xy[2 * i], xy[2 * i + 1], xy[2 * i], xy[2 * i + 1]};
        widen(&b, &point);
    }
    return b;
}

static unsigned char *put(unsigned char *at, const void *bytes, size_t count)
{
    memcpy(at, bytes, count);
    return at + count;
}

/* GeoPackage binary: header, box for lines, then little-endian WKB. Source:
 * OGC 12-128r18, clause 2.1.3. The machine is taken to be little-endian. */
static int encode(unsigned char *blob, const double *xy, int points, const box *b)
{
    const int32_t srs = GPKG_EPSG, count = points;
    const double envelope[] = {b->min_x, b->max_x, b->min_y, b->max_y};
    const int is_point = points == 1;
    const int32_t wkb_type = is_point ? 1 : 2;
    unsigned char head[] = {'G', 'P', 0, is_point ? 1 : 3}, order = 1, *at = blob;

    at = put(at, head, 4);
    at = put(at, &srs, 4);
    if (!is_point)
        at = put(at, envelope, sizeof envelope);
    at = put(at, &order, 1);
    at = put(at, &wkb_type, 4);
    if (!is_point)
        at = put(at, &count, 4);
    at = put(at, xy, (size_t)points * 2 * sizeof *xy);
    return (int)(at - blob);
}

int64_t gpkg_add(gpkg_layer *layer, const double *xy, int points)
{
    unsigned char blob[GPKG_BLOB_MAX];

    if (points > 16 || layer->bound != layer->def->field_count)
        bench_die("%s: row with %d points and %d values", layer->def->name, points, layer->bound);
    if (points > 0) {
        box b = box_of(xy, points);
        int size = encode(blob, xy, points, &b);
        widen(&layer->extent, &b);
        sqlite3_bind_blob(layer->insert, ++layer->bound, blob, size, SQLITE_STATIC);
    }
    step(layer->db, layer->insert);
    layer->bound = 0;
    layer->rows++;
    return sqlite3_last_insert_rowid(layer->db);
}

/* ---- spatial index ---- */

static unsigned char *put_big_endian(unsigned char *at, uint64_t value, int bytes)
{
    for (int shift = 8 * (bytes - 1); shift >= 0; shift -= 8)
        *at++ = (unsigned char)(value >> shift);
    return at;
}

/* Boxes are kept as floats: the box must not shrink on the way. */
static unsigned char *put_side(unsigned char *at, double value, int up)
{
    float side = (float)value;
    uint32_t bits;

    if (up ? (double)side < value : (double)side > value)
        side = nextafterf(side, up ? INFINITY : -INFINITY);
    memcpy(&bits, &side, 4);
    return put_big_endian(at, bits, 4);
}

static void write_link(gpkg_layer *layer, sqlite3_stmt *link, int64_t child, int64_t node)
{
    sqlite3_bind_int64(link, 1, child);
    sqlite3_bind_int64(link, 2, node);
    step(layer->db, link);
}

static void write_node(gpkg_layer *layer, int depth, int64_t number, int tree_depth)
{
    tree_level *level = &layer->level[depth];
    unsigned char bytes[NODE_BYTES] = {0}, *at = bytes;

    at = put_big_endian(at, (uint64_t)tree_depth, 2);
    at = put_big_endian(at, (uint64_t)level->used, 2);
    for (int i = 0; i < level->used; i++) {
        const tree_cell *cell = &level->cell[i];
        at = put_big_endian(at, (uint64_t)cell->id, 8);
        at = put_side(at, cell->box.min_x, 0);
        at = put_side(at, cell->box.max_x, 1);
        at = put_side(at, cell->box.min_y, 0);
        at = put_side(at, cell->box.max_y, 1);
        write_link(layer, depth == 0 ? layer->rowid : layer->parent, cell->id, number);
    }
    sqlite3_bind_int64(layer->node, 1, number);
    sqlite3_bind_blob(layer->node, 2, bytes, NODE_BYTES, SQLITE_STATIC);
    step(layer->db, layer->node);
}

static void add_cell(gpkg_layer *layer, int depth, tree_cell cell);

/* Writes the full node of a level and hands its box to the level above. */
static void flush_level(gpkg_layer *layer, int depth)
{
    tree_level *level = &layer->level[depth];
    tree_cell up = {layer->next_node++, level->cell[0].box};

    for (int i = 1; i < level->used; i++)
        widen(&up.box, &level->cell[i].box);
    write_node(layer, depth, up.id, 0);
    level->used = 0;
    add_cell(layer, depth + 1, up);
}

static void add_cell(gpkg_layer *layer, int depth, tree_cell cell)
{
    tree_level *level = &layer->level[depth];

    if (level->used == NODE_CELLS)
        flush_level(layer, depth);
    level->cell[level->used++] = cell;
}

void gpkg_index(gpkg_layer *layer, int64_t fid, const double *xy, int points)
{
    if (layer->def->index)
        add_cell(layer, 0, (tree_cell){fid, box_of(xy, points)});
}

static void finish_index(gpkg_layer *layer)
{
    int depth = 0;

    while (depth + 1 < TREE_LEVELS && layer->level[depth + 1].used > 0)
        flush_level(layer, depth++);
    write_node(layer, depth, 1, depth);
    sqlite3_finalize(layer->node);
    sqlite3_finalize(layer->rowid);
    sqlite3_finalize(layer->parent);
}

void gpkg_end(gpkg_layer *layer)
{
    const box *e = &layer->extent;
    sqlite3_stmt *count = prepare(
        layer->db, "UPDATE gpkg_ogr_contents SET feature_count = %lld WHERE table_name = %Q",
        (long long)layer->rows, layer->def->name);
    sqlite3_stmt *extent = prepare(
        layer->db,
        "UPDATE gpkg_contents SET min_x = ?, min_y = ?, max_x = ?, max_y = ? WHERE table_name = %Q",
        layer->def->name);

    if (layer->def->index)
        finish_index(layer);
    if (layer->def->shape != GPKG_TABLE && layer->rows > 0) {
        const double sides[] = {e->min_x, e->min_y, e->max_x, e->max_y};
        for (int i = 0; i < 4; i++)
            sqlite3_bind_double(extent, i + 1, sides[i]);
        step(layer->db, extent);
    }
    step(layer->db, count);
    sqlite3_finalize(count);
    sqlite3_finalize(extent);
    sqlite3_finalize(layer->insert);
    put_triggers_back(layer);
    free(layer);
}
