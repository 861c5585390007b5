#include "read/ogr_batches.h"

#include "base/arena.h"

static int is_mapped(const hn_role_map *map, int field)
{
    for (size_t i = 0; i < map->count; i++)
        if (map->roles[i].field == field)
            return 1;
    return 0;
}

/* Fields that nobody asked for need not be fetched. With a filter the driver
 * may need them itself, so then all are. */
static void ignore_the_rest(const hn_opened *opened, const hn_role_map *map, int geometry_too)
{
    OGRFeatureDefnH fields = OGR_L_GetLayerDefn(opened->layer);
    int count = OGR_FD_GetFieldCount(fields);
    hn_arena arena = {0};
    const char **names = hn_arena_alloc(&arena, (size_t)count + 3, sizeof *names);
    size_t ignored = 0;

    for (int i = 0; names && i < count; i++)
        if (!is_mapped(map, i))
            names[ignored++] = OGR_Fld_GetNameRef(OGR_FD_GetFieldDefn(fields, i));
    if (names && OGR_L_TestCapability(opened->layer, OLCIgnoreFields)) {
        names[ignored++] = "OGR_STYLE";
        if (geometry_too)
            names[ignored] = "OGR_GEOMETRY";
        OGR_L_SetIgnoredFields(opened->layer, names);
    }
    hn_arena_clear(&arena);
}

static void add_feature(const hn_role_map *map, hn_reader_set *readers, hn_row_batch *batch,
                        OGRFeatureH feature, const hn_line_rules *rules, int complained)
{
    hn_raw raw;

    if (!hn_row_batch_add(batch, OGR_F_GetFID(feature)))
        return;
    for (size_t i = 0; i < map->count; i++) {
        const hn_role *role = &map->roles[i];

        hn_raw_from_feature(feature, role->field, role->type, &raw);
        hn_row_batch_cell(batch, i, readers->readers[i], role, &raw);
    }
    if (!rules)
        return;
    hn_line_from_ogr(batch, OGR_F_GetGeometryRef(feature), rules);
    if (complained && batch->rows[batch->row_count - 1].line_state == HN_LINE_NULL)
        batch->rows[batch->row_count - 1].line_state = HN_LINE_UNREADABLE;
}

/* Fills one batch; *more is 0 at the end of the layer. A complaint that comes
 * with a feature is about that feature; one without is the end of reading. */
static hn_status fill_batch(const hn_opened *opened, const hn_role_map *map, hn_reader_set *readers,
                            const hn_line_rules *rules, hn_row_batch *batch, int *more,
                            hn_error *err)
{
    OGRFeatureH feature;

    hn_row_batch_reset(batch);
    for (size_t i = 0; i < HN_BATCH_ROWS && !batch->out_of_memory; i++) {
        hn_gdal_log_forget(opened->log);
        feature = OGR_L_GetNextFeature(opened->layer);
        if (!feature) {
            *more = 0;
            return hn_opened_check(opened, err);
        }
        add_feature(map, readers, batch, feature, rules, opened->log->failures > 0);
        OGR_F_Destroy(feature);
    }
    return HN_OK;
}

hn_status hn_ogr_batches(const hn_opened *opened, const hn_role_map *map,
                         const hn_line_rules *rules, hn_batch_take_fn take, void *context,
                         hn_error *err)
{
    hn_reader_set readers = {.count = 0};
    hn_row_batch batch;
    hn_status rc = HN_OK;
    int more = 1;

    hn_row_batch_init(&batch, map->count);
    HN_TRY(hn_reader_set_init(&readers, map, err));
    if (!opened->has_where)
        ignore_the_rest(opened, map, !rules);
    OGR_L_ResetReading(opened->layer);
    while (more) {
        HN_TRY(fill_batch(opened, map, &readers, rules, &batch, &more, err));
        HN_TRY(take(context, &batch, err));
    }
out:
    hn_row_batch_clear(&batch);
    hn_reader_set_clear(&readers);
    return rc;
}
