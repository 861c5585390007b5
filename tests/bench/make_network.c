/* tests/bench/make_network.c - writes the inputs of a bench run.
 *
 * usage: make_network COUNT FOLDER [SEED] [--no-index]
 *
 * network.gpkg, inspections.gpkg, context.gpkg and plan.yaml for an invented
 * town of COUNT sewers. The same count and seed give the same bytes (with the
 * same GDAL and SQLite). Memory does not grow with the count.
 */
#include "fast_gpkg.h"
#include "town.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FIELDS(list) list, (int)(sizeof(list) / sizeof *(list))

static const gpkg_field sewer_fields[] = {
    {"asset_id", GPKG_TEXT},    {"up_mh", GPKG_TEXT},       {"down_mh", GPKG_TEXT},
    {"owner", GPKG_TEXT},       {"status", GPKG_TEXT},      {"district", GPKG_TEXT},
    {"street", GPKG_TEXT},      {"duty", GPKG_TEXT},        {"surface", GPKG_TEXT},
    {"soil", GPKG_TEXT},        {"material", GPKG_TEXT},    {"profile", GPKG_TEXT},
    {"width", GPKG_INTEGER},    {"height", GPKG_INTEGER},   {"built", GPKG_INTEGER},
    {"lined", GPKG_INTEGER},    {"length", GPKG_REAL},      {"invert_up", GPKG_REAL},
    {"invert_down", GPKG_REAL}, {"ground_up", GPKG_REAL},   {"ground_down", GPKG_REAL},
    {"laterals", GPKG_INTEGER}, {"groundwater", GPKG_REAL}, {"access", GPKG_INTEGER},
    {"flow", GPKG_REAL},        {"bend", GPKG_REAL},        {"remark", GPKG_TEXT},
};

static const gpkg_field inspection_fields[] = {
    {"inspection_id", GPKG_TEXT}, {"asset_id", GPKG_TEXT},     {"up_mh", GPKG_TEXT},
    {"seen_on", GPKG_DATE},       {"outcome", GPKG_TEXT},      {"seen", GPKG_REAL},
    {"structural", GPKG_INTEGER}, {"service", GPKG_INTEGER},   {"tightness", GPKG_INTEGER},
    {"spots", GPKG_INTEGER},      {"infiltration", GPKG_TEXT}, {"roots", GPKG_TEXT},
    {"ovality", GPKG_REAL},       {"joint_offset", GPKG_REAL}, {"sag", GPKG_REAL},
    {"deposits", GPKG_REAL},      {"collapsed", GPKG_INTEGER},
};

static const gpkg_field context_fields[] = {{"name", GPKG_TEXT}};

/* ---- network.gpkg ---- */

static void bind_sewer(gpkg_layer *layer, const sewer *s)
{
    gpkg_text(layer, s->asset_id);
    gpkg_text(layer, s->up_node);
    gpkg_text(layer, s->down_node);
    gpkg_text(layer, s->owner);
    gpkg_text(layer, s->status);
    gpkg_text(layer, s->district);
    gpkg_text(layer, s->street);
    gpkg_text(layer, s->duty);
    gpkg_text(layer, s->surface);
    gpkg_text(layer, s->soil);
    gpkg_text(layer, s->material);
    gpkg_text(layer, s->shape);
    gpkg_integer(layer, s->width_mm);
    gpkg_integer(layer, s->height_mm);
    gpkg_integer(layer, s->year_built);
    gpkg_integer(layer, s->year_lined);
    gpkg_real(layer, s->length_m);
    gpkg_real(layer, s->invert_up_m);
    gpkg_real(layer, s->invert_down_m);
    gpkg_real(layer, s->ground_up_m);
    gpkg_real(layer, s->ground_down_m);
    gpkg_integer(layer, s->laterals);
    gpkg_real(layer, s->groundwater_m);
    gpkg_integer(layer, s->access_mm);
    gpkg_real(layer, s->flow_m3_per_s);
    gpkg_real(layer, s->bend_deg);
    gpkg_text(layer, s->remark);
}

/* Rows of a patch come in a scattered order, as assets are recorded; 1009 is
 * a prime above the size of any patch, so every place comes once. The index
 * takes them in grid order, which keeps neighbours together. */
static void write_patch(gpkg_layer *layer, const patch *p, const sewer *sewers)
{
    int64_t fid[PATCH_SEWERS_MAX];

    for (int row = 0; row < p->count; row++) {
        int place = (int)((row * 1009LL + (long long)(p->number % 97)) % p->count);
        const sewer *s = &sewers[place];
        bind_sewer(layer, s);
        fid[place] = gpkg_add(layer, s->line.xy, s->line.points);
    }
    for (int place = 0; place < p->count; place++) {
        const line *l = &sewers[place].line;
        gpkg_index(layer, fid[place], l->xy, l->points);
    }
}

/* EUR per metre. Local rule, only to give the budgets a likely size: 900 at
 * 300 mm, growing with the width. */
static double rough_value(const sewer *s)
{
    return s->drawn_m * (300.0 + 2.0 * s->width_mm);
}

/* Returns the rough value of the network, EUR. */
static double write_network(const town *t, const char *path, int index)
{
    static sewer sewers[PATCH_SEWERS_MAX];
    const gpkg_layer_def def = {"sewers", GPKG_LINES, FIELDS(sewer_fields), index};
    double value = 0, upstream_m = 0;
    patch p = {0};
    gpkg_layer *layer;
    sqlite3 *db;

    gpkg_create(path, &def, 1);
    db = gpkg_open(path);
    layer = gpkg_begin(db, &def);
    while (town_next_patch(t, &p)) {
        town_sewers(t, &p, &upstream_m, sewers);
        write_patch(layer, &p, sewers);
        for (int i = 0; i < p.count; i++)
            value += rough_value(&sewers[i]);
    }
    gpkg_end(layer);
    gpkg_close(db);
    return value;
}

/* ---- inspections.gpkg ---- */

static void bind_inspection(gpkg_layer *layer, const inspection *i)
{
    gpkg_text(layer, i->inspection_id);
    gpkg_text(layer, i->segment_id);
    gpkg_text(layer, i->up_node);
    gpkg_text(layer, i->inspected_on);
    gpkg_text(layer, i->complete);
    gpkg_real(layer, i->length_seen_m);
    gpkg_integer(layer, i->structural);
    gpkg_integer(layer, i->service);
    gpkg_integer(layer, i->tightness);
    gpkg_integer(layer, i->spot_defects);
    gpkg_text(layer, i->infiltration);
    gpkg_text(layer, i->roots);
    gpkg_real(layer, i->ovality_pct);
    gpkg_real(layer, i->joint_offset_pct);
    gpkg_real(layer, i->sag_pct);
    gpkg_real(layer, i->deposits_pct);
    gpkg_integer(layer, i->collapsed);
}

static void write_inspections(const town *t, const char *path)
{
    const gpkg_layer_def def = {"inspections", GPKG_TABLE, FIELDS(inspection_fields), 0};
    gpkg_layer *layer;
    sqlite3 *db;

    gpkg_create(path, &def, 1);
    db = gpkg_open(path);
    layer = gpkg_begin(db, &def);
    for (uint64_t number = 0; number < town_inspections(t); number++) {
        inspection i;
        town_inspection(t, number, &i);
        bind_inspection(layer, &i);
        gpkg_add(layer, NULL, 0);
    }
    gpkg_end(layer);
    gpkg_close(db);
}

/* ---- context.gpkg ---- */

typedef void (*place_fn)(const town *t, const patch *p, uint64_t number, line *out);

/* `wanted` things, spread over the patches as evenly as whole numbers go. */
static void write_context_layer(const town *t, sqlite3 *db, const gpkg_layer_def *def,
                                uint64_t wanted, place_fn place)
{
    gpkg_layer *layer = gpkg_begin(db, def);
    uint64_t number = 0;
    patch p = {0};

    while (town_next_patch(t, &p)) {
        for (; number < (p.number + 1) * wanted / t->patches; number++) {
            char name[48];
            line l;
            place(t, &p, number, &l);
            snprintf(name, sizeof name, "%s %llu", def->name, (unsigned long long)number);
            gpkg_text(layer, name);
            gpkg_index(layer, gpkg_add(layer, l.xy, l.points), l.xy, l.points);
        }
    }
    gpkg_end(layer);
}

static uint64_t at_least(uint64_t value, uint64_t least)
{
    return value > least ? value : least;
}

/* 50,000 roads, 10,000 waters and 200 hospitals for a million sewers. */
static void write_context(const town *t, const char *path, int index)
{
    const gpkg_layer_def def[] = {{"road", GPKG_LINES, FIELDS(context_fields), index},
                                  {"water", GPKG_LINES, FIELDS(context_fields), index},
                                  {"hospital", GPKG_POINTS, FIELDS(context_fields), index}};
    sqlite3 *db;

    gpkg_create(path, def, 3);
    db = gpkg_open(path);
    write_context_layer(t, db, &def[0], at_least(t->sewers / 20, 200), town_road);
    write_context_layer(t, db, &def[1], at_least(t->sewers / 100, 100), town_water);
    write_context_layer(t, db, &def[2], at_least(t->sewers / 5000, 20), town_point);
    gpkg_close(db);
}

/* ---- plan.yaml ---- */

static const char plan_inputs[] =
    "title: Bench plan for an invented town\n"
    "as_of: 2026-01-01\n"
    "currency: EUR\n"
    "network:\n"
    "  from: network.gpkg\n"
    "  layer: sewers\n"
    "  fields:\n"
    "    segment_id: asset_id\n"
    "    up_node: up_mh\n"
    "    down_node: down_mh\n"
    "    owner: owner\n"
    "    status: status\n"
    "    district: district\n"
    "    street: street\n"
    "    duty: {field: duty, values: {F: foul, M: combined, S: storm}}\n"
    "    surface: {field: surface, values: {GR: green, FW: footway, LR: minor road, MR: main road, "
    "BD: building}}\n"
    "    soil: soil\n"
    "    material:\n"
    "      field: material\n"
    "      values: {VC: vitrified clay, CO: concrete, RC: reinforced concrete, BR: brick,\n"
    "               CI: cast iron, GR: grp, PV: pvc, PE: pe}\n"
    "    shape: {field: profile, values: {C: circle, E: egg, R: rectangle, H: horseshoe}}\n"
    "    width: {field: width, unit: mm, missing: [0]}\n"
    "    height: {field: height, unit: mm}\n"
    "    year_built: {field: built, date: year}\n"
    "    year_lined: {field: lined, date: year}\n"
    "    length: {field: length, unit: m}\n"
    "    invert_up: {field: invert_up, unit: m}\n"
    "    invert_down: {field: invert_down, unit: m}\n"
    "    ground_up: {field: ground_up, unit: m}\n"
    "    ground_down: {field: ground_down, unit: m}\n"
    "    laterals: laterals\n"
    "    groundwater_above_invert: {field: groundwater, unit: m}\n"
    "    access_opening: {field: access, unit: mm}\n"
    "    flow_required: {field: flow, unit: m3/s}\n"
    "    bend: {field: bend, unit: deg}\n"
    "inspections:\n"
    "  - from: inspections.gpkg\n"
    "    layer: inspections\n"
    "    fields:\n"
    "      inspection_id: inspection_id\n"
    "      segment_id: asset_id\n"
    "      up_node: up_mh\n"
    "      inspected_on: seen_on\n"
    "      complete: {field: outcome, values: {complete: yes, abandoned: no}}\n"
    "      length_seen: {field: seen, unit: m}\n"
    "      grade_structural: {field: structural, best: 1, worst: 5}\n"
    "      grade_service: {field: service, best: 1, worst: 5}\n"
    "      grade_tightness: {field: tightness, best: 1, worst: 5}\n"
    "      spot_defects: spots\n"
    "      infiltration: infiltration\n"
    "      roots: roots\n"
    "      ovality: {field: ovality, unit: pct}\n"
    "      joint_offset: {field: joint_offset, unit: pct}\n"
    "      sag: {field: sag, unit: pct}\n"
    "      deposits: {field: deposits, unit: pct}\n"
    "      collapsed: {field: collapsed, values: {1: yes, 0: no}}\n"
    "context:\n"
    "  road: {from: context.gpkg, layer: road, search_m: 100}\n"
    "  water: {from: context.gpkg, layer: water, search_m: 100}\n"
    "  hospital: {from: context.gpkg, layer: hospital, search_m: 100}\n"
    "defaults:\n"
    "  soil: {value: mixed, source: local rule}\n"
    "  groundwater_above_invert_m: {value: 1.0, source: local rule}\n"
    "programme:\n"
    "  first_year: 2026\n";

/* Ten budgets of one hundredth of the network's rough value each. */
static void write_plan(const char *path, double value)
{
    double budget = floor(value / 100.0 / 1000.0 + 0.5) * 1000.0;
    FILE *file = fopen(path, "w");

    if (!file)
        bench_die("%s cannot be written", path);
    fputs(plan_inputs, file);
    fputs("  budgets: [", file);
    for (int year = 0; year < 10; year++)
        fprintf(file, "%s%.0f", year ? ", " : "", budget);
    fputs("]\n  carry_over_share: 0.1\n  priority: risk\noutput:\n  folder: out\n", file);
    if (fclose(file) != 0)
        bench_die("%s cannot be written", path);
}

/* ---- */

static const char *path_in(const char *folder, const char *name, char room[4096])
{
    if (snprintf(room, 4096, "%s/%s", folder, name) >= 4096)
        bench_die("the folder name is too long");
    return room;
}

static uint64_t read_number(const char *text)
{
    char *end;
    unsigned long long value = strtoull(text, &end, 10);

    if (*text < '0' || *text > '9' || *end != '\0')
        bench_die("'%s' is not a whole number", text);
    return value;
}

int main(int argc, char **argv)
{
    char room[4096];
    int index = 1;
    double value;
    town t;

    if (argc > 1 && strcmp(argv[argc - 1], "--no-index") == 0) {
        index = 0;
        argc--;
    }
    if (argc < 3 || argc > 4)
        bench_die("usage: make_network COUNT FOLDER [SEED] [--no-index]");
    if (read_number(argv[1]) < 1 || read_number(argv[1]) > 90000000)
        bench_die("COUNT must be 1 to 90000000");
    t = town_make(read_number(argv[1]), argc == 4 ? read_number(argv[3]) : 1);
    value = write_network(&t, path_in(argv[2], "network.gpkg", room), index);
    write_inspections(&t, path_in(argv[2], "inspections.gpkg", room));
    write_context(&t, path_in(argv[2], "context.gpkg", room), index);
    write_plan(path_in(argv[2], "plan.yaml", room), value);
    return 0;
}
