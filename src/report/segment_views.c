#include "report/segment_views.h"

#include "base/alloc.h"
#include "base/dates.h"
#include "base/radix.h"
#include "report/coded_columns.h"
#include "table/sentence.h"

#include <stdlib.h>
#include <string.h>

/* ---- segments ---- */

static void fill_cell(const hn_segment_views *v, hn_column_id id, size_t row, hn_cell *cell)
{
    const hn_table *t = v->table;
    uint8_t code;
    int32_t whole;

    switch (v->kinds[id]) {
    case HN_KIND_F64:
        hn_cell_real(cell, t->column[id] ? hn_f64(t, id, row) : hn_table_derived(t, id, row));
        break;
    case HN_KIND_F32:
        hn_cell_real(cell, (double)hn_f32(t, id, row));
        break;
    case HN_KIND_I32:
    case HN_KIND_DATE:
        whole = hn_i32(t, id, row);
        cell->is_null = whole == HN_I32_MISSING;
        cell->i = whole;
        break;
    case HN_KIND_BOOL:
        code = hn_code(t, id, row);
        cell->is_null = code == HN_CODE_MISSING;
        cell->i = code;
        break;
    case HN_KIND_CODE:
        hn_cell_text(cell, hn_coded_text(v->plan, id, hn_code(t, id, row)));
        break;
    case HN_KIND_STR:
        hn_cell_text(cell, hn_text_pool_get(t->texts, hn_str(t, id, row)));
        break;
    }
}

/* Up to this many rows the layer lies in the order of priority. Beyond it in
 * that of the table: nobody reads so many in a row, and out of order each cell
 * waits for memory. Source: local rule. */
enum { MOST_ROWS_BY_PRIORITY = 100000 };

static size_t row_at(const hn_segment_views *v, size_t place)
{
    return v->is_by_priority ? v->by_priority[place] : place;
}

static void segment_row(const void *context, size_t place, hn_cell *cells, hn_scratch *scratch)
{
    const hn_segment_views *v = context;
    size_t row = row_at(v, place), c = 0;

    for (; c < v->id_count; c++)
        fill_cell(v, v->ids[c], row, &cells[c]);
    for (size_t e = 0; e < v->table->extras; e++, c++)
        hn_cell_real(&cells[c], (double)v->table->extra[e].f32[row]);
    hn_cell_text(&cells[c], hn_segment_reason(v->table, v->plan, row, scratch));
}

void hn_segment_shape(const hn_table *table, size_t row, hn_shape_ref *out, hn_scratch *scratch)
{
    const hn_lines *l = &table->lines;
    size_t from = l->start[row], to = l->start[row + 1], parts = 0;

    memset(out, 0, sizeof *out);
    if (from == to)
        return;
    for (size_t k = from; k < to; k++) {
        if (k > from && !(l->break_before && l->break_before[k]))
            continue;
        if (!hn_scratch_parts(scratch, parts + 1))
            return;
        if (parts)
            scratch->points[parts - 1] = k - (size_t)(scratch->xy[parts - 1] - l->xy) / 2;
        scratch->xy[parts] = l->xy + 2 * k;
        scratch->z[parts] = l->z ? l->z + k : NULL;
        parts++;
    }
    scratch->points[parts - 1] = to - (size_t)(scratch->xy[parts - 1] - l->xy) / 2;
    out->part_count = parts;
    out->xy = scratch->xy;
    out->z = l->z ? scratch->z : NULL;
    out->points = scratch->points;
}

static void segment_view_shape(const void *context, size_t place, hn_shape_ref *out,
                               hn_scratch *scratch)
{
    const hn_segment_views *v = context;

    hn_segment_shape(v->table, row_at(v, place), out, scratch);
}

/* Columns of a points scheme and of the position in the network are only there when
 * the plan asks for them. */
static int is_shown(const hn_table *table, hn_column_id id)
{
    const char *owner = hn_column_definition(id)->owner;

    if (strcmp(owner, "score") == 0 || strcmp(owner, "position") == 0 || id == HN_COL_PEOPLE ||
        id == HN_COL_FLOW_ADDED)
        return table->column[id] != NULL;
    return id != HN_COL_UP_INDEX && id != HN_COL_DOWN_INDEX;
}

static hn_view_kind view_kind(hn_kind kind)
{
    switch (kind) {
    case HN_KIND_F64:
    case HN_KIND_F32:
        return HN_VIEW_REAL;
    case HN_KIND_I32:
        return HN_VIEW_INT;
    case HN_KIND_DATE:
        return HN_VIEW_DATE;
    case HN_KIND_BOOL:
        return HN_VIEW_BOOL;
    default:
        return HN_VIEW_TEXT;
    }
}

/* "money/year" reads in the plan's currency. */
static const char *shown_unit(const char *unit, const hn_plan *plan, hn_arena *arena)
{
    return strncmp(unit, "money", 5) == 0
               ? hn_arena_printf(arena, "%s%s", plan->currency, unit + 5)
               : unit;
}

static int describe_columns(hn_segment_views *v, hn_view_column *columns, hn_arena *arena)
{
    size_t c = 0;

    for (int id = 0; id < HN_COL_COUNT; id++) {
        const hn_column_def *d = hn_column_definition((hn_column_id)id);
        hn_view_column *column = &columns[c];

        if (!is_shown(v->table, (hn_column_id)id))
            continue;
        v->ids[c++] = (hn_column_id)id;
        v->kinds[id] = (uint8_t)d->kind;
        *column = (hn_view_column){.name = d->name,
                                   .title = d->title,
                                   .meaning = d->meaning,
                                   .unit = shown_unit(d->unit, v->plan, arena),
                                   .kind = view_kind(d->kind),
                                   .decimals = d->decimals};
        if (!column->unit || !hn_coded_values(v->plan, (hn_column_id)id, arena, column))
            return 0;
    }
    v->id_count = c;
    for (size_t e = 0; e < v->table->extras; e++)
        columns[c++] = (hn_view_column){.name = v->table->extra[e].name,
                                        .title = v->table->extra[e].title,
                                        .meaning = v->table->extra[e].meaning,
                                        .unit = "m",
                                        .kind = HN_VIEW_REAL,
                                        .decimals = 1};
    columns[c++] = (hn_view_column){.name = "reason",
                                    .title = "Reason",
                                    .meaning = "What is known, what to do, what it costs and saves",
                                    .unit = "",
                                    .kind = HN_VIEW_TEXT};
    v->segments.column_count = c;
    return 1;
}

static hn_status make_segments(hn_segment_views *v, hn_arena *arena, hn_error *err)
{
    size_t most = HN_COL_COUNT + v->table->extras + 1;
    hn_view_column *columns = hn_arena_alloc(arena, most, sizeof *columns);

    v->ids = hn_arena_alloc(arena, HN_COL_COUNT, sizeof *v->ids);
    v->by_priority = hn_arena_alloc(arena, v->table->rows, sizeof *v->by_priority);
    v->is_by_priority = v->table->rows <= MOST_ROWS_BY_PRIORITY;
    v->segments = (hn_view){.name = "segments",
                            .title = "Segments by priority",
                            .meaning = "Every segment with its condition, options, risk, rank and "
                                       "programme year; in the order of priority, or of their ids "
                                       "when there are more than 100 000. Planning level only.",
                            .geometry = HN_GEOMETRY_LINE,
                            .columns = columns,
                            .rows = v->table->rows,
                            .context = v,
                            .row = segment_row,
                            .shape = segment_view_shape};
    if (!columns || !v->ids || !v->by_priority || !describe_columns(v, columns, arena))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t row = 0; row < v->table->rows; row++)
        v->by_priority[HN_I32(v->table, PRIORITY)[row] - 1] = (uint32_t)row;
    return HN_OK;
}

/* ---- act now ---- */

static const hn_view_column act_now_columns[] = {
    {"segment_id", "Segment", "Segment that needs action now", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"rule", "Rule", "Act-now rule that holds", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"reason", "Reason", "Why it cannot wait", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"act_within_days", "Within", "Days from the date of the plan to look at it and make it safe", "days", HN_VIEW_INT, 0, NULL, 0},
    {"act_by", "Look by", "Date by which somebody should have looked at it on site and made it safe; the renewal may be later", "", HN_VIEW_DATE, 0, NULL, 0},
    {"caution", "Caution", "What to mind", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"priority", "Priority", "Rank, which does not decide this list", "", HN_VIEW_INT, 0, NULL, 0},
    {"street", "Street", "Street", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"district", "District", "District", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"method", "Method", "Chosen method", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"programme_year", "Renewal year", "Year of the renewal in the programme, not of the first look; empty when not funded", "", HN_VIEW_INT, 0, NULL, 0},
    {"source", "Source", "Source of the rule", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static void act_now_row(const void *context, size_t place, hn_cell *cells, hn_scratch *scratch)
{
    const hn_segment_views *v = context;
    size_t row = v->act_now[place];
    const hn_table *t = v->table;
    const hn_act_now_rule *rule = &v->plan->config.act_now[HN_CODE(t, ACT_NOW)[row]];
    char reason[512];

    hn_sentence(t, row, rule->reason, (double)NAN, reason, sizeof reason);
    hn_cell_text(&cells[0], hn_table_text(t, HN_COL_SEGMENT_ID, row));
    hn_cell_text(&cells[1], rule->id);
    hn_cell_text(&cells[2], hn_scratch_copy(scratch, reason));
    hn_cell_int(&cells[3], rule->within_days);
    hn_cell_int(&cells[4], v->plan->as_of + rule->within_days);
    hn_sentence(t, row, rule->caution ? rule->caution : "", (double)NAN, reason, sizeof reason);
    hn_cell_text(&cells[5], hn_scratch_copy(scratch, reason));
    hn_cell_int(&cells[6], HN_I32(t, PRIORITY)[row]);
    hn_cell_text(&cells[7], hn_table_text(t, HN_COL_STREET, row));
    hn_cell_text(&cells[8], hn_table_text(t, HN_COL_DISTRICT, row));
    hn_cell_text(&cells[9], hn_coded_text(v->plan, HN_COL_METHOD, hn_code(t, HN_COL_METHOD, row)));
    fill_cell(v, HN_COL_YEAR, row, &cells[10]);
    hn_cell_text(&cells[11], rule->source);
}

static void act_now_shape(const void *context, size_t place, hn_shape_ref *out,
                          hn_scratch *scratch)
{
    const hn_segment_views *v = context;

    hn_segment_shape(v->table, v->act_now[place], out, scratch);
}

/* By deadline, then by priority. */
static uint64_t act_now_key(const hn_segment_views *v, size_t row)
{
    int days = v->plan->config.act_now[HN_CODE(v->table, ACT_NOW)[row]].within_days;

    return (uint64_t)(uint32_t)days << 32 | (uint32_t)HN_I32(v->table, PRIORITY)[row];
}

static hn_status sort_act_now(hn_segment_views *v, size_t count, hn_error *err)
{
    hn_keyed *order = hn_alloc(count, sizeof *order);
    size_t n = 0;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(order);
    for (size_t row = 0; row < v->table->rows; row++)
        if (hn_code(v->table, HN_COL_ACT_NOW, row) != HN_CODE_MISSING)
            order[n++] = hn_keyed_of(act_now_key(v, row), (uint32_t)row);
    if (!hn_radix_sort(order, n))
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    for (size_t i = 0; i < n; i++)
        v->act_now[i] = order[i].value;
out:
    hn_free(order);
    return rc;
}

static hn_status make_act_now(hn_segment_views *v, hn_arena *arena, hn_error *err)
{
    size_t count = 0;
    hn_status rc = HN_OK;

    for (size_t row = 0; row < v->table->rows; row++)
        count += hn_code(v->table, HN_COL_ACT_NOW, row) != HN_CODE_MISSING;
    v->act_now = hn_arena_alloc(arena, count, sizeof *v->act_now);
    HN_TRY_ALLOC(v->act_now);
    HN_TRY(sort_act_now(v, count, err));
    v->act_now_list =
        (hn_view){.name = "act_now",
                  .title = "Act now, whatever the rank",
                  .meaning = "Segments whose recorded data call for somebody to look now and make "
                             "them safe, by the date given; the renewal itself comes in the "
                             "programme year. A hint from data, no emergency service.",
                  .geometry = HN_GEOMETRY_LINE,
                  .columns = act_now_columns,
                  .column_count = sizeof act_now_columns / sizeof act_now_columns[0],
                  .rows = count,
                  .context = v,
                  .row = act_now_row,
                  .shape = act_now_shape};
out:
    return rc;
}

/* ---- data issues ---- */

static const hn_coded_value severities[] = {
    {"error", "the value cannot be right; the effect says what was done"},
    {"warning", "doubtful"},
    {"note", "worth knowing"}};
static const hn_view_column issue_columns[] = {
    {"severity", "Severity", "How grave it is", "", HN_VIEW_TEXT, 0, severities, 3},
    {"rule", "Rule", "Rule or check that found it", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"segment_id", "Segment", "Segment it is about; empty for the whole source", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"field", "Field", "Field or column", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"value", "Value", "Value as found", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"message", "Message", "What is wrong", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"effect", "Effect", "What was done about it", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static void issue_row(const void *context, size_t place, hn_cell *cells, hn_scratch *scratch)
{
    const hn_segment_views *v = context;
    const hn_issue *issue = &v->issues->items[v->issue_order[place]];
    const hn_text_pool *texts = v->issues->texts;

    (void)scratch;
    hn_cell_text(&cells[0], severities[issue->severity].value);
    hn_cell_text(&cells[1], hn_text_pool_get(texts, issue->rule));
    hn_cell_text(&cells[2], hn_text_pool_get(texts, issue->segment));
    hn_cell_text(&cells[3], hn_text_pool_get(texts, issue->field));
    hn_cell_text(&cells[4], hn_text_pool_get(texts, issue->value));
    hn_cell_text(&cells[5], hn_text_pool_get(texts, issue->message));
    hn_cell_text(&cells[6], hn_text_pool_get(texts, issue->effect));
}

static void issue_shape(const void *context, size_t place, hn_shape_ref *out, hn_scratch *scratch)
{
    const hn_segment_views *v = context;
    const hn_issue *issue = &v->issues->items[v->issue_order[place]];

    memset(out, 0, sizeof *out);
    if (!(issue->x - issue->x == 0.0) || !(issue->y - issue->y == 0.0))
        return;
    scratch->xy[0] = &issue->x; /* x and y lie side by side in the struct */
    scratch->points[0] = 1;
    out->is_point = 1;
    out->part_count = 1;
    out->xy = scratch->xy;
    out->points = scratch->points;
}

static int compare_texts(const hn_text_pool *texts, uint32_t a, uint32_t b)
{
    return a == b ? 0 : strcmp(hn_text_pool_get(texts, a), hn_text_pool_get(texts, b));
}

static int graver_first(const void *left, const void *right, void *context)
{
    const hn_issue_list *list = context;
    const hn_issue *a = &list->items[*(const uint32_t *)left];
    const hn_issue *b = &list->items[*(const uint32_t *)right];
    int order;

    if (a->severity != b->severity)
        return a->severity < b->severity ? -1 : 1;
    if ((order = compare_texts(list->texts, a->rule, b->rule)) != 0)
        return order;
    if ((order = compare_texts(list->texts, a->segment, b->segment)) != 0)
        return order;
    if ((order = compare_texts(list->texts, a->field, b->field)) != 0)
        return order;
    return compare_texts(list->texts, a->value, b->value);
}

static hn_status make_issues(hn_segment_views *v, hn_arena *arena, hn_error *err)
{
    v->issue_order = hn_arena_alloc(arena, v->issues->count, sizeof *v->issue_order);
    if (!v->issue_order)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < v->issues->count; i++)
        v->issue_order[i] = (uint32_t)i;
    qsort_r(v->issue_order, v->issues->count, sizeof *v->issue_order, graver_first,
            (void *)(uintptr_t)v->issues);
    v->data_issues = (hn_view){.name = "data_issues",
                               .title = "Doubtful data",
                               .meaning = "What is wrong or doubtful in the sources, and what was "
                                          "done about it. Nothing in the sources was changed.",
                               .geometry = HN_GEOMETRY_ANY,
                               .columns = issue_columns,
                               .column_count = sizeof issue_columns / sizeof issue_columns[0],
                               .rows = v->issues->count,
                               .context = v,
                               .row = issue_row,
                               .shape = issue_shape};
    return HN_OK;
}

hn_status hn_segment_views_make(const hn_table *table, const hn_plan *plan,
                                const hn_issue_list *issues, hn_arena *arena,
                                hn_segment_views *out, hn_error *err)
{
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out);
    out->table = table;
    out->plan = plan;
    out->issues = issues;
    HN_TRY(make_segments(out, arena, err));
    HN_TRY(make_act_now(out, arena, err));
    HN_TRY(make_issues(out, arena, err));
out:
    return rc;
}
