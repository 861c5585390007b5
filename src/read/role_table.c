#include "read/role_table.h"

#include "base/alloc.h"
#include "read/gpkg_batches.h"
#include "read/line_store.h"
#include "read/ogr_batches.h"
#include "read/to_crs.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct role_job {
    hn_role_table *table;
    const hn_role_map *map;
    hn_role_geometry geometry;
    hn_text_pool *texts;
    hn_issue_list *issues;
    const char *key;
    int id_role;
    size_t not_utf8[HN_ROLES_MAX];
    hn_rows_fn each; /* NULL: rows stay */
    void *each_context;
} role_job;

/* Of the texts of a stream: then a new pool begins. */
static const size_t STREAM_TEXT_BYTES = (size_t)32 << 20;

void hn_role_table_clear(hn_role_table *table)
{
    for (size_t i = 0; table->columns && i < table->column_count; i++) {
        hn_free(table->columns[i].number);
        hn_free(table->columns[i].text);
        hn_free(table->columns[i].date);
    }
    hn_free(table->columns);
    hn_free(table->fid);
    hn_free(table->first_xy);
    hn_free(table->last_xy);
    hn_free(table->lines.start);
    hn_free(table->lines.xy);
    hn_free(table->lines.z);
    hn_free(table->lines.break_before);
    memset(table, 0, sizeof *table);
}

const hn_role_column *hn_role_table_column(const hn_role_table *table, const char *key)
{
    for (size_t i = 0; i < table->column_count; i++)
        if (strcmp(table->columns[i].spec->key, key) == 0)
            return &table->columns[i];
    return NULL;
}

/* ---- memory ---- */

static hn_status make_columns(hn_role_table *table, const hn_role_map *map,
                              const hn_role_spec *specs, size_t count, hn_error *err)
{
    hn_status rc = HN_OK;

    table->columns = hn_alloc(count, sizeof *table->columns);
    HN_TRY_ALLOC(table->columns);
    table->column_count = count;
    for (size_t i = 0; i < count; i++) {
        table->columns[i].spec = &specs[i];
        table->columns[i].is_mapped = hn_role_map_has(map, specs[i].key);
    }
out:
    return rc;
}

/* Needs a local `void *grown`; 0 when out of memory, the array then whole. */
#define GROW(array, count) \
    ((grown = hn_realloc((array), (count), sizeof *(array))) ? ((array) = grown, 1) : 0)

static int grow_column(hn_role_column *column, size_t capacity)
{
    void *grown;

    if (!column->is_mapped)
        return 1;
    if (column->spec->kind == HN_VALUE_TEXT)
        return GROW(column->text, capacity);
    if (column->spec->kind == HN_VALUE_DATE)
        return GROW(column->date, capacity);
    return GROW(column->number, capacity);
}

static int grow_geometry(hn_role_table *table, hn_role_geometry geometry, size_t capacity)
{
    void *grown;

    if (geometry == HN_ROLE_NO_GEOMETRY)
        return 1;
    if (!GROW(table->first_xy, 2 * capacity) || !GROW(table->last_xy, 2 * capacity))
        return 0;
    if (geometry != HN_ROLE_LINES)
        return 1;
    if (!GROW(table->lines.start, capacity + 1))
        return 0;
    if (table->rows == 0)
        table->lines.start[0] = 0;
    return 1;
}

static hn_status reserve(role_job *job, size_t rows, hn_error *err)
{
    hn_role_table *table = job->table;
    size_t capacity = table->capacity ? table->capacity : 1024;
    void *grown;
    int done;

    if (rows <= table->capacity)
        return HN_OK;
    while (capacity < rows)
        capacity += capacity / 2;
    done = GROW(table->fid, capacity) && grow_geometry(table, job->geometry, capacity);
    for (size_t i = 0; done && i < table->column_count; i++)
        done = grow_column(&table->columns[i], capacity);
    if (!done)
        return hn_fail(err, HN_ERR_MEMORY, "%s: out of memory for %zu rows", job->key, capacity);
    table->capacity = capacity;
    return HN_OK;
}

/* ---- rows ---- */

enum { WARM_ROWS = 16 };

static void put_number(hn_role_column *column, size_t row, double number)
{
    if (column->spec->kind == HN_VALUE_DATE)
        column->date[row] = isnan(number) ? HN_I32_MISSING : (int32_t)number;
    else
        column->number[row] = number;
}

static hn_status put_text(role_job *job, hn_role_column *column, const char *text, size_t length,
                          hn_error *err)
{
    uint32_t id = length ? hn_text_pool_add(job->texts, text, length) : 0;

    if (id == UINT32_MAX)
        return hn_fail(err, HN_ERR_MEMORY, "%s: out of memory for texts", job->key);
    column->text[job->table->rows] = id;
    return HN_OK;
}

static hn_status put_cells(role_job *job, const hn_row_batch *batch, size_t index, hn_error *err)
{
    hn_status rc = HN_OK;

    for (size_t i = 0; i < job->map->count; i++) {
        const hn_role *role = &job->map->roles[i];
        hn_role_column *column = &job->table->columns[role->number];
        hn_batch_text text = batch->texts[index * batch->roles + i];

        if (role->spec->kind != HN_VALUE_TEXT)
            put_number(column, job->table->rows, batch->numbers[index * batch->roles + i]);
        else
            HN_TRY(put_text(job, column, hn_row_batch_bytes(batch, text), text.length, err));
    }
out:
    return rc;
}

/* Texts of the next rows, fetched together. */
static void warm_texts(const role_job *job, const hn_row_batch *batch, size_t begin)
{
    hn_text_ref texts[HN_TEXT_WARM_MOST];
    size_t count = 0;

    for (size_t r = begin; r < begin + WARM_ROWS && r < batch->row_count; r++)
        for (size_t i = 0; i < job->map->count && count < HN_TEXT_WARM_MOST; i++) {
            hn_batch_text text = batch->texts[r * batch->roles + i];

            if (job->map->roles[i].spec->kind == HN_VALUE_TEXT && text.length)
                texts[count++] = (hn_text_ref){hn_row_batch_bytes(batch, text), text.length};
        }
    hn_text_pool_warm(job->texts, texts, count);
}

static hn_status put_geometry(role_job *job, const hn_row_batch *batch, size_t index, hn_error *err)
{
    hn_role_table *table = job->table;
    size_t begin = index ? batch->rows[index - 1].point_end : 0;
    size_t end = batch->rows[index].point_end;

    if (job->geometry == HN_ROLE_NO_GEOMETRY)
        return HN_OK;
    for (int k = 0; k < 2; k++) {
        table->first_xy[2 * table->rows + k] = end > begin ? batch->xyz[3 * begin + k] : NAN;
        table->last_xy[2 * table->rows + k] = end > begin ? batch->xyz[3 * (end - 1) + k] : NAN;
    }
    if (job->geometry != HN_ROLE_LINES)
        return HN_OK;
    return hn_lines_append(&table->lines, table->rows, batch, begin, end, err);
}

static void list_faults(role_job *job, const hn_row_batch *batch)
{
    char effect[128];

    for (size_t i = 0; i < batch->fault_count; i++) {
        const hn_batch_fault *f = &batch->faults[i];
        hn_fault fault = (hn_fault)f->fault;
        size_t cell = (size_t)f->row * batch->roles;
        const char *segment = NULL;

        if (fault == HN_FAULT_ENCODING) {
            job->not_utf8[f->role]++;
            continue;
        }
        if (job->id_role >= 0)
            segment = hn_row_batch_bytes(batch, batch->texts[cell + (size_t)job->id_role]);
        snprintf(effect, sizeof effect, "%s; %.60s, row %" PRId64, hn_fault_effect(fault), job->key,
                 batch->rows[f->row].fid);
        hn_issue_add(job->issues, HN_SEVERITY_WARNING, hn_fault_rule(fault), segment,
                     job->map->roles[f->role].spec->key, hn_row_batch_bytes(batch, f->value),
                     hn_fault_message(fault), effect, NAN, NAN);
    }
}

static hn_status fill_constant(role_job *job, const hn_role *role, hn_error *err);

/* The rows there are go to the caller, and their room is used again. */
static hn_status pass_on(role_job *job, hn_error *err)
{
    hn_status rc = HN_OK;

    for (size_t i = 0; i < job->map->constant_count; i++)
        HN_TRY(fill_constant(job, &job->map->constants[i], err));
    HN_TRY(job->each(job->each_context, job->table, job->texts, err));
    job->table->rows = 0;
    if (hn_text_pool_bytes(job->texts) < STREAM_TEXT_BYTES)
        return HN_OK;
    hn_text_pool_free(job->texts);
    job->texts = hn_text_pool_new();
    HN_TRY_ALLOC(job->texts);
    job->table->pool_number++;
out:
    return rc;
}

static hn_status take(void *context, const hn_row_batch *batch, hn_error *err)
{
    role_job *job = context;
    hn_status rc = HN_OK;

    if (batch->out_of_memory)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory while reading %s", job->key);
    HN_TRY(reserve(job, job->table->rows + batch->row_count, err));
    list_faults(job, batch);
    for (size_t i = 0; i < batch->row_count; i++) {
        if (i % WARM_ROWS == 0)
            warm_texts(job, batch, i);
        HN_TRY(put_cells(job, batch, i, err));
        HN_TRY(put_geometry(job, batch, i, err));
        job->table->fid[job->table->rows++] = batch->rows[i].fid;
    }
    if (job->each)
        HN_TRY(pass_on(job, err));
out:
    return rc;
}

/* ---- the end ---- */

static hn_status fill_constant(role_job *job, const hn_role *role, hn_error *err)
{
    hn_role_column *column = &job->table->columns[role->number];
    size_t rows = job->table->rows;
    char text[HN_CONSTANT_MAX];
    hn_status rc = HN_OK;
    hn_value value;

    HN_TRY(hn_role_constant(role, &value, text, sizeof text, err));
    for (job->table->rows = 0; job->table->rows < rows; job->table->rows++)
        if (role->spec->kind != HN_VALUE_TEXT)
            put_number(column, job->table->rows, value.number);
        else
            HN_TRY(put_text(job, column, text, strlen(text), err));
out:
    job->table->rows = rows;
    return rc;
}

static void note_encoding(const role_job *job)
{
    char value[48];

    for (size_t i = 0; i < job->map->count; i++) {
        if (job->not_utf8[i] == 0)
            continue;
        snprintf(value, sizeof value, "%zu rows", job->not_utf8[i]);
        hn_issue_add(job->issues, HN_SEVERITY_NOTE, hn_fault_rule(HN_FAULT_ENCODING), NULL,
                     job->map->roles[i].spec->key, value, hn_fault_message(HN_FAULT_ENCODING),
                     hn_fault_effect(HN_FAULT_ENCODING), NAN, NAN);
    }
}

static hn_status finish(role_job *job, const hn_opened *opened, const char *target_wkt,
                        hn_error *err)
{
    hn_role_table *table = job->table;
    hn_to_crs to = {NULL};
    hn_status rc = HN_OK;

    for (size_t i = 0; i < job->map->constant_count; i++)
        HN_TRY(fill_constant(job, &job->map->constants[i], err));
    note_encoding(job);
    if (job->geometry == HN_ROLE_NO_GEOMETRY)
        return HN_OK;
    HN_TRY(hn_to_crs_init(&to, opened->crs, target_wkt, job->key, err));
    hn_to_crs_points(&to, table->first_xy, table->rows);
    hn_to_crs_points(&to, table->last_xy, table->rows);
    hn_to_crs_points(&to, table->lines.xy, table->lines.points);
out:
    hn_to_crs_clear(&to);
    return rc;
}

static hn_status read_rows(role_job *job, const hn_source *source, const hn_opened *opened,
                           int threads, hn_error *err)
{
    const hn_line_rules rules = {.allow_points = 1};
    const hn_line_rules *wanted = job->geometry == HN_ROLE_NO_GEOMETRY ? NULL : &rules;
    hn_status rc = HN_OK;
    int done = 0;

    HN_TRY(hn_gpkg_batches(source, opened, job->map, wanted, threads, take, job, &done, err));
    if (!done)
        HN_TRY(hn_ogr_batches(opened, job->map, wanted, take, job, err));
out:
    return rc;
}

static hn_status read_source(role_job *job, const hn_source *source, const hn_role_spec *specs,
                             size_t spec_count, const char *target_wkt, int threads, hn_error *err)
{
    hn_role_table *out = job->table;
    hn_status rc = HN_OK;
    hn_gdal_log log;
    hn_opened opened = {0};
    hn_role_map map;

    memset(out, 0, sizeof *out);
    job->map = &map;
    hn_gdal_log_begin(&log);
    HN_TRY(hn_open_source(source, &log, &opened, err));
    snprintf(out->driver, sizeof out->driver, "%s", opened.driver);
    snprintf(out->layer, sizeof out->layer, "%s", opened.layer_name);
    HN_TRY(hn_role_map_init(&map, source, &opened, specs, spec_count, err));
    if (OGR_L_GetGeomType(opened.layer) == wkbNone)
        job->geometry = HN_ROLE_NO_GEOMETRY;
    if (job->geometry != HN_ROLE_NO_GEOMETRY)
        HN_TRY(hn_opened_need_crs(&opened, err));
    job->id_role = hn_role_map_find(&map, "segment_id");
    HN_TRY(make_columns(out, &map, specs, spec_count, err));
    HN_TRY(reserve(job, 1, err));
    HN_TRY(read_rows(job, source, &opened, threads, err));
    HN_TRY(finish(job, &opened, target_wkt, err));
out:
    hn_opened_close(&opened);
    hn_gdal_log_end();
    return rc;
}

hn_status hn_role_table_read(const hn_source *source, const hn_role_spec *specs, size_t spec_count,
                             hn_role_geometry geometry, const char *target_wkt, int threads,
                             hn_text_pool *texts, hn_issue_list *issues, hn_role_table *out,
                             hn_error *err)
{
    role_job job = {.table = out,
                    .geometry = geometry,
                    .texts = texts,
                    .issues = issues,
                    .key = source->key};

    return read_source(&job, source, specs, spec_count, target_wkt, threads, err);
}

hn_status hn_role_table_stream(const hn_source *source, const hn_role_spec *specs,
                               size_t spec_count, int threads, hn_rows_fn each, void *context,
                               hn_issue_list *issues, hn_role_table *out, hn_error *err)
{
    role_job job = {.table = out,
                    .geometry = HN_ROLE_NO_GEOMETRY,
                    .texts = hn_text_pool_new(),
                    .issues = issues,
                    .key = source->key,
                    .each = each,
                    .each_context = context};
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out);
    HN_TRY_ALLOC(job.texts);
    HN_TRY(read_source(&job, source, specs, spec_count, NULL, threads, err));
out:
    hn_text_pool_free(job.texts);
    return rc;
}
