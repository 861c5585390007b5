#include "condition/match.h"

#include "base/alloc.h"
#include "base/hash.h"
#include "base/line_grid.h"

#include <string.h>

/* Segment id text -> row. Texts merged away still lead to the reach. */
static hn_status rows_by_id(const hn_table *table, int32_t **out, hn_error *err)
{
    uint32_t texts = hn_text_pool_count(table->texts);
    int32_t *row = hn_alloc(texts, sizeof *row);

    *out = row;
    if (!row)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    memset(row, 0xff, texts * sizeof *row);
    for (size_t i = table->rows; i-- > 0;)
        row[hn_str(table, HN_COL_SEGMENT_ID, i)] = (int32_t)i;
    for (size_t i = 0; i < table->pieces.count; i++)
        if (row[table->pieces.list[i].id] < 0)
            row[table->pieces.list[i].id] = table->pieces.list[i].row;
    return HN_OK;
}

/* Open addressing from a pair of node texts to a row; -2 and below marks a pair that
 * several segments share, which must not decide anything: -2 - its first row. */
typedef struct pair_map {
    uint64_t *key;
    int32_t *row;
    size_t slots;
} pair_map;

static uint64_t pair_key(uint32_t up, uint32_t down)
{
    return (uint64_t)up << 32 | down;
}

static size_t pair_slot(const pair_map *map, uint64_t key)
{
    size_t slot = (size_t)hn_hash_mix(key) & (map->slots - 1);

    while (map->key[slot] && map->key[slot] != key)
        slot = (slot + 1) & (map->slots - 1);
    return slot;
}

static hn_status pair_map_build(const hn_table *table, pair_map *map, hn_error *err)
{
    map->slots = 16;
    while (map->slots < table->rows * 2)
        map->slots *= 2;
    map->key = hn_alloc(map->slots, sizeof *map->key);
    map->row = hn_alloc(map->slots, sizeof *map->row);
    if (!map->key || !map->row)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < table->rows; i++) {
        uint32_t up = hn_str(table, HN_COL_UP_NODE, i), down = hn_str(table, HN_COL_DOWN_NODE, i);
        size_t slot;

        if (!up || !down)
            continue;
        slot = pair_slot(map, pair_key(up, down));
        if (!map->key[slot])
            map->row[slot] = (int32_t)i;
        else if (map->row[slot] >= 0)
            map->row[slot] = -2 - map->row[slot];
        map->key[slot] = pair_key(up, down);
    }
    return HN_OK;
}

static int32_t pair_find(const pair_map *map, uint32_t up, uint32_t down)
{
    size_t slot;

    if (!up || !down || !map->slots)
        return -1;
    slot = pair_slot(map, pair_key(up, down));
    return map->key[slot] ? map->row[slot] : -1;
}

static hn_status grid_of_lines(const hn_table *table, const hn_plane *plane, double reach_m,
                               hn_line_grid **out, hn_error *err)
{
    const hn_lines *lines = &table->lines;
    hn_leg *legs = hn_alloc(lines->points, sizeof *legs);
    size_t count = 0;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(legs);
    for (size_t i = 0; i < table->rows; i++)
        for (size_t k = lines->start[i] + 1; k < lines->start[i + 1]; k++) {
            const double *a = lines->xy + 2 * k - 2, *b = lines->xy + 2 * k;

            legs[count++] = (hn_leg){a[0] * plane->x_m, a[1] * plane->y_m, b[0] * plane->x_m,
                                     b[1] * plane->y_m, (uint32_t)i};
        }
    HN_TRY(hn_line_grid_new(legs, count, reach_m, plane->min_x * plane->x_m,
                            plane->min_y * plane->y_m, plane->max_x * plane->x_m,
                            plane->max_y * plane->y_m, out, err));
out:
    hn_free(legs);
    return rc;
}

static int any_place(const hn_inspections *p, const int32_t *row)
{
    for (size_t i = 0; i < p->count; i++)
        if (row[i] < 0 && !isnan(p->x[i]))
            return 1;
    return 0;
}

static hn_status match_places(const hn_table *table, const hn_inspections *p, const hn_plan *plan,
                              const hn_plane *plane, int32_t *row, uint8_t *how,
                              hn_match_notes *notes, hn_error *err)
{
    hn_line_grid *grid = NULL;
    const double reach_m = fmax(plan->snap_m, 1.0);
    hn_status rc = HN_OK;

    notes->reach_m = reach_m;
    if (!any_place(p, row))
        return HN_OK;
    HN_TRY(grid_of_lines(table, plane, reach_m, &grid, err));
    notes->apart_m = hn_alloc(p->count, sizeof *notes->apart_m);
    HN_TRY_ALLOC(notes->apart_m);
    for (size_t i = 0; i < p->count; i++) {
        double x = p->x[i] * plane->x_m, y = p->y[i] * plane->y_m;
        hn_leg place = {x, y, x, y, 0};
        double apart_m;
        uint32_t item;

        if (row[i] >= 0 || isnan(p->x[i]))
            continue;
        apart_m = hn_line_grid_nearest(grid, &place, &item);
        if (isfinite(apart_m)) {
            notes->apart_m[i] = (float)apart_m;
            row[i] = (int32_t)item;
            how[i] = HN_MATCH_GEOMETRY;
        }
    }
out:
    hn_line_grid_free(grid);
    return rc;
}

/* ---- records that fit two ---- */

static hn_status note_two(hn_match_notes *notes, size_t record, int32_t one, int32_t other,
                          hn_error *err)
{
    void *grown = notes->list;

    if (!hn_grow(&grown, notes->count, &notes->room, sizeof *notes->list))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for matches");
    notes->list = grown;
    notes->list[notes->count++] = (hn_fits_two){(uint32_t)record, one, other};
    return HN_OK;
}

int32_t hn_match_twin(const hn_table *table, int32_t row)
{
    const uint32_t up = hn_str(table, HN_COL_UP_NODE, (size_t)row);
    const uint32_t down = hn_str(table, HN_COL_DOWN_NODE, (size_t)row);

    for (size_t i = (size_t)row + 1; i < table->rows; i++)
        if (hn_str(table, HN_COL_UP_NODE, i) == up && hn_str(table, HN_COL_DOWN_NODE, i) == down)
            return (int32_t)i;
    return row;
}

static int has_ends(const hn_table *table, int32_t row, uint32_t a, uint32_t b)
{
    const uint32_t up = hn_str(table, HN_COL_UP_NODE, (size_t)row);
    const uint32_t down = hn_str(table, HN_COL_DOWN_NODE, (size_t)row);

    return (up == a && down == b) || (up == b && down == a);
}

/* The id says one segment; do its nodes, where given, say another one? */
static hn_status compare_nodes(const hn_table *table, const pair_map *pairs,
                               const hn_inspections *p, size_t i, int32_t row,
                               hn_match_notes *notes, hn_error *err)
{
    const uint32_t up = p->up_node[i], down = p->down_node[i];
    int32_t other;

    if (!up || !down || has_ends(table, row, up, down))
        return HN_OK;
    other = pair_find(pairs, up, down);
    if (other == -1)
        other = pair_find(pairs, down, up);
    if (other == -1)
        return HN_OK;
    return note_two(notes, i, row, other < 0 ? -2 - other : other, err);
}

static hn_status match_one(const hn_table *table, const pair_map *pairs, const int32_t *by_id,
                           const hn_inspections *p, size_t i, int32_t *row, uint8_t *how,
                           hn_match_notes *notes, hn_error *err)
{
    const uint32_t up = p->up_node[i], down = p->down_node[i];
    int32_t found = p->segment[i] ? by_id[p->segment[i]] : -1;

    *row = found;
    *how = HN_MATCH_ID;
    if (found >= 0)
        return compare_nodes(table, pairs, p, i, found, notes, err);
    *how = HN_MATCH_NODES;
    found = pair_find(pairs, up, down);
    if (found == -1) {
        *how = HN_MATCH_NODES_REVERSED;
        found = pair_find(pairs, down, up);
    }
    *row = found >= 0 ? found : -1;
    if (found < 0)
        *how = HN_MATCH_NONE;
    /* the second one by name: found when it is listed (join.c) */
    return found < -1 ? note_two(notes, i, -2 - found, -1, err) : HN_OK;
}

void hn_match_notes_clear(hn_match_notes *notes)
{
    hn_free(notes->list);
    hn_free(notes->apart_m);
    memset(notes, 0, sizeof *notes);
}

hn_status hn_match_inspections(const hn_table *table, const hn_inspections *p, const hn_plan *plan,
                               const hn_plane *plane, int32_t *row, uint8_t *how,
                               hn_match_notes *notes, hn_error *err)
{
    hn_match_notes unasked = {0};
    int32_t *by_id = NULL;
    pair_map pairs = {0};
    hn_status rc = HN_OK;

    notes = notes ? notes : &unasked;
    HN_TRY(rows_by_id(table, &by_id, err));
    HN_TRY(pair_map_build(table, &pairs, err));
    for (size_t i = 0; i < p->count; i++)
        HN_TRY(match_one(table, &pairs, by_id, p, i, &row[i], &how[i], notes, err));
    HN_TRY(match_places(table, p, plan, plane, row, how, notes, err));
out:
    hn_match_notes_clear(&unasked);
    hn_free(by_id);
    hn_free(pairs.key);
    hn_free(pairs.row);
    return rc;
}
