#include "table/segment_table.h"

#include "base/alloc.h"
#include "table/codes.h"

#include <string.h>

enum { FIRST_CAPACITY = 1024 };

#define HN_COLUMN_ROW(ID, name, kind, unit, decimals, owner, title, meaning) \
    {name, unit, owner, title, meaning, HN_KIND_##kind, decimals},
static const hn_column_def definitions[] = {HN_COLUMN_LIST(HN_COLUMN_ROW)};
#undef HN_COLUMN_ROW

const hn_column_def *hn_column_definition(hn_column_id id)
{
    return &definitions[id];
}

const char *const *hn_column_codes(hn_column_id id)
{
    switch (id) {
    case HN_COL_SHAPE:
        return hn_shape_names;
    case HN_COL_LENGTH_BASIS:
        return hn_length_basis_names;
    case HN_COL_CONDITION_BASIS:
        return hn_condition_basis_names;
    case HN_COL_VERDICT:
        return hn_verdict_names;
    case HN_COL_PROGRAMME:
        return hn_programme_names;
    default:
        return NULL;
    }
}

hn_column_id hn_column_find(const char *name)
{
    for (int id = 0; id < HN_COL_COUNT; id++)
        if (strcmp(definitions[id].name, name) == 0)
            return (hn_column_id)id;
    return HN_COL_COUNT;
}

size_t hn_kind_size(hn_kind kind)
{
    switch (kind) {
    case HN_KIND_F64:
        return sizeof(double);
    case HN_KIND_CODE:
    case HN_KIND_BOOL:
        return sizeof(uint8_t);
    default:
        return sizeof(uint32_t);
    }
}

static void fill_missing(hn_kind kind, void *values, size_t from, size_t to)
{
    switch (kind) {
    case HN_KIND_F64:
        for (size_t i = from; i < to; i++)
            ((double *)values)[i] = NAN;
        break;
    case HN_KIND_F32:
        for (size_t i = from; i < to; i++)
            ((float *)values)[i] = NAN;
        break;
    case HN_KIND_I32:
    case HN_KIND_DATE:
        for (size_t i = from; i < to; i++)
            ((int32_t *)values)[i] = HN_I32_MISSING;
        break;
    case HN_KIND_CODE:
    case HN_KIND_BOOL:
        memset((uint8_t *)values + from, HN_CODE_MISSING, to - from);
        break;
    case HN_KIND_STR:
        memset((uint32_t *)values + from, 0, (to - from) * sizeof(uint32_t));
        break;
    }
}

hn_status hn_table_new(hn_table **out, hn_error *err)
{
    hn_table *table = hn_alloc(1, sizeof *table);

    *out = NULL;
    if (table)
        table->texts = hn_text_pool_new();
    if (table)
        table->lines.start = hn_alloc(1, sizeof *table->lines.start);
    if (!table || !table->texts || !table->lines.start) {
        hn_table_free(table);
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    }
    *out = table;
    return HN_OK;
}

void hn_table_free(hn_table *table)
{
    if (!table)
        return;
    for (int id = 0; id < HN_COL_COUNT; id++)
        hn_free(table->column[id]);
    for (size_t i = 0; i < table->extras; i++) {
        hn_free(table->extra[i].name);
        hn_free(table->extra[i].title);
        hn_free(table->extra[i].meaning);
        hn_free(table->extra[i].f32);
    }
    hn_free(table->extra);
    hn_free(table->lines.start);
    hn_free(table->lines.xy);
    hn_free(table->lines.z);
    hn_free(table->lines.break_before);
    hn_text_pool_free(table->texts);
    hn_pieces_clear(&table->pieces);
    hn_free(table);
}

hn_status hn_table_want(hn_table *table, hn_column_id id, hn_error *err)
{
    size_t rows = table->capacity > table->rows ? table->capacity : table->rows;

    if (table->column[id])
        return HN_OK;
    table->column[id] = hn_alloc(rows, hn_kind_size(definitions[id].kind));
    if (!table->column[id])
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for column \"%s\" of %zu segments",
                       definitions[id].name, rows);
    fill_missing(definitions[id].kind, table->column[id], 0, rows);
    return HN_OK;
}

void hn_table_drop(hn_table *table, hn_column_id id)
{
    hn_free(table->column[id]);
    table->column[id] = NULL;
}

static hn_status resize(void **block, size_t count, size_t size, hn_error *err)
{
    void *grown = hn_realloc(*block, count, size);

    if (!grown)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for %zu segments", count);
    *block = grown;
    return HN_OK;
}

hn_status hn_table_reserve(hn_table *table, size_t rows, hn_error *err)
{
    size_t old = table->capacity, wanted = old ? old : FIRST_CAPACITY;
    hn_status rc = HN_OK;

    if (rows <= old)
        return HN_OK;
    while (wanted < rows)
        wanted += wanted / 2;
    for (int id = 0; id < HN_COL_COUNT; id++) {
        if (!table->column[id])
            continue;
        HN_TRY(resize(&table->column[id], wanted, hn_kind_size(definitions[id].kind), err));
        fill_missing(definitions[id].kind, table->column[id], old, wanted);
    }
    for (size_t i = 0; i < table->extras; i++) {
        void *values = table->extra[i].f32;

        HN_TRY(resize(&values, wanted, sizeof(float), err));
        table->extra[i].f32 = values;
        fill_missing(HN_KIND_F32, values, old, wanted);
    }
    {
        void *start = table->lines.start;

        HN_TRY(resize(&start, wanted + 1, sizeof *table->lines.start, err));
        table->lines.start = start;
        for (size_t i = old + 1; i <= wanted; i++)
            table->lines.start[i] = table->lines.start[old];
    }
    table->capacity = wanted;
out:
    return rc;
}

static void shrink(void **block, size_t count, size_t size)
{
    void *smaller = *block ? hn_realloc(*block, count, size) : NULL;

    if (smaller)
        *block = smaller;
}

void hn_table_trim(hn_table *table)
{
    hn_lines *l = &table->lines;
    void *start = l->start, *xy = l->xy, *z = l->z, *breaks = l->break_before;

    for (int id = 0; id < HN_COL_COUNT; id++)
        shrink(&table->column[id], table->rows, hn_kind_size(definitions[id].kind));
    shrink(&start, table->rows + 1, sizeof *l->start);
    shrink(&xy, 2 * l->points, sizeof *l->xy);
    shrink(&z, l->points, sizeof *l->z);
    shrink(&breaks, l->points, 1);
    l->start = start;
    l->xy = xy;
    l->z = z;
    l->break_before = breaks;
    l->capacity = l->points;
    table->capacity = table->rows;
}

#define GATHER(type)                                            \
    do {                                                        \
        const type *from = values;                              \
        type *to = fresh;                                       \
        for (size_t i = 0; i < rows; i++)                       \
            to[i] = from[order[i]];                             \
    } while (0)

/* The column in its new order, as a new block. */
static void *gathered(const void *values, size_t size, const uint32_t *order, size_t rows)
{
    void *fresh = hn_alloc(rows, size);

    if (!fresh)
        return NULL;
    if (size == 8)
        GATHER(uint64_t);
    else if (size == 4)
        GATHER(uint32_t);
    else
        GATHER(uint8_t);
    return fresh;
}
#undef GATHER

static hn_status replace_gathered(void **values, size_t size, const uint32_t *order, size_t rows,
                                  hn_error *err)
{
    void *fresh;

    if (!*values)
        return HN_OK;
    fresh = gathered(*values, size, order, rows);
    if (!fresh)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for %zu segments", rows);
    hn_free(*values);
    *values = fresh;
    return HN_OK;
}

static hn_status reorder_lines(hn_lines *lines, const uint32_t *order, size_t rows, hn_error *err)
{
    hn_lines fresh = {0};
    hn_status rc = HN_OK;
    size_t at = 0;

    for (size_t i = 0; i < rows; i++)
        fresh.points += hn_line_points(lines, order[i]);
    fresh.capacity = fresh.points;
    fresh.start = hn_alloc(rows + 1, sizeof *fresh.start);
    fresh.xy = hn_alloc(fresh.points * 2, sizeof *fresh.xy);
    if (lines->z)
        fresh.z = hn_alloc(fresh.points, sizeof *fresh.z);
    if (lines->break_before)
        fresh.break_before = hn_alloc(fresh.points, 1);
    if (!fresh.start || !fresh.xy || (lines->z && !fresh.z) ||
        (lines->break_before && !fresh.break_before)) {
        rc = hn_fail(err, HN_ERR_MEMORY, "out of memory for %zu lines", rows);
        goto out;
    }
    for (size_t i = 0; i < rows; i++) {
        size_t from = lines->start[order[i]], n = hn_line_points(lines, order[i]);

        fresh.start[i] = at;
        if (n == 0)
            continue;
        memcpy(fresh.xy + 2 * at, lines->xy + 2 * from, 2 * n * sizeof *fresh.xy);
        if (lines->z)
            memcpy(fresh.z + at, lines->z + from, n * sizeof *fresh.z);
        if (lines->break_before)
            memcpy(fresh.break_before + at, lines->break_before + from, n);
        at += n;
    }
    fresh.start[rows] = at;
    {
        hn_lines old = *lines;

        *lines = fresh;
        fresh = old;
    }
out:
    hn_free(fresh.start);
    hn_free(fresh.xy);
    hn_free(fresh.z);
    hn_free(fresh.break_before);
    return rc;
}

hn_status hn_table_reorder(hn_table *table, const uint32_t *order, size_t rows, hn_error *err)
{
    hn_status rc = HN_OK;

    for (int id = 0; id < HN_COL_COUNT; id++)
        HN_TRY(replace_gathered(&table->column[id], hn_kind_size(definitions[id].kind), order, rows,
                                err));
    for (size_t i = 0; i < table->extras; i++) {
        void *values = table->extra[i].f32;

        HN_TRY(replace_gathered(&values, sizeof(float), order, rows, err));
        table->extra[i].f32 = values;
    }
    HN_TRY(reorder_lines(&table->lines, order, rows, err));
    table->rows = rows;
    table->capacity = rows;
out:
    return rc;
}

hn_status hn_table_add_extra(hn_table *table, const char *name, const char *title,
                             const char *meaning, float **out, hn_error *err)
{
    hn_extra_column *grown;
    hn_extra_column fresh = {0};
    size_t rows = table->capacity > table->rows ? table->capacity : table->rows;

    *out = NULL;
    grown = hn_realloc(table->extra, table->extras + 1, sizeof *grown);
    if (grown)
        table->extra = grown;
    fresh.name = hn_copy_text(name);
    fresh.title = hn_copy_text(title);
    fresh.meaning = hn_copy_text(meaning);
    fresh.f32 = hn_alloc(rows, sizeof *fresh.f32);
    if (!grown || !fresh.name || !fresh.title || !fresh.meaning || !fresh.f32) {
        hn_free(fresh.name);
        hn_free(fresh.title);
        hn_free(fresh.meaning);
        hn_free(fresh.f32);
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for column \"%s\"", name);
    }
    fill_missing(HN_KIND_F32, fresh.f32, 0, rows);
    table->extra[table->extras++] = fresh;
    *out = fresh.f32;
    return HN_OK;
}

size_t hn_table_bytes(const hn_table *table)
{
    size_t rows = table->capacity > table->rows ? table->capacity : table->rows, bytes = 0;

    for (int id = 0; id < HN_COL_COUNT; id++)
        if (table->column[id])
            bytes += rows * hn_kind_size(definitions[id].kind);
    bytes += table->extras * rows * sizeof(float);
    bytes += (rows + 1) * sizeof *table->lines.start;
    bytes += table->lines.capacity * (2 * sizeof(double) + (table->lines.z ? sizeof(double) : 0) +
                                      (table->lines.break_before ? 1 : 0));
    return bytes + table->pieces.room * sizeof(hn_piece) + hn_text_pool_bytes(table->texts);
}

double hn_table_number(const hn_table *table, hn_column_id id, size_t row)
{
    if (!table->column[id])
        return hn_table_derived(table, id, row);
    switch (definitions[id].kind) {
    case HN_KIND_F64:
        return hn_f64(table, id, row);
    case HN_KIND_F32:
        return (double)hn_f32(table, id, row);
    case HN_KIND_I32:
    case HN_KIND_DATE: {
        int32_t value = hn_i32(table, id, row);

        return value == HN_I32_MISSING ? (double)NAN : (double)value;
    }
    case HN_KIND_BOOL: {
        uint8_t value = hn_code(table, id, row);

        return value == HN_CODE_MISSING ? (double)NAN : (double)value;
    }
    default:
        return NAN;
    }
}

void hn_table_set_number(hn_table *table, hn_column_id id, size_t row, double value)
{
    void *values = table->column[id];

    switch (definitions[id].kind) {
    case HN_KIND_F64:
        ((double *)values)[row] = value;
        break;
    case HN_KIND_F32:
        ((float *)values)[row] = (float)value;
        break;
    case HN_KIND_I32:
    case HN_KIND_DATE:
        ((int32_t *)values)[row] = isnan(value) ? HN_I32_MISSING : (int32_t)value;
        break;
    case HN_KIND_CODE:
        ((uint8_t *)values)[row] = isnan(value) ? (uint8_t)HN_CODE_MISSING : (uint8_t)value;
        break;
    case HN_KIND_BOOL:
        ((uint8_t *)values)[row] = isnan(value) ? (uint8_t)HN_CODE_MISSING : value != 0.0;
        break;
    default:
        break;
    }
}

const char *hn_table_text(const hn_table *table, hn_column_id id, size_t row)
{
    const char *const *codes = hn_column_codes(id);
    uint8_t code;

    if (definitions[id].kind == HN_KIND_STR)
        return hn_text_pool_get(table->texts, hn_str(table, id, row));
    code = hn_code(table, id, row);
    return codes && code != HN_CODE_MISSING ? codes[code] : "";
}
