#include "read/network_rows.h"

#include "read/line_store.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static const struct {
    const char *rule, *message;
} line_faults[] = {
    [HN_LINE_GOOD] = {"", ""},
    [HN_LINE_PARTS] = {"geometry_in_parts", "the parts of the line do not touch"},
    [HN_LINE_NULL] = {"geometry_missing", "the row has no geometry"},
    [HN_LINE_EMPTY] = {"geometry_missing", "the geometry is empty"},
    [HN_LINE_NOT_A_LINE] = {"geometry_not_a_line", "the geometry is not a line"},
    [HN_LINE_NOT_FINITE] = {"geometry_not_finite", "a coordinate is not a finite number"},
    [HN_LINE_NO_LENGTH] = {"geometry_no_length", "the line has no two different points"},
    [HN_LINE_UNREADABLE] = {"geometry_unreadable", "the geometry is damaged"},
    [HN_LINE_OFF_EARTH] = {"coordinates_off_earth",
                           "a longitude or latitude lies outside 360 and 90 degrees"},
};

/* One row of a batch on its way into the table. */
typedef struct row_view {
    const hn_row_batch *batch;
    const hn_batch_row *row;
    size_t index; /* in the batch */
    const char *id;
    double x, y;
    char room[32];
} row_view;

/* ---- columns ---- */

static hn_status want_roles(hn_network_rows *rows, hn_error *err)
{
    const hn_role_map *map = rows->map;
    hn_status rc = HN_OK;

    HN_TRY(hn_table_want(rows->table, HN_COL_SEGMENT_ID, err));
    for (size_t i = 0; i < map->count; i++)
        HN_TRY(hn_table_want(rows->table, map->roles[i].spec->column, err));
out:
    return rc;
}

hn_status hn_network_rows_begin(hn_network_rows *rows, hn_error *err)
{
    const hn_role_map *map = rows->map;
    hn_status rc = HN_OK;
    hn_value value;
    char text[HN_CONSTANT_MAX];

    rows->constant_length_m = NAN;
    rows->id_role = hn_role_map_find(map, "segment_id");
    rows->length_role = hn_role_map_find(map, "length");
    HN_TRY(want_roles(rows, err));
    for (size_t i = 0; i < map->constant_count; i++) {
        HN_TRY(hn_role_constant(&map->constants[i], &value, text, sizeof text, err));
        if (map->constants[i].spec->column == HN_COL_LENGTH_RECORDED_M)
            rows->constant_length_m = value.number;
    }
    if (rows->id_role < 0)
        hn_issue_add(rows->issues, HN_SEVERITY_NOTE, "segment_id_not_mapped", NULL, "segment_id",
                     NULL, "the plan names no field for segment_id",
                     "the feature number of the source is the id", NAN, NAN);
out:
    return rc;
}

/* ---- one row ---- */

static void view_row(const hn_network_rows *rows, const hn_row_batch *batch, size_t index,
                     row_view *out)
{
    size_t begin = index ? batch->rows[index - 1].point_end : 0;
    int role = rows->id_role;
    hn_batch_text text = {0, 0};

    out->batch = batch;
    out->row = &batch->rows[index];
    out->index = index;
    out->x = out->row->point_end > begin ? batch->xyz[3 * begin] : NAN;
    out->y = out->row->point_end > begin ? batch->xyz[3 * begin + 1] : NAN;
    if (role >= 0)
        text = batch->texts[index * batch->roles + (size_t)role];
    out->id = hn_row_batch_bytes(batch, text);
    if (text.length)
        return;
    snprintf(out->room, sizeof out->room, role >= 0 ? "fid:%" PRId64 : "%" PRId64, out->row->fid);
    out->id = out->room;
}

static void add_issue(const hn_network_rows *rows, const row_view *view, hn_severity severity,
                      const char *rule, const char *field, const char *value, const char *message,
                      const char *effect)
{
    hn_issue_add(rows->issues, severity, rule, view->id, field, value, message, effect, view->x,
                 view->y);
}

static double length_of(const hn_network_rows *rows, const row_view *view)
{
    int role = rows->length_role;

    return role < 0 ? rows->constant_length_m
                    : view->batch->numbers[view->index * view->batch->roles + (size_t)role];
}

/* 1 when the row stays. */
static int judge_line(const hn_network_rows *rows, const row_view *view)
{
    hn_line_state state = (hn_line_state)view->row->line_state;
    const char *rule = line_faults[state].rule, *message = line_faults[state].message;

    if (state == HN_LINE_GOOD)
        return 1;
    if (state == HN_LINE_PARTS) {
        add_issue(rows, view, HN_SEVERITY_WARNING, rule, "geometry", NULL, message,
                  "kept in parts; the jumps do not count as length");
        return 1;
    }
    if (length_of(rows, view) > 0) {
        add_issue(rows, view, HN_SEVERITY_WARNING, rule, "geometry", NULL, message,
                  "kept with its recorded length, not drawn");
        return 1;
    }
    add_issue(rows, view, HN_SEVERITY_ERROR, rule, "geometry", NULL, message,
              "row left out: no usable line and no recorded length");
    return 0;
}

static void judge_id(const hn_network_rows *rows, const row_view *view)
{
    if (rows->id_role >= 0 && view->id == view->room)
        add_issue(rows, view, HN_SEVERITY_WARNING, "segment_id_missing", "segment_id", NULL,
                  "the row has no segment id", "fid: and the feature number stand for it");
}

/* Faults of a batch are in row order; *next runs along with the rows. */
static void list_faults(hn_network_rows *rows, const row_view *view, size_t *next)
{
    const hn_row_batch *batch = view->batch;

    for (; *next < batch->fault_count && batch->faults[*next].row == view->index; (*next)++) {
        const hn_batch_fault *f = &batch->faults[*next];
        hn_fault fault = (hn_fault)f->fault;

        if (fault == HN_FAULT_ENCODING) {
            rows->not_utf8[f->role]++;
            continue;
        }
        add_issue(rows, view, HN_SEVERITY_WARNING, hn_fault_rule(fault),
                  rows->map->roles[f->role].map->role, hn_row_batch_bytes(batch, f->value),
                  hn_fault_message(fault), hn_fault_effect(fault));
    }
}

static hn_status store_text(hn_table *table, hn_column_id column, const char *text, size_t length,
                            hn_error *err)
{
    uint32_t id = hn_text_pool_add(table->texts, text, length);

    if (id == UINT32_MAX)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for the texts of column \"%s\"",
                       hn_column_definition(column)->name);
    ((uint32_t *)table->column[column])[table->rows] = id;
    return HN_OK;
}

void hn_network_store(hn_table *table, hn_column_id column, size_t row, double number)
{
    if (!isnan(number)) /* the column is missing from the start */
        hn_table_set_number(table, column, row, number);
}

enum { WARM_ROWS = 8 };

/* Texts of the next rows, fetched together. */
static void warm_texts(const hn_network_rows *rows, const hn_row_batch *batch, size_t begin)
{
    hn_text_ref texts[HN_TEXT_WARM_MOST];
    size_t count = 0;

    for (size_t r = begin; r < begin + WARM_ROWS && r < batch->row_count; r++)
        for (size_t i = 0; i < rows->map->count && count < HN_TEXT_WARM_MOST; i++) {
            hn_batch_text text = batch->texts[r * batch->roles + i];

            if (rows->map->roles[i].spec->kind == HN_VALUE_TEXT && text.length)
                texts[count++] = (hn_text_ref){hn_row_batch_bytes(batch, text), text.length};
        }
    hn_text_pool_warm(rows->table->texts, texts, count);
}

static hn_status store_cells(hn_network_rows *rows, const row_view *view, hn_error *err)
{
    const hn_role_map *map = rows->map;
    size_t cell = view->index * view->batch->roles;
    hn_status rc = HN_OK;

    HN_TRY(store_text(rows->table, HN_COL_SEGMENT_ID, view->id, strlen(view->id), err));
    for (size_t i = 0; i < map->count; i++, cell++) {
        const hn_role *role = &map->roles[i];
        hn_batch_text text = view->batch->texts[cell];

        if (role->spec->kind != HN_VALUE_TEXT)
            hn_network_store(rows->table, role->spec->column, rows->table->rows,
                             view->batch->numbers[cell]);
        else if (text.length && role->spec->column != HN_COL_SEGMENT_ID)
            HN_TRY(store_text(rows->table, role->spec->column,
                              hn_row_batch_bytes(view->batch, text), text.length, err));
    }
out:
    return rc;
}

static hn_status store_line(hn_network_rows *rows, const row_view *view, hn_error *err)
{
    const hn_row_batch *batch = view->batch;
    size_t begin = view->index ? batch->rows[view->index - 1].point_end : 0;

    return hn_lines_append(&rows->table->lines, rows->table->rows, batch, begin,
                           view->row->point_end, err);
}

/* ---- batches ---- */

static hn_status take_row(hn_network_rows *rows, const row_view *view, size_t *next_fault,
                          hn_error *err)
{
    hn_status rc = HN_OK;

    rows->stats->rows_read++;
    rows->had_m += (view->row->line_flags & HN_LINE_HAD_M) != 0;
    rows->were_curves += (view->row->line_flags & HN_LINE_WAS_CURVE) != 0;
    judge_id(rows, view);
    list_faults(rows, view, next_fault);
    if (!judge_line(rows, view)) {
        rows->stats->rows_rejected++;
        return HN_OK;
    }
    HN_TRY(store_cells(rows, view, err));
    HN_TRY(store_line(rows, view, err));
    rows->table->rows++;
    rows->stats->rows_kept++;
out:
    return rc;
}

static void tell_progress(const hn_network_rows *rows)
{
    const hn_read_stats *stats = rows->stats;

    if (rows->progress && stats->rows_in_layer != SIZE_MAX && stats->rows_in_layer > 0)
        rows->progress(rows->progress_context,
                       fmin((double)stats->rows_read / (double)stats->rows_in_layer, 1.0) * 0.95);
}

hn_status hn_network_rows_take(hn_network_rows *rows, const hn_row_batch *batch, hn_error *err)
{
    size_t next_fault = 0;
    hn_status rc = HN_OK;
    row_view view;

    if (batch->out_of_memory)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory while reading %s", rows->key);
    if (rows->table->rows + batch->row_count >= UINT32_MAX)
        return hn_fail(err, HN_ERR_INPUT, "%s: more than 4 thousand million rows", rows->key);
    HN_TRY(hn_table_reserve(rows->table, rows->table->rows + batch->row_count, err));
    for (size_t i = 0; i < batch->row_count; i++) {
        if (i % WARM_ROWS == 0)
            warm_texts(rows, batch, i);
        view_row(rows, batch, i, &view);
        HN_TRY(take_row(rows, &view, &next_fault, err));
    }
    tell_progress(rows);
out:
    return rc;
}
