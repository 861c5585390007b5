#include "run/write_results.h"

#include "consequence/scheme_view.h"
#include "consequence/score_view.h"
#include "options/options_view.h"
#include "options/quantities_view.h"
#include "programme/programme_views.h"
#include "report/match_view.h"
#include "report/observation_views.h"
#include "report/segment_views.h"
#include "run/manifest.h"
#include "run/sensitivity.h"
#include "run/source_hash.h"
#include "run/summary.h"
#include "run/tables.h"
#include "run/tables_sensitivity.h"
#include "table/view_units.h"
#include "write/result_writer.h"

#include "base/alloc.h"

#include <string.h>

enum { VIEWS_MAX = 32, XLSX_ROWS = 10000, AT_SEGMENTS = 0, AT_OPTIONS = 4, AT_SCORES = 5 };

typedef struct result_set {
    hn_arena arena;
    hn_segment_views segments;
    hn_programme_views programme;
    hn_options_view options;
    hn_quantities_view quantities;
    hn_score_view scores;
    hn_scheme_view scheme;
    hn_observation_views observations;
    hn_match_view matches;
    hn_tables tables;
    hn_rank_view ranks;
    const hn_view *views[VIEWS_MAX];
    const uint32_t *sheet_rows[VIEWS_MAX]; /* NULL: as they lie */
    size_t count;
} result_set;

/* The tables of the scenarios are made; only the plan's own years are asked for
 * from here on. */
static void drop_other_scenarios(hn_state *s)
{
    for (int i = 0; i < HN_SCENARIOS; i++) {
        if (i == 1)
            continue;
        hn_free(s->scenario[i].allocation.year_of);
        s->scenario[i].allocation.year_of = NULL;
    }
}

static hn_status make_views(hn_state *s, result_set *r, hn_error *err)
{
    const uint32_t *order;
    hn_status rc = HN_OK;

    HN_TRY(hn_segment_views_make(s->table, s->plan, &s->issues, &r->arena, &r->segments, err));
    HN_TRY(hn_programme_views_make(s->table, s->plan, &s->outlook, &s->loss, s->commitments,
                                   s->commitment_count, s->projects, r->segments.by_priority,
                                   &r->arena, &r->programme, err));
    order = r->segments.is_by_priority ? r->segments.by_priority : NULL;
    HN_TRY(hn_options_view_make(s->judged, s->table, s->plan, order, &r->arena, &r->options, err));
    HN_TRY(hn_quantities_view_make(s->judged, s->table, s->plan, order, &r->arena, &r->quantities,
                                   err));
    HN_TRY(hn_score_view_make(s->table, s->plan, &s->parts, order, &r->arena, &r->scores, err));
    if (s->plan->risk_scheme != HN_SCHEME_MONEY)
        HN_TRY(
            hn_scheme_view_make(s->table, s->plan, &s->scheme, order, &r->arena, &r->scheme, err));
    if (s->plan->observation_count)
        HN_TRY(hn_observation_views_make(s->table, s->plan, &s->plane, &s->observations, &r->arena,
                                         &r->observations, err));
    hn_match_view_make(s->table, &s->matches, &r->matches);
    hn_tables_make(s, r->programme.project_cost, &r->tables);
    drop_other_scenarios(s);
    hn_heap_trim();
out:
    return rc;
}

/* Money columns are described in the plan's currency. */
static hn_status name_money(const hn_state *s, result_set *r, const hn_view *view,
                            const hn_view **out, hn_error *err)
{
    hn_view *named = hn_arena_alloc(&r->arena, 1, sizeof *named);
    hn_view_column *columns = hn_arena_alloc(&r->arena, view->column_count, sizeof *columns);

    if (!named || !columns)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    *named = *view;
    for (size_t c = 0; c < view->column_count; c++) {
        columns[c] = view->columns[c];
        if (strncmp(columns[c].unit, "money", 5) == 0) /* "money/m" too */
            columns[c].unit =
                hn_arena_printf(&r->arena, "%s%s", s->plan->currency, columns[c].unit + 5);
        if (!columns[c].unit)
            return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    }
    named->columns = columns;
    *out = named;
    return HN_OK;
}

/* First line whose segment is not before `row`; row_of is rising. */
static size_t first_line(const uint32_t *row_of, size_t lines, uint32_t row)
{
    size_t low = 0, high = lines;

    while (low < high) {
        size_t middle = low + (high - low) / 2;

        if (row_of[middle] < row)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* A table in the order of its segments is cut to the lines of the best ranks. */
static hn_status best_lines(result_set *r, const uint32_t *row_of, size_t lines,
                            const uint32_t **out, hn_error *err)
{
    const uint32_t *by_priority = r->segments.by_priority;
    size_t most = lines < XLSX_ROWS ? lines : XLSX_ROWS, count = 0;
    uint32_t *best = hn_arena_alloc(&r->arena, most, sizeof *best);

    if (!best)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; count < most; i++)
        for (size_t k = first_line(row_of, lines, by_priority[i]);
             k < lines && row_of[k] == by_priority[i] && count < most; k++)
            best[count++] = (uint32_t)k;
    *out = best;
    return HN_OK;
}

/* After the views were added in this order. */
static hn_status cut_sheets(result_set *r, hn_error *err)
{
    hn_status rc = HN_OK;

    if (r->segments.is_by_priority)
        return HN_OK;
    r->sheet_rows[AT_SEGMENTS] = r->segments.by_priority;
    HN_TRY(best_lines(r, r->options.row, r->options.view.rows, &r->sheet_rows[AT_OPTIONS], err));
    HN_TRY(best_lines(r, r->scores.row, r->scores.lines, &r->sheet_rows[AT_SCORES], err));
out:
    return rc;
}

static hn_status add_view(const hn_state *s, result_set *r, const hn_view *view, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(name_money(s, r, view, &view, err));
    if (s->plan->units_us)
        HN_TRY(hn_view_in_us_units(view, &r->arena, &view, err));
    r->views[r->count++] = view;
out:
    return rc;
}

static hn_status add_views(hn_state *s, result_set *r, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(add_view(s, r, &r->segments.segments, err));
    HN_TRY(add_view(s, r, &r->programme.project_view, err));
    HN_TRY(add_view(s, r, &r->segments.act_now_list, err));
    HN_TRY(add_view(s, r, &r->segments.data_issues, err));
    HN_TRY(add_view(s, r, &r->options.view, err));
    HN_TRY(add_view(s, r, &r->scores.view, err));
    HN_TRY(add_view(s, r, &r->programme.unfunded_view, err));
    HN_TRY(add_view(s, r, &r->quantities.view, err));
    HN_TRY(cut_sheets(r, err));
    if (s->plan->risk_scheme != HN_SCHEME_MONEY)
        HN_TRY(add_view(s, r, &r->scheme.view, err));
    if (s->plan->observation_count) {
        HN_TRY(add_view(s, r, &r->observations.layer, err));
        HN_TRY(add_view(s, r, &r->observations.grades, err));
    }
    if (s->plan->inspection_count || s->plan->observation_count)
        HN_TRY(add_view(s, r, &r->matches.view, err));
    for (int i = 0; i < HN_TABLE_COUNT; i++) {
        const hn_view *view;

        if ((i == HN_TABLE_OBSERVATION_REPORT && !s->plan->observation_count) ||
            (i == HN_TABLE_MATRIX && !hn_tables_has_matrix(s->plan)) ||
            (i == HN_TABLE_SENSITIVITY && !hn_sensitivity_is_on(s)))
            continue;
        if (i == HN_TABLE_WAITING && !s->plan->write_waiting)
            continue;
        if (i == HN_TABLE_INFILTRATION && !s->table->column[HN_COL_INFILTRATION_FLOW])
            continue;
        HN_TRY(hn_grid_view(&r->tables.grid[i], &view, err));
        HN_TRY(add_view(s, r, view, err));
    }
    if (hn_sensitivity_is_on(s)) {
        hn_rank_view_make(s, r->segments.by_priority, &r->ranks);
        HN_TRY(add_view(s, r, &r->ranks.view, err));
    }
out:
    return rc;
}

static void writing_progress(void *context, double share)
{
    hn_state_progress(context, share);
}

static hn_status write_views(hn_state *s, result_set *r, hn_error *err)
{
    hn_result_spec spec = {.folder = s->plan->output_folder,
                           .views = r->views,
                           .view_count = r->count,
                           .crs_wkt = s->crs.wkt,
                           .crs_epsg = s->crs.epsg,
                           .title = s->plan->title,
                           .as_of = s->plan->as_of,
                           .threads = s->threads,
                           .write_csv = s->plan->write_csv,
                           .write_xlsx = s->plan->write_xlsx,
                           .xlsx_row_limit = XLSX_ROWS,
                           .xlsx_rows = r->sheet_rows,
                           .progress = writing_progress,
                           .progress_context = s};
    hn_status rc = HN_OK;

    if (hn_sensitivity_is_on(s)) {
        spec.write_more = hn_tornado_write;
        spec.more_context = s;
    }
    spec.lineage = hn_manifest_lineage(s, &r->arena);
    spec.manifest_json = hn_manifest_json(s, &r->arena);
    HN_TRY_ALLOC(spec.lineage);
    HN_TRY_ALLOC(spec.manifest_json);
    HN_TRY(hn_result_write(&spec, err));
out:
    return rc;
}

hn_status hn_write_results(hn_state *s, hn_error *err)
{
    result_set *r = hn_alloc(1, sizeof *r);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(r);
    hn_source_hash_settle(s);
    HN_TRY(make_views(s, r, err));
    HN_TRY(add_views(s, r, err));
    HN_TRY(write_views(s, r, err));
    hn_summary_fill(s, r->tables.reconciles, s->summary);
out:
    if (r) {
        hn_tables_clear(&r->tables);
        hn_arena_clear(&r->arena);
    }
    hn_free(r);
    return rc;
}
