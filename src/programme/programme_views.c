#include "programme/programme_views.h"

#include <string.h>

#define MONEY(name, title, meaning) {name, title, meaning, "money", HN_VIEW_REAL, 2, NULL, 0}
#define TEXT(name, title, meaning) {name, title, meaning, "", HN_VIEW_TEXT, 0, NULL, 0}
#define WHOLE(name, title, meaning) {name, title, meaning, "", HN_VIEW_INT, 0, NULL, 0}
static const hn_view_column project_columns[] = {
    WHOLE("project_id", "Project", "Number of the project: by year, then by the best rank in it"),
    TEXT("name", "Name", "Street and method"),
    WHOLE("year", "Year", "Year of the programme"),
    TEXT("state", "State", "committed or funded"),
    TEXT("method", "Method", "Method of all its segments"),
    WHOLE("segments", "Segments", "Number of segments"),
    {"length_m", "Length", "Length", "m", HN_VIEW_REAL, 1, NULL, 0},
    {"observed_share", "Observed", "Share of the length with an observed condition", "0-1", HN_VIEW_REAL, 4, NULL, 0},
    MONEY("cost", "Cost", "Cost of its segments; of a committed one its contract sum, where given"),
    MONEY("expected_loss_per_year", "Expected loss", "Expected loss of its segments in the next year"),
    MONEY("loss_avoided", "Loss avoided", "Present value of the loss that it avoids in its year"),
    WHOLE("best_priority", "Best priority", "Best rank among its segments"),
    TEXT("district", "District", "District of its best-ranked segment"),
    TEXT("members", "Members", "Segments, by id"),
};
static const hn_view_column unfunded_columns[] = {
    WHOLE("priority", "Priority", "Rank"),
    TEXT("segment_id", "Segment", "Segment with work to do but no money"),
    TEXT("method", "Method", "Chosen method"),
    MONEY("cost", "Cost", "Cost of the chosen method"),
    MONEY("expected_loss_per_year", "Expected loss", "Expected loss in the next year"),
    MONEY("loss_avoided", "Loss avoided", "Present value of the loss avoided when done in the first year"),
    {"loss_avoided_per_cost", "Loss avoided per cost", "Loss avoided over cost", "-", HN_VIEW_REAL, 3, NULL, 0},
    {"is_act_now", "Act now", "On the act-now list", "", HN_VIEW_BOOL, 0, NULL, 0},
    TEXT("street", "Street", "Street"),
    TEXT("district", "District", "District"),
};
#undef MONEY
#undef TEXT
#undef WHOLE

static const char *project_name(const hn_programme_views *v, const hn_project *p,
                                hn_scratch *scratch)
{
    const char *street = "";

    for (size_t i = p->first; i < p->first + p->count && !street[0]; i++)
        street = hn_table_text(v->table, HN_COL_STREET, v->member[i]);
    return hn_scratch_printf(scratch, "%s%s%s", street, street[0] ? ", " : "",
                             p->method == HN_CODE_MISSING ? "method open"
                                                          : v->plan->config.methods[p->method].title);
}

/* Ids of the members, cut with "..." when they are too many to read. */
static const char *member_ids(const hn_programme_views *v, const hn_project *p,
                              hn_scratch *scratch)
{
    char text[2048];
    size_t used = 0;

    for (size_t i = p->first; i < p->first + p->count; i++) {
        const char *id = hn_table_text(v->table, HN_COL_SEGMENT_ID, v->member[i]);
        size_t n = strlen(id);

        if (used + n + 8 > sizeof text) {
            memcpy(text + used, "; ...", 5);
            used += 5;
            break;
        }
        if (used) {
            memcpy(text + used, "; ", 2);
            used += 2;
        }
        memcpy(text + used, id, n);
        used += n;
    }
    text[used] = '\0';
    return hn_scratch_copy(scratch, text);
}

static const char *best_district(const hn_programme_views *v, const hn_project *p)
{
    for (size_t i = p->first; i < p->first + p->count; i++)
        if (HN_I32(v->table, PRIORITY)[v->member[i]] == p->best_priority)
            return hn_table_text(v->table, HN_COL_DISTRICT, v->member[i]);
    return "";
}

static void project_row(const void *context, size_t row, hn_cell *cells, hn_scratch *scratch)
{
    const hn_programme_views *v = context;
    const hn_project *p = &v->project[row];

    hn_cell_int(&cells[0], (int64_t)row + 1);
    hn_cell_text(&cells[1], project_name(v, p, scratch));
    hn_cell_int(&cells[2], p->year);
    hn_cell_text(&cells[3], p->committed ? "committed" : "funded");
    hn_cell_text(&cells[4], p->method == HN_CODE_MISSING ? "" : v->plan->config.methods[p->method].id);
    hn_cell_int(&cells[5], (int64_t)p->count);
    hn_cell_real(&cells[6], p->length_m);
    hn_cell_real(&cells[7], p->observed_m / p->length_m);
    hn_cell_real(&cells[8], p->cost);
    hn_cell_real(&cells[9], p->loss_now);
    hn_cell_real(&cells[10], p->loss_avoided);
    hn_cell_int(&cells[11], p->best_priority);
    hn_cell_text(&cells[12], best_district(v, p));
    hn_cell_text(&cells[13], member_ids(v, p, scratch));
}

static void project_shape(const void *context, size_t row, hn_shape_ref *out, hn_scratch *scratch)
{
    const hn_programme_views *v = context;
    const hn_project *p = &v->project[row];
    const hn_lines *l = &v->table->lines;
    size_t parts = 0;

    memset(out, 0, sizeof *out);
    for (size_t i = p->first; i < p->first + p->count; i++) {
        size_t member = v->member[i];

        for (size_t k = l->start[member]; k < l->start[member + 1]; k++) {
            if (k > l->start[member] && !(l->break_before && l->break_before[k])) {
                scratch->points[parts - 1]++;
                continue;
            }
            if (!hn_scratch_parts(scratch, parts + 1))
                return;
            scratch->xy[parts] = l->xy + 2 * k;
            scratch->z[parts] = l->z ? l->z + k : NULL;
            scratch->points[parts++] = 1;
        }
    }
    out->part_count = parts;
    out->xy = scratch->xy;
    out->z = l->z ? scratch->z : NULL;
    out->points = scratch->points;
}

enum { ROWS_AHEAD = 8 };

/* The list is by priority and the table is not, so each cell would wait for
 * memory: ask for it a few rows ahead. */
static void fetch_ahead(const hn_programme_views *v, size_t place)
{
    static const hn_column_id wanted[] = {HN_COL_PRIORITY, HN_COL_SEGMENT_ID, HN_COL_METHOD,
                                          HN_COL_COST,     HN_COL_LOSS_NOW,   HN_COL_LOSS_AVOIDED,
                                          HN_COL_ACT_NOW,  HN_COL_STREET,     HN_COL_DISTRICT};
    const hn_table *t = v->table;

    if (place + ROWS_AHEAD >= v->unfunded_view.rows)
        return;
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++)
        if (t->column[wanted[i]])
            __builtin_prefetch((const char *)t->column[wanted[i]] +
                               v->unfunded[place + ROWS_AHEAD] *
                                   hn_kind_size(hn_column_definition(wanted[i])->kind));
}

static void unfunded_row(const void *context, size_t place, hn_cell *cells, hn_scratch *scratch)
{
    const hn_programme_views *v = context;
    const hn_table *t = v->table;
    size_t row = v->unfunded[place];
    uint8_t method = HN_CODE(t, METHOD)[row];

    (void)scratch;
    fetch_ahead(v, place);
    hn_cell_int(&cells[0], HN_I32(t, PRIORITY)[row]);
    hn_cell_text(&cells[1], hn_table_text(t, HN_COL_SEGMENT_ID, row));
    hn_cell_text(&cells[2], v->plan->config.methods[method].id);
    hn_cell_real(&cells[3], hn_f64(t, HN_COL_COST, row));
    hn_cell_real(&cells[4], hn_f64(t, HN_COL_LOSS_NOW, row));
    hn_cell_real(&cells[5], hn_f64(t, HN_COL_LOSS_AVOIDED, row));
    hn_cell_real(&cells[6], hn_table_derived(t, HN_COL_LOSS_AVOIDED_PER_COST, row));
    hn_cell_int(&cells[7], hn_code(t, HN_COL_ACT_NOW, row) != HN_CODE_MISSING);
    hn_cell_text(&cells[8], hn_table_text(t, HN_COL_STREET, row));
    hn_cell_text(&cells[9], hn_table_text(t, HN_COL_DISTRICT, row));
}

/* Members by project, rows in order inside each: a counting sort. */
static void gather_members(hn_programme_views *v)
{
    const int32_t *project = HN_I32(v->table, PROJECT);
    size_t at = 0;

    for (size_t row = 0; row < v->table->rows; row++)
        if (project[row] != HN_I32_MISSING)
            v->project[project[row] - 1].count++;
    for (size_t p = 0; p < v->projects; p++) {
        v->project[p].first = at;
        at += v->project[p].count;
        v->project[p].count = 0;
    }
    for (size_t row = 0; row < v->table->rows; row++) {
        hn_project *p;

        if (project[row] == HN_I32_MISSING)
            continue;
        p = &v->project[project[row] - 1];
        v->member[p->first + p->count++] = (uint32_t)row;
    }
}

static double stated_cost(const hn_commitment *commitments, size_t count, size_t row,
                          double estimate)
{
    for (size_t i = 0; i < count; i++)
        if (commitments[i].row == row && !isnan(commitments[i].cost))
            return commitments[i].cost;
    return isnan(estimate) ? 0.0 : estimate;
}

static void add_up(hn_programme_views *v, const hn_outlook *outlook, const hn_loss *loss,
                   const hn_commitment *commitments, size_t commitment_count)
{
    const hn_table *t = v->table;

    for (size_t i = 0; i < v->projects; i++) {
        hn_project *p = &v->project[i];

        p->best_priority = INT32_MAX;
        for (size_t m = p->first; m < p->first + p->count; m++) {
            size_t row = v->member[m];
            double cost[HN_OUTLOOK_DRIVERS] = {hn_f64(t, HN_COL_CONSEQUENCE_MONEY, row),
                                               hn_f64(t, HN_COL_CONSEQUENCE_SERVICE, row),
                                               hn_f64(t, HN_COL_CONSEQUENCE_TIGHTNESS, row)};
            double length = hn_f64(t, HN_COL_LENGTH_M, row), money = hn_f64(t, HN_COL_COST, row);

            p->year = HN_I32(t, YEAR)[row];
            p->method = HN_CODE(t, METHOD)[row];
            p->committed |= HN_CODE(t, PROGRAMME)[row] == HN_PROGRAMME_COMMITTED;
            if (HN_CODE(t, PROGRAMME)[row] == HN_PROGRAMME_COMMITTED)
                money = stated_cost(commitments, commitment_count, row, money);
            p->length_m += isnan(length) ? 0.0 : length;
            if (hn_code(t, HN_COL_CONDITION_BASIS, row) == HN_BASIS_OBSERVED && !isnan(length))
                p->observed_m += length;
            p->cost += isnan(money) ? 0.0 : money;
            p->loss_now += hn_f64(t, HN_COL_LOSS_NOW, row);
            if (p->method != HN_CODE_MISSING)
                p->loss_avoided += hn_loss_avoided(loss, outlook, row, p->method,
                                                   (size_t)(p->year - v->plan->first_year), cost);
            if (HN_I32(t, PRIORITY)[row] < p->best_priority)
                p->best_priority = HN_I32(t, PRIORITY)[row];
        }
        v->project_cost += p->cost;
    }
}

static hn_status list_unfunded(hn_programme_views *v, const uint32_t *by_priority,
                               hn_arena *arena, hn_error *err)
{
    size_t count = 0;

    for (size_t row = 0; row < v->table->rows; row++)
        count += HN_CODE(v->table, PROGRAMME)[row] == HN_PROGRAMME_UNFUNDED;
    v->unfunded = hn_arena_alloc(arena, count, sizeof *v->unfunded);
    if (!v->unfunded)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    count = 0;
    for (size_t i = 0; i < v->table->rows; i++)
        if (HN_CODE(v->table, PROGRAMME)[by_priority[i]] == HN_PROGRAMME_UNFUNDED)
            v->unfunded[count++] = by_priority[i];
    v->unfunded_view = (hn_view){.name = "unfunded",
                                 .title = "Work without money",
                                 .meaning = "Segments with work that the budgets do not reach, by priority.",
                                 .columns = unfunded_columns,
                                 .column_count = sizeof unfunded_columns / sizeof unfunded_columns[0],
                                 .rows = count,
                                 .context = v,
                                 .row = unfunded_row};
    return HN_OK;
}

hn_status hn_programme_views_make(const hn_table *table, const hn_plan *plan,
                                  const hn_outlook *outlook, const hn_loss *loss,
                                  const hn_commitment *commitments, size_t commitment_count,
                                  size_t projects, const uint32_t *by_priority, hn_arena *arena,
                                  hn_programme_views *out, hn_error *err)
{
    memset(out, 0, sizeof *out);
    out->table = table;
    out->plan = plan;
    out->projects = projects;
    out->project = hn_arena_alloc(arena, projects, sizeof *out->project);
    out->member = hn_arena_alloc(arena, table->rows, sizeof *out->member);
    if (!out->project || !out->member)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    gather_members(out);
    add_up(out, outlook, loss, commitments, commitment_count);
    out->project_view = (hn_view){.name = "projects",
                                  .title = "Projects of the programme",
                                  .meaning = "Funded segments of one year and method that meet at a node.",
                                  .geometry = HN_GEOMETRY_LINE,
                                  .columns = project_columns,
                                  .column_count = sizeof project_columns / sizeof project_columns[0],
                                  .rows = projects,
                                  .context = out,
                                  .row = project_row,
                                  .shape = project_shape};
    return list_unfunded(out, by_priority, arena, err);
}
