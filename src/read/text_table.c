#include "read/text_table.h"

#include "base/alloc.h"
#include "read/cell_text.h"
#include "read/open_source.h"

#include <cpl_vsi.h>
#include <stdint.h>
#include <string.h>
#include <strings.h>

typedef struct builder {
    hn_arena *arena;
    const char **cells; /* rows * columns, grows */
    size_t count, capacity, columns;
} builder;

/* "rates.xlsx#Prices" names a sheet, unless a file has that very name. */
static hn_source source_of(const char *from, hn_arena *arena)
{
    hn_source source = {.key = "table", .from = from};
    const char *hash = strrchr(from, '#');
    VSIStatBufL info;

    if (hash && hash[1] && VSIStatL(from, &info) != 0) {
        source.from = hn_arena_text_n(arena, from, (size_t)(hash - from));
        source.layer = hash + 1;
    }
    return source;
}

static hn_status read_names(OGRFeatureDefnH fields, builder *b, hn_text_table *out, hn_error *err)
{
    hn_status rc = HN_OK;

    out->names = hn_arena_alloc(b->arena, b->columns, sizeof *out->names);
    HN_TRY_ALLOC(out->names);
    for (size_t c = 0; c < b->columns; c++) {
        const char *name = OGR_Fld_GetNameRef(OGR_FD_GetFieldDefn(fields, (int)c));
        hn_span trimmed = hn_trim(name, strlen(name));

        out->names[c] = hn_arena_text_n(b->arena, trimmed.text, trimmed.length);
        HN_TRY_ALLOC(out->names[c]);
    }
out:
    return rc;
}

/* Appends one row; a row of nothing but blanks is left out. */
static hn_status add_row(OGRFeatureH feature, builder *b, hn_error *err)
{
    hn_status rc = HN_OK;
    size_t filled = 0, begin = b->count;
    char room[HN_CELL_TEXT_MAX];

    for (size_t c = 0; c < b->columns; c++) {
        hn_span text = hn_cell_span(feature, (int)c, room);
        void *cells = (void *)b->cells;

        if (!hn_grow(&cells, b->count, &b->capacity, sizeof *b->cells))
            HN_TRY_ALLOC(NULL);
        b->cells = cells;
        b->cells[b->count] = text.length ? hn_arena_text_n(b->arena, text.text, text.length) : "";
        HN_TRY_ALLOC(b->cells[b->count]);
        filled += text.length > 0;
        b->count++;
    }
    if (filled == 0)
        b->count = begin;
out:
    return rc;
}

static hn_status read_rows(const hn_opened *opened, builder *b, hn_error *err)
{
    hn_status rc = HN_OK;
    OGRFeatureH feature = NULL;

    OGR_L_ResetReading(opened->layer);
    while ((feature = OGR_L_GetNextFeature(opened->layer)) != NULL) {
        rc = add_row(feature, b, err);
        OGR_F_Destroy(feature);
        if (rc != HN_OK)
            return rc;
    }
    return hn_opened_check(opened, err);
}

static hn_status keep_cells(const builder *b, hn_text_table *out, hn_error *err)
{
    hn_status rc = HN_OK;

    out->columns = b->columns;
    out->rows = b->columns ? b->count / b->columns : 0;
    out->cells = hn_arena_alloc(b->arena, b->count, sizeof *out->cells);
    HN_TRY_ALLOC(out->cells);
    if (b->count)
        memcpy((void *)out->cells, (const void *)b->cells, b->count * sizeof *out->cells);
out:
    return rc;
}

hn_status hn_text_table_read(const char *from, hn_arena *arena, hn_text_table *out, hn_error *err)
{
    hn_status rc = HN_OK;
    hn_gdal_log log;
    hn_opened opened = {0};
    builder b = {.arena = arena};
    hn_source source = source_of(from, arena);

    memset(out, 0, sizeof *out);
    hn_gdal_log_begin(&log);
    HN_TRY_ALLOC(source.from);
    out->path = hn_arena_text(arena, from);
    HN_TRY_ALLOC(out->path);
    HN_TRY(hn_open_source(&source, &log, &opened, err));
    b.columns = (size_t)OGR_FD_GetFieldCount(OGR_L_GetLayerDefn(opened.layer));
    HN_TRY(read_names(OGR_L_GetLayerDefn(opened.layer), &b, out, err));
    HN_TRY(read_rows(&opened, &b, err));
    HN_TRY(keep_cells(&b, out, err));
out:
    hn_free((void *)b.cells);
    hn_opened_close(&opened);
    hn_gdal_log_end();
    return rc;
}

size_t hn_text_table_column(const hn_text_table *table, const char *name)
{
    for (size_t c = 0; c < table->columns; c++)
        if (strcasecmp(table->names[c], name) == 0)
            return c;
    return SIZE_MAX;
}
