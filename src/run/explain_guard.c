#include "run/explain_guard.h"

#include "base/dates.h"
#include "base/sha256.h"
#include "report/segment_views.h"
#include "table/view_units.h"

#include <stdio.h>
#include <string.h>

enum { COLUMNS_MAX = 512, PATH_SIZE = 64 };

/* Some columns hold a float: half a unit in its last place, and as much again for
 * another machine's mathematical library. Local rule. */
static const double AGREES = 1.2e-7;

/* ---- hashes ---- */

static hn_status changed(hn_error *err, const char *what, const char *file)
{
    hn_status rc =
        hn_fail(err, HN_ERR_INPUT, "%s has changed since the result was made: %s", what, file);

    hn_hint(err, "run the plan again, or put back the file that the result was made from");
    return rc;
}

static hn_status gone(hn_error *err, const char *what, const char *file)
{
    hn_status rc = hn_fail(err, HN_ERR_INPUT, "%s is gone or cannot be read: %s", what, file);

    hn_hint(err,
            "explain works the segment out again from the same files; put the file back, or run "
            "the plan again");
    return rc;
}

static hn_status compare_file(const char *what, const char *from, const char *wanted, hn_error *err)
{
    char hash[HN_SHA256_HEX], shown[512];

    hn_source_shown(from, shown, sizeof shown);
    if (hn_sha256_file(from, hash, NULL) != HN_OK)
        /* a database or a service: the row itself is compared later */
        return wanted && wanted[0] ? gone(err, what, shown) : HN_OK;
    return wanted && strcmp(hash, wanted) == 0 ? HN_OK : changed(err, what, shown);
}

hn_status hn_guard_plan(hn_result_store *store, const char *plan_path, hn_error *err)
{
    const char *wanted = hn_result_store_text(store, "$.plan_sha256");
    hn_status rc;

    if (!wanted || !wanted[0]) {
        rc = hn_fail(err, HN_ERR_INPUT, "run.json does not say which plan made this result");
        hn_hint(err, "the result is of an older haunch: run the plan again");
        return rc;
    }
    rc = compare_file("the plan", plan_path, wanted, err);
    if (rc != HN_OK && err && strstr(err->message, "is gone"))
        hn_hint(err, "name the plan where it is now: haunch explain RESULT ID --plan FILE");
    return rc;
}

static const hn_source *source_named(const hn_plan *plan, const char *key)
{
    if (strcmp(plan->network.key, key) == 0)
        return &plan->network;
    if (plan->has_nodes && strcmp(plan->nodes.key, key) == 0)
        return &plan->nodes;
    if (plan->has_works && strcmp(plan->works.key, key) == 0)
        return &plan->works;
    for (size_t i = 0; i < plan->inspection_count; i++)
        if (strcmp(plan->inspections[i].key, key) == 0)
            return &plan->inspections[i];
    for (size_t i = 0; i < plan->observation_count; i++)
        if (strcmp(plan->observations[i].key, key) == 0)
            return &plan->observations[i];
    for (size_t i = 0; i < plan->context_count; i++)
        if (strcmp(plan->context[i].source.key, key) == 0)
            return &plan->context[i].source;
    return NULL;
}

static const char *entry(hn_result_store *store, const char *list, size_t i, const char *field)
{
    char path[PATH_SIZE];

    snprintf(path, sizeof path, "$.%s[%zu].%s", list, i, field);
    return hn_result_store_text(store, path);
}

static size_t source_count(const hn_plan *plan)
{
    return 1 + (size_t)(plan->has_nodes != 0) + (size_t)(plan->has_works != 0) +
           plan->inspection_count + plan->observation_count + plan->context_count;
}

static hn_status guard_sources(hn_result_store *store, const hn_plan *plan, hn_error *err)
{
    size_t count = hn_result_store_count(store, "$.sources");
    const char *last_from = "", *last_wanted = "";
    hn_status rc = HN_OK;

    if (count != source_count(plan) && count < HN_SOURCES_MAX)
        return changed(err, "the list of sources", "other sources are read now");
    for (size_t i = 0; i < count && i < HN_SOURCES_MAX; i++) {
        const char *key = entry(store, "sources", i, "key");
        const char *wanted = entry(store, "sources", i, "sha256");
        const hn_source *source = key ? source_named(plan, key) : NULL;
        char what[128];

        if (!source)
            return changed(err, "the list of sources", key ? key : "a source without key");
        if (wanted && strcmp(source->from, last_from) == 0 && strcmp(wanted, last_wanted) == 0)
            continue; /* another layer of the same file */
        snprintf(what, sizeof what, "source %s", key);
        HN_TRY(compare_file(what, source->from, wanted, err));
        last_from = source->from;
        last_wanted = wanted ? wanted : "";
    }
out:
    return rc;
}

static const char *base_name(const char *path)
{
    const char *slash = strrchr(path, '/');

    return slash ? slash + 1 : path;
}

static hn_status guard_tables(hn_result_store *store, const hn_config *config, hn_error *err)
{
    size_t count = hn_result_store_count(store, "$.config");
    hn_status rc = HN_OK;

    if (count != config->file_count)
        return changed(err, "the list of config tables", "other tables are read now");
    for (size_t i = 0; i < count; i++) {
        const char *name = entry(store, "config", i, "file");
        const char *wanted = entry(store, "config", i, "sha256");

        if (!name || strcmp(name, base_name(config->files[i])) != 0)
            return changed(err, "the list of config tables", config->files[i]);
        HN_TRY(compare_file("a config table", config->files[i], wanted, err));
    }
out:
    return rc;
}

hn_status hn_guard_inputs(hn_result_store *store, const hn_plan *plan, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(guard_tables(store, &plan->config, err));
    HN_TRY(guard_sources(store, plan, err));
out:
    return rc;
}

/* ---- the segment's row ---- */

typedef struct stored_cell {
    const char *name, *text; /* text: NULL for a number */
    double number;           /* NaN: NULL */
} stored_cell;

typedef struct stored_row {
    hn_arena arena;
    stored_cell cell[COLUMNS_MAX];
    size_t count;
} stored_row;

static void take_cell(void *context, const char *column, hn_view_kind kind, const hn_cell *cell)
{
    stored_row *row = context;
    stored_cell *to = &row->cell[row->count];

    if (row->count == COLUMNS_MAX)
        return;
    row->count++;
    to->name = hn_arena_text(&row->arena, column);
    to->text =
        !cell->is_null && kind == HN_VIEW_TEXT ? hn_arena_text(&row->arena, cell->text) : NULL;
    to->number = cell->is_null          ? (double)NAN
                 : kind == HN_VIEW_INT  ? (double)cell->i
                 : kind == HN_VIEW_REAL ? cell->r
                                        : (double)NAN;
}

static const stored_cell *stored(const stored_row *row, const char *name)
{
    for (size_t i = 0; i < row->count; i++)
        if (row->cell[i].name && strcmp(row->cell[i].name, name) == 0)
            return &row->cell[i];
    return NULL;
}

static int same_number(double a, double b)
{
    if (isnan(a) || isnan(b))
        return isnan(a) && isnan(b);
    return a == b || (isfinite(a) && isfinite(b) && fabs(a - b) <= AGREES * fmax(fabs(a), fabs(b)));
}

static hn_status differs(hn_error *err, const char *id, const char *column, const char *layer,
                         const char *here)
{
    hn_status rc =
        hn_fail(err, HN_ERR_INPUT,
                "segment %s: column %s of layer segments holds %s, worked out again it is %s", id,
                column, layer, here);

    hn_hint(err,
            "the layer was changed after the run, or another haunch made it; run the plan again");
    return rc;
}

static const char *as_text(double value, const char *text, char *room, size_t size)
{
    if (text)
        snprintf(room, size, "\"%.60s\"", text);
    else if (isnan(value))
        snprintf(room, size, "nothing");
    else
        snprintf(room, size, "%.10g", value);
    return room;
}

static hn_status compare(const stored_row *row, const char *id, const char *column, double number,
                         const char *text, hn_error *err)
{
    const stored_cell *cell = stored(row, column);
    char layer[80], here[80];

    if (!cell)
        return differs(err, id, column, "nothing: it is not there",
                       as_text(number, text, here, sizeof here));
    if (text && text[0] ? cell->text && strcmp(cell->text, text) == 0
                        : !cell->text && same_number(cell->number, number))
        return HN_OK;
    return differs(err, id, column, as_text(cell->number, cell->text, layer, sizeof layer),
                   as_text(number, text, here, sizeof here));
}

static hn_status compare_cells(const stored_row *row, const char *id, const hn_view *view,
                               const hn_cell *cells, hn_error *err)
{
    hn_status rc = HN_OK;

    for (size_t c = 0; c < view->column_count; c++) {
        hn_view_kind kind = view->columns[c].kind;
        char date[HN_DATE_TEXT] = "";
        double number = (double)NAN;
        const char *text = NULL;

        if (!cells[c].is_null && kind == HN_VIEW_DATE) {
            hn_date_text((int32_t)cells[c].i, date);
            text = date;
        } else if (!cells[c].is_null && kind == HN_VIEW_TEXT) {
            text = cells[c].text;
        } else if (!cells[c].is_null) {
            number = kind == HN_VIEW_REAL ? cells[c].r : (double)cells[c].i;
        }
        HN_TRY(compare(row, id, view->columns[c].name, number, text, err));
    }
out:
    return rc;
}

static hn_status compare_view(const stored_row *row, const hn_state *s, size_t at, hn_error *err)
{
    hn_segment_views views;
    const hn_view *view = &views.segments;
    hn_arena arena = {0};
    hn_scratch scratch = {0};
    hn_cell *cells;
    size_t place = at;
    hn_status rc = HN_OK;

    HN_TRY(hn_segment_views_make(s->table, s->plan, &s->issues, &arena, &views, err));
    if (s->plan->units_us)
        HN_TRY(hn_view_in_us_units(view, &arena, &view, err));
    if (views.is_by_priority)
        place = (size_t)HN_I32(s->table, PRIORITY)[at] - 1;
    HN_TRY(hn_scratch_init(&scratch, err));
    cells = hn_arena_alloc(&arena, view->column_count, sizeof *cells);
    HN_TRY_ALLOC(cells);
    view->row(view->context, place, cells, &scratch);
    HN_TRY(compare_cells(row, hn_table_text(s->table, HN_COL_SEGMENT_ID, at), view, cells, err));
out:
    hn_scratch_clear(&scratch);
    hn_arena_clear(&arena);
    return rc;
}

static hn_status compare_sheet(const stored_row *row, const char *id, const hn_sheet_item *block,
                               hn_error *err)
{
    hn_status rc = HN_OK;

    for (const hn_sheet_item *i = block->first; i; i = i->next) {
        if (i->kind == HN_SHEET_BLOCK)
            HN_TRY(compare_sheet(row, id, i, err));
        else if (i->layer_column)
            HN_TRY(compare(row, id, i->layer_column, i->number, NULL, err));
    }
out:
    return rc;
}

hn_status hn_guard_row(hn_result_store *store, const hn_state *s, size_t at, const hn_sheet *sheet,
                       hn_error *err)
{
    const char *id = hn_table_text(s->table, HN_COL_SEGMENT_ID, at);
    hn_arena arena = {0};
    stored_row *row = hn_arena_alloc(&arena, 1, sizeof *row);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(row);
    HN_TRY(hn_result_store_row(store, "segments", id, take_cell, row, err));
    HN_TRY(compare_view(row, s, at, err));
    HN_TRY(compare_sheet(row, id, &sheet->root, err));
out:
    if (row)
        hn_arena_clear(&row->arena);
    hn_arena_clear(&arena);
    return rc;
}
