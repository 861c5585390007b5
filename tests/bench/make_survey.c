/* tests/bench/make_survey.c - inspections and observations for a network of make_network.
 *
 * usage: make_survey COUNT FOLDER [SEED]
 *
 * FOLDER/survey.gpkg: tables inspections (1.3 rows a sewer) and observations (10 a
 * sewer), for the town that make_network draws from the same count and seed. Memory: the
 * length of each sewer, 4 bytes.
 */
#include "fast_gpkg.h"
#include "survey.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define FIELDS(list) list, (int)(sizeof(list) / sizeof *(list))

static const gpkg_field inspection_fields[] = {
    {"inspection_id", GPKG_TEXT}, {"asset_id", GPKG_TEXT}, {"seen_on", GPKG_DATE},
    {"outcome", GPKG_TEXT},       {"seen", GPKG_REAL},
};

static const gpkg_field observation_fields[] = {
    {"inspection_id", GPKG_TEXT}, {"code", GPKG_TEXT},        {"char_1", GPKG_TEXT},
    {"quantity", GPKG_REAL},      {"at_m", GPKG_REAL},        {"mark", GPKG_TEXT},
    {"clock_from", GPKG_INTEGER}, {"clock_to", GPKG_INTEGER}, {"remark", GPKG_TEXT},
};

static float *lengths(const town *t)
{
    static sewer sewers[PATCH_SEWERS_MAX];
    float *length_m = calloc(t->sewers, sizeof *length_m);
    double upstream_m = 0;
    patch p = {0};

    if (!length_m)
        bench_die("out of memory");
    while (town_next_patch(t, &p)) {
        town_sewers(t, &p, &upstream_m, sewers);
        for (int i = 0; i < p.count && p.first + (uint64_t)i < t->sewers; i++)
            length_m[p.first + (uint64_t)i] = (float)sewers[i].drawn_m;
    }
    return length_m;
}

static void write_inspections(const town *t, sqlite3 *db, const gpkg_layer_def *def,
                              const float *length_m)
{
    gpkg_layer *layer = gpkg_begin(db, def);

    for (uint64_t number = 0; number < survey_visits(t); number++) {
        visit v;

        survey_visit(t, number, length_m, &v);
        gpkg_text(layer, v.inspection_id);
        gpkg_text(layer, v.segment_id);
        gpkg_text(layer, v.inspected_on);
        gpkg_text(layer, v.complete);
        gpkg_real(layer, v.length_seen_m);
        gpkg_add(layer, NULL, 0);
    }
    gpkg_end(layer);
}

static void bind_observation(gpkg_layer *layer, const visit *v, const observation *o)
{
    gpkg_text(layer, v->inspection_id);
    gpkg_text(layer, o->code);
    gpkg_text(layer, o->characterisation);
    gpkg_real(layer, o->quantity);
    gpkg_real(layer, o->at_m);
    gpkg_text(layer, o->mark);
    gpkg_integer(layer, o->clock_from);
    gpkg_integer(layer, o->clock_to);
    gpkg_text(layer, o->remark);
}

static void write_observations(const town *t, sqlite3 *db, const gpkg_layer_def *def,
                               const float *length_m)
{
    gpkg_layer *layer = gpkg_begin(db, def);

    for (uint64_t number = 0; number < survey_visits(t); number++) {
        observation list[OBSERVATIONS_MOST];
        visit v;

        survey_visit(t, number, length_m, &v);
        survey_observations(t, number, &v, list);
        for (int i = 0; i < v.observations; i++) {
            bind_observation(layer, &v, &list[i]);
            gpkg_add(layer, NULL, 0);
        }
    }
    gpkg_end(layer);
}

int main(int argc, char **argv)
{
    const gpkg_layer_def def[] = {{"inspections", GPKG_TABLE, FIELDS(inspection_fields), 0},
                                  {"observations", GPKG_TABLE, FIELDS(observation_fields), 0}};
    char path[4096];
    float *length_m;
    sqlite3 *db;
    town t;

    if (argc < 3 || argc > 4 || atoll(argv[1]) < 1)
        bench_die("usage: make_survey COUNT FOLDER [SEED]");
    if (snprintf(path, sizeof path, "%s/survey.gpkg", argv[2]) >= (int)sizeof path)
        bench_die("the folder name is too long");
    t = town_make((uint64_t)atoll(argv[1]), argc == 4 ? (uint64_t)atoll(argv[3]) : 1);
    length_m = lengths(&t);
    gpkg_create(path, def, 2);
    db = gpkg_open(path);
    write_inspections(&t, db, &def[0], length_m);
    write_observations(&t, db, &def[1], length_m);
    gpkg_close(db);
    free(length_m);
    return 0;
}
