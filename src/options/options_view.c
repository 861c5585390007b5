#include "options/options_view.h"

#include "base/alloc.h"
#include "table/codes.h"

#include <string.h>

enum { REASON_MAX = 4096 };

static const hn_coded_value verdicts[] = {
    {"fits", "possible as the segment is"},
    {"fits after works", "possible once the works named in the reason are done; they are priced"},
    {"cannot tell", "a value that decides is missing and the plan gives no default"},
    {"ruled out", "not possible; every reason is kept"}};
static const hn_coded_value kinds[] = {{"watch", "no work"},
                                       {"maintenance", "clean, inspect again"},
                                       {"repair", "local repair"},
                                       {"lining", "renewal from inside"},
                                       {"replacement", "a new pipe"}};

#define MONEY(name, title, meaning) {name, title, meaning, "money", HN_VIEW_REAL, 2, NULL, 0}
static const hn_view_column columns[] = {
    {"segment_id", "Segment", "Segment", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"method", "Method", "Method of the catalogue", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"kind", "Kind", "Kind of method", "", HN_VIEW_TEXT, 0, kinds, 5},
    {"role", "Role", "chosen, best lining, best replacement, runner-up, or other", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"verdict", "Verdict", "Is it possible here?", "", HN_VIEW_TEXT, 0, verdicts, 4},
    {"reason", "Reason", "Every rule that speaks against it, asks for works, or warns", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"works", "Works first", "Works that must come first, priced", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"wall_mm", "Wall", "Finished wall", "mm", HN_VIEW_REAL, 1, NULL, 0},
    {"wall_required_mm", "Wall by formula", "Wall before rounding to what is made; circular flexible linings only", "mm", HN_VIEW_REAL, 2, NULL, 0},
    {"wall_governed_by", "Governed by", "Equation that decides the wall (docs/engineering/liner_walls.md)", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"bore_after_mm", "Bore after", "Clear width afterwards", "mm", HN_VIEW_REAL, 0, NULL, 0},
    {"n_before", "n before", "Manning roughness of the host", "s/m^(1/3)", HN_VIEW_REAL, 4, NULL, 0},
    {"n_after", "n after", "Manning roughness afterwards; the pair decides the sign of the change", "s/m^(1/3)", HN_VIEW_REAL, 4, NULL, 0},
    {"new_pipe_mm", "New pipe", "Inside width of the new pipe; replacements only", "mm", HN_VIEW_REAL, 0, NULL, 0},
    {"capacity_before_m3_per_s", "Capacity before", "Full-flow capacity as it is, less the allowance", "m3/s", HN_VIEW_REAL, 4, NULL, 0},
    {"capacity_after_m3_per_s", "Capacity after", "Full-flow capacity afterwards, less the same allowance", "m3/s", HN_VIEW_REAL, 4, NULL, 0},
    {"fill_after", "Filling after", "Depth over height at the required flow; 1 when surcharged; chosen method only", "0-1", HN_VIEW_REAL, 3, NULL, 0},
    {"velocity_after_m_per_s", "Velocity after", "Mean velocity at the required flow; chosen method only", "m/s", HN_VIEW_REAL, 2, NULL, 0},
    {"capacity_ratio", "Capacity ratio", "Full-flow capacity after over before", "-", HN_VIEW_REAL, 3, NULL, 0},
    {"price_width_mm", "Price size", "Equivalent size in the price table", "mm", HN_VIEW_REAL, 0, NULL, 0},
    {"rate_per_m", "Rate", "Price of the main work by length", "money/m", HN_VIEW_REAL, 2, NULL, 0},
    MONEY("main_cost", "Main work", "Rate times length"),
    MONEY("works_cost", "Works", "Works that come first"),
    MONEY("items_cost", "Beside it", "Laterals, bypass, traffic and other items"),
    MONEY("cost", "Cost", "With mark-ups"),
    MONEY("cost_low", "Cost low", "Low end of the estimate class"),
    MONEY("cost_high", "Cost high", "High end of the estimate class"),
    {"life_years", "Life", "Years before it must be done again", "years", HN_VIEW_REAL, 0, NULL, 0},
    MONEY("yearly_cost", "Yearly cost", "Equivalent annual cost over the life"),
    MONEY("horizon_cost", "Cost to horizon", "Present value of the work and of what follows it to the horizon, less the value of unused life"),
    MONEY("loss_avoided", "Loss avoided", "Present value of the loss avoided when done in the first year"),
    MONEY("net_benefit", "Net benefit", "Loss avoided less cost to horizon; the greatest is chosen"),
};
#undef MONEY
enum { COLUMNS = sizeof columns / sizeof columns[0] };

static const char *role_of(const hn_table *t, size_t row, int method)
{
    if (hn_code(t, HN_COL_METHOD, row) == method)
        return "chosen";
    if (hn_code(t, HN_COL_BEST_LINING, row) == method)
        return "best lining";
    if (hn_code(t, HN_COL_BEST_REPLACEMENT, row) == method)
        return "best replacement";
    return hn_code(t, HN_COL_RUNNER_UP, row) == method ? "runner-up" : "other";
}

static const char *works_text(const hn_options_view *v, const hn_option *option,
                              hn_scratch *scratch)
{
    char text[512];
    size_t used = 0;

    text[0] = '\0';
    for (size_t i = 0; i < v->plan->config.item_count; i++) {
        const char *title = v->plan->config.items[i].title;
        size_t n = strlen(title);

        if (!(option->works >> i & 1) || used + n + 3 > sizeof text)
            continue;
        if (used) {
            memcpy(text + used, "; ", 2);
            used += 2;
        }
        memcpy(text + used, title, n + 1);
        used += n;
    }
    return hn_scratch_copy(scratch, text);
}

static void options_row(const void *context, size_t line, hn_cell *cells, hn_scratch *scratch)
{
    const hn_options_view *v = context;
    size_t row = v->row[line];
    const hn_method *method = &v->plan->config.methods[v->method[line]];
    char reason[REASON_MAX];
    const double none = (double)NAN;
    const hn_normal_flow unanswered = {none, none, none, none, none, HN_UNANSWERED, HN_UNANSWERED};
    hn_cell *c = cells;
    hn_normal_flow flow;
    hn_option o;
    int is_designed;

    hn_option_evaluate(v->options, row, v->method[line], &o);
    flow = hn_code(v->table, HN_COL_METHOD, row) == v->method[line]
               ? hn_option_flow_after(v->options, row, &o)
               : unanswered;
    hn_option_reason(v->options, &o, row, reason, sizeof reason);
    is_designed = o.wall_input.diameter_mm > 0.0 && o.wall.status == HN_LINER_DESIGNED;
    hn_cell_text(c++, hn_table_text(v->table, HN_COL_SEGMENT_ID, row));
    hn_cell_text(c++, method->id);
    hn_cell_text(c++, kinds[method->kind].value);
    hn_cell_text(c++, role_of(v->table, row, v->method[line]));
    hn_cell_text(c++, hn_verdict_names[o.verdict]);
    hn_cell_text(c++, hn_scratch_copy(scratch, reason));
    hn_cell_text(c++, works_text(v, &o, scratch));
    hn_cell_real(c++, o.wall_mm);
    hn_cell_real(c++, is_designed ? o.wall.required_mm : (double)NAN);
    hn_cell_text(c++, is_designed ? hn_liner_governs_name(o.wall.governs, o.wall_input.era) : "");
    hn_cell_real(c++, o.bore_after_mm);
    hn_cell_real(c++, o.n_before);
    hn_cell_real(c++, o.n_after);
    hn_cell_real(c++, o.new_inside_mm);
    hn_cell_real(c++, o.capacity.before.flow_m3_per_s);
    hn_cell_real(c++, o.capacity_m3_per_s);
    hn_cell_real(c++, flow.fill_0_1);
    hn_cell_real(c++, flow.velocity_m_per_s);
    hn_cell_real(c++, o.capacity_ratio);
    hn_cell_real(c++, o.price_width_mm);
    hn_cell_real(c++, o.rate_per_m);
    hn_cell_real(c++, o.main_cost);
    hn_cell_real(c++, o.works_cost);
    hn_cell_real(c++, o.items_cost);
    hn_cell_real(c++, o.cost);
    hn_cell_real(c++, o.cost_low);
    hn_cell_real(c++, o.cost_high);
    hn_cell_real(c++, method->life_years);
    hn_cell_real(c++, o.yearly_cost);
    hn_cell_real(c++, o.horizon_cost);
    hn_cell_real(c++, o.loss_avoided);
    hn_cell_real(c++, o.net_benefit);
}

/* In a large network only segments that get money or cannot wait: what is asked
 * about first. The best lining and replacement of all others stand in the
 * segments layer, and `haunch explain` tells the rest. */
enum { LARGE_NETWORK = 100000 }; /* local rule */

static int is_asked_about(const hn_table *t, size_t row)
{
    uint8_t state = hn_code(t, HN_COL_PROGRAMME, row);

    if (t->rows <= LARGE_NETWORK)
        return state != HN_PROGRAMME_NO_WORK || hn_code(t, HN_COL_ACT_NOW, row) != HN_CODE_MISSING;
    return state == HN_PROGRAMME_FUNDED || state == HN_PROGRAMME_COMMITTED ||
           hn_code(t, HN_COL_ACT_NOW, row) != HN_CODE_MISSING;
}

static int all_methods(const hn_plan *plan, int methods[HN_MAX_METHODS])
{
    for (int m = 0; m < (int)plan->config.method_count; m++)
        methods[m] = m;
    return (int)plan->config.method_count;
}

/* Methods shown for a row, in catalogue order for all, by role for deciding;
 * where nothing fits every method says why. */
static int shown_methods(const hn_table *t, const hn_plan *plan, size_t row,
                         int methods[HN_MAX_METHODS])
{
    int count;

    if (plan->options_detail == HN_DETAIL_ALL)
        return all_methods(plan, methods);
    if (!is_asked_about(t, row))
        return 0;
    count = hn_option_deciding(t, row, methods);
    return count ? count : all_methods(plan, methods);
}

/* Only the rows that the table shows are worked out again. */
static hn_status keep_shown(hn_options *options, const hn_table *t, const hn_plan *plan,
                            hn_error *err)
{
    uint8_t *keep = hn_alloc(t->rows, 1);
    int methods[HN_MAX_METHODS];
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(keep);
    for (size_t row = 0; row < t->rows; row++)
        keep[row] = shown_methods(t, plan, row, methods) > 0;
    HN_TRY(hn_options_keep(options, keep, err));
out:
    hn_free(keep);
    return rc;
}

hn_status hn_options_view_make(hn_options *options, const hn_table *table,
                               const hn_plan *plan, const uint32_t *by_priority, hn_arena *arena,
                               hn_options_view *out, hn_error *err)
{
    int methods[HN_MAX_METHODS];
    size_t lines = 0;
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out);
    out->options = options;
    out->table = table;
    out->plan = plan;
    for (size_t row = 0; row < table->rows; row++)
        lines += (size_t)shown_methods(table, plan, row, methods);
    out->row = hn_arena_alloc(arena, lines, sizeof *out->row);
    out->method = hn_arena_alloc(arena, lines, sizeof *out->method);
    if (!out->row || !out->method)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for %zu options", lines);
    HN_TRY(keep_shown(options, table, plan, err));
    lines = 0;
    for (size_t i = 0; i < table->rows; i++) {
        size_t row = by_priority ? by_priority[i] : i;
        int n = shown_methods(table, plan, row, methods);

        for (int k = 0; k < n; k++) {
            out->row[lines] = (uint32_t)row;
            out->method[lines++] = (uint8_t)methods[k];
        }
    }
    out->view = (hn_view){.name = "options",
                          .title = "Methods judged for each segment",
                          .meaning = "Verdict, reasons, design, cost and benefit of each method. "
                                     "Screening and planning level, not a design.",
                          .columns = columns,
                          .column_count = COLUMNS,
                          .rows = lines,
                          .context = out,
                          .row = options_row};
out:
    return rc;
}
