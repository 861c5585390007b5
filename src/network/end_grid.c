#include "network/end_grid.h"

#include "base/alloc.h"
#include "base/hash.h"

typedef struct entry {
    double x_m, y_m;
    int32_t node;
    int32_t next; /* next entry of the same slot, -1 ends */
} entry;

struct hn_end_grid {
    const hn_plane *plane;
    double reach_m;
    entry *entries;
    size_t count, capacity;
    int32_t *slots;
    size_t slot_count;
};

hn_status hn_end_grid_new(const hn_plane *plane, double reach_m, size_t expected,
                          hn_end_grid **out, hn_error *err)
{
    hn_end_grid *grid = hn_alloc(1, sizeof *grid);
    size_t slots = 64;

    *out = NULL;
    while (slots < expected)
        slots *= 2;
    if (grid)
        grid->slots = hn_alloc(slots, sizeof *grid->slots);
    if (!grid || !grid->slots) {
        hn_end_grid_free(grid);
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    }
    for (size_t i = 0; i < slots; i++)
        grid->slots[i] = -1;
    grid->slot_count = slots;
    grid->plane = plane;
    grid->reach_m = reach_m > 1e-6 ? reach_m : 1e-6;
    *out = grid;
    return HN_OK;
}

void hn_end_grid_free(hn_end_grid *grid)
{
    if (!grid)
        return;
    hn_free(grid->entries);
    hn_free(grid->slots);
    hn_free(grid);
}

static size_t slot_of(const hn_end_grid *grid, int64_t cx, int64_t cy)
{
    uint64_t h = hn_hash_mix((uint64_t)cx * 0x9e3779b97f4a7c15ULL ^ (uint64_t)cy);

    return (size_t)h & (grid->slot_count - 1);
}

static int64_t cell_of(const hn_end_grid *grid, double value_m)
{
    return (int64_t)floor(value_m / grid->reach_m);
}

int hn_end_grid_add(hn_end_grid *grid, int32_t node, double x, double y)
{
    void *entries = grid->entries;
    entry *fresh;
    size_t slot;

    if (!hn_grow(&entries, grid->count, &grid->capacity, sizeof *grid->entries))
        return 0;
    grid->entries = entries;
    fresh = &grid->entries[grid->count];
    fresh->x_m = (x - grid->plane->min_x) * grid->plane->x_m;
    fresh->y_m = (y - grid->plane->min_y) * grid->plane->y_m;
    fresh->node = node;
    slot = slot_of(grid, cell_of(grid, fresh->x_m), cell_of(grid, fresh->y_m));
    fresh->next = grid->slots[slot];
    grid->slots[slot] = (int32_t)grid->count++;
    return 1;
}

static int is_left_out(int32_t node, const int32_t *left_out)
{
    return left_out && (node == left_out[0] || node == left_out[1] || node == left_out[2]);
}

int32_t hn_end_grid_nearest(const hn_end_grid *grid, double x, double y,
                            const int32_t left_out[HN_LEFT_OUT])
{
    double x_m = (x - grid->plane->min_x) * grid->plane->x_m;
    double y_m = (y - grid->plane->min_y) * grid->plane->y_m;
    int64_t cx = cell_of(grid, x_m), cy = cell_of(grid, y_m);
    double best = grid->reach_m * grid->reach_m;
    int32_t found = -1;

    for (int64_t i = cx - 1; i <= cx + 1; i++) {
        for (int64_t j = cy - 1; j <= cy + 1; j++) {
            for (int32_t e = grid->slots[slot_of(grid, i, j)]; e >= 0; e = grid->entries[e].next) {
                double dx = grid->entries[e].x_m - x_m, dy = grid->entries[e].y_m - y_m;
                double d = dx * dx + dy * dy;
                int32_t node = grid->entries[e].node;

                if (is_left_out(node, left_out))
                    continue;
                if (d < best || (d <= best && (found < 0 || node < found))) {
                    best = d;
                    found = node;
                }
            }
        }
    }
    return found;
}
