/* tests/bench/town.h - an invented town of any size, one sewer at a time.
 *
 * Every figure is a pure function of the seed and of the number of the thing
 * it belongs to (a counter, no running state), so the same seed gives the same
 * town whatever its parts are asked for. The town is a map of small patches;
 * each patch is a tree of sewers on a grid of manholes and drains either to an
 * outlet or into the patch to its right, so trunk sewers grow along a row.
 * All figures here are made up (local rule): they only have to look like a
 * network, with its gaps and its mistakes.
 */
#ifndef HN_BENCH_TOWN_H
#define HN_BENCH_TOWN_H

#include <stdint.h>

enum {
    PATCH_WIDTH = 24, /* manholes across a patch */
    PATCH_HEIGHT_MIN = 10,
    PATCH_HEIGHT_MAX = 28,
    PATCH_SEWERS_MAX = PATCH_WIDTH * PATCH_HEIGHT_MAX,
    LINE_POINTS_MAX = 16
};

typedef struct town {
    uint64_t seed;
    uint64_t sewers;      /* wanted */
    uint64_t patches;     /* needed for them */
    uint64_t map_columns; /* patches across the map */
} town;

typedef struct line {
    int points;
    double xy[2 * LINE_POINTS_MAX]; /* m, easting and northing */
} line;

typedef struct patch {
    uint64_t number, first; /* of the town; number of its first sewer */
    int count;              /* sewers */
    int ends;               /* drains to an outlet, not into the next patch */
} patch;

/* A sewer as an owner records it. Text is borrowed from the struct itself or
 * static; NULL and NaN and negative counts are gaps in the records. */
typedef struct sewer {
    char asset_id[16], up_node[16], down_node[16], street[48], district[16];
    const char *owner, *status, *duty, *surface, *soil, *material, *shape, *remark;
    int width_mm, height_mm, year_built, year_lined, laterals, access_mm; /* -1: gap */
    double length_m, invert_up_m, invert_down_m, ground_up_m, ground_down_m;
    double groundwater_m, flow_m3_per_s, bend_deg;
    double drawn_m; /* length of the line; not a field of the layer */
    line line;
} sewer;

typedef struct inspection {
    char inspection_id[16], segment_id[16], up_node[16], inspected_on[16];
    const char *complete, *infiltration, *roots;
    int structural, service, tightness, spot_defects, collapsed; /* -1: gap */
    double length_seen_m, ovality_pct, joint_offset_pct, sag_pct, deposits_pct;
} inspection;

town town_make(uint64_t sewers, uint64_t seed);

/* The patch after `p`; start with a zeroed patch and count 0. Returns 0 after
 * the last one. */
int town_next_patch(const town *t, patch *p);

/* All sewers of a patch, in grid order. *upstream_m carries the length that
 * drains into the patch from the left and out of it to the right; 0 before the
 * first patch. */
void town_sewers(const town *t, const patch *p, double *upstream_m, sewer *out);

uint64_t town_inspections(const town *t); /* number of rows */
void town_inspection(const town *t, uint64_t number, inspection *out);

/* Context lines and points lie in the patches; `number` counts them over the
 * whole town, so that every one is another. */
void town_road(const town *t, const patch *p, uint64_t number, line *out);
void town_water(const town *t, const patch *p, uint64_t number, line *out);
void town_point(const town *t, const patch *p, uint64_t number, line *out);

#endif
