/* The state of one variation: see run/sensitivity.h. */
#include "run/sensitivity.h"

#include "base/alloc.h"
#include "plan/vary.h"
#include "run/scenarios.h"
#include "run/stages.h"

#include <string.h>

/* The first stage whose result depends on the change; all after it run as well. */
static int first_stage(hn_vary_what what)
{
    switch (what) {
    case HN_VARY_FAILURE:
    case HN_VARY_DETERIORATION:
    case HN_VARY_HORIZON:
    case HN_VARY_DEFAULT:
        return HN_STAGE_CONDITION;
    case HN_VARY_CONSEQUENCE:
    case HN_VARY_NOT_KNOWN:
        return HN_STAGE_CONSEQUENCE;
    case HN_VARY_PRIORITY:
        return HN_STAGE_RISK;
    case HN_VARY_BUDGET:
        return HN_STAGE_PROGRAMME;
    default:
        return HN_STAGE_OPTIONS;
    }
}

static int stage_of_owner(const char *owner)
{
    static const struct {
        const char *owner;
        int stage;
    } owners[] = {{"condition", HN_STAGE_CONDITION}, {"consequence", HN_STAGE_CONSEQUENCE},
                  {"options", HN_STAGE_OPTIONS},     {"run", HN_STAGE_OPTIONS},
                  {"risk", HN_STAGE_RISK},           {"programme", HN_STAGE_PROGRAMME}};

    for (size_t i = 0; i < sizeof owners / sizeof *owners; i++)
        if (strcmp(owner, owners[i].owner) == 0)
            return owners[i].stage;
    return -1;
}

static int is_fresh(int column, int first)
{
    return stage_of_owner(hn_column_definition((hn_column_id)column)->owner) >= first;
}

static hn_status copy_column(hn_table *t, const hn_table *base, hn_column_id id, hn_error *err)
{
    hn_status rc = HN_OK;

    t->column[id] = NULL;
    HN_TRY(hn_table_want(t, id, err));
    memcpy(t->column[id], base->column[id], t->rows * hn_kind_size(hn_column_definition(id)->kind));
out:
    return rc;
}

/* Columns of the late stages are missing again, as they were at that point of the run. */
static hn_status share_table(const hn_state *base, hn_state *v, int first, hn_error *err)
{
    hn_status rc = HN_OK;

    v->table = hn_alloc(1, sizeof *v->table);
    HN_TRY_ALLOC(v->table);
    *v->table = *base->table;
    v->table->capacity = v->table->rows;
    for (int c = 0; c < HN_COL_COUNT; c++)
        if (is_fresh(c, first))
            v->table->column[c] = NULL;
    if (first <= HN_STAGE_OPTIONS) {
        v->table->yearly_share = NULL;
        /* facts were marked before; choices are marked again */
        if (base->table->column[HN_COL_OVERRIDDEN])
            HN_TRY(copy_column(v->table, base->table, HN_COL_OVERRIDDEN, err));
    }
out:
    return rc;
}

/* What the stages will fill is the variation's own. */
static void forget_results(hn_state *v, int first)
{
    memset(v->scenario, 0, sizeof v->scenario);
    memset(&v->issues, 0, sizeof v->issues);
    memset(&v->sensitivity, 0, sizeof v->sensitivity);
    v->override_state = NULL;
    v->commitments = v->commitments && first > HN_STAGE_OPTIONS ? v->commitments : NULL;
    if (first <= HN_STAGE_OPTIONS) {
        v->commitment_count = 0;
        v->judged = NULL;
        memset(&v->loss, 0, sizeof v->loss);
    }
    if (first <= HN_STAGE_CONSEQUENCE) {
        memset(&v->parts, 0, sizeof v->parts);
        memset(&v->scheme, 0, sizeof v->scheme);
    }
    if (first <= HN_STAGE_CONDITION)
        memset(&v->outlook, 0, sizeof v->outlook);
    v->options = NULL; /* nobody is told of its progress */
    v->summary = NULL;
    v->threads = 1; /* variations run side by side */
}

/* ---- a default, where it was filled in ---- */

static void put_default(hn_table *t, hn_column_id id, size_t row, const hn_vary_side *to,
                        uint32_t text)
{
    if (hn_column_definition(id)->kind == HN_KIND_STR)
        ((uint32_t *)t->column[id])[row] = text;
    else
        hn_table_set_number(t, id, row, to->number);
}

static hn_status change_default(const hn_state *base, hn_state *v, const hn_vary *vary,
                                const hn_vary_side *to, hn_error *err)
{
    static const hn_column_id derived[] = {HN_COL_BEND_DEG, HN_COL_DEPTH_M, HN_COL_COVER_M,
                                           HN_COL_SLOPE};
    const hn_column_id id = (hn_column_id)base->plan->defaults[vary->index].column;
    const uint8_t *filled = base->default_filled[vary->index];
    const uint32_t text =
        to->text ? hn_text_pool_find(v->table->texts, to->text, strlen(to->text)) : 0;
    hn_status rc = HN_OK;

    HN_TRY(copy_column(v->table, base->table, id, err));
    for (size_t row = 0; row < v->table->rows; row++)
        if (filled[row / 8] >> row % 8 & 1)
            put_default(v->table, id, row, to, text);
    for (size_t i = 0; i < sizeof derived / sizeof *derived; i++)
        v->table->column[derived[i]] = NULL;
    HN_TRY(hn_network_derive(v->table, &base->plane, 1, err));
out:
    return rc;
}

/* ---- the stages ---- */

static hn_status run_stages(hn_state *v, int first, hn_error *err)
{
    hn_status rc = HN_OK;

    for (int stage = first; stage < HN_STAGE_PROGRAMME; stage++)
        if (stage != HN_STAGE_NEARNESS) /* distances are never varied */
            HN_TRY(hn_run_stages[stage].run(v, err));
    HN_TRY(hn_scenarios_allocate(v, &v->scenario[1], err));
out:
    return rc;
}

int hn_variation_matters(const hn_state *base, size_t at)
{
    const hn_vary *vary = &base->plan->vary[at];
    const hn_factor_class *class;

    if (vary->what == HN_VARY_DEFAULT)
        return base->default_used[vary->index] > 0;
    if (vary->what != HN_VARY_NOT_KNOWN)
        return 1;
    class = &base->plan->config.factors[vary->index];
    for (size_t row = 0; row < base->table->rows; row++)
        if (base->parts.class_of[class->factor_index][row] == vary->index)
            return 1;
    return 0;
}

hn_status hn_variation_new(const hn_state *base, size_t at, int side, hn_state **out, hn_error *err)
{
    const hn_vary *vary = &base->plan->vary[at];
    const int first = first_stage(vary->what);
    hn_state *v = hn_alloc(1, sizeof *v);
    hn_plan *plan = hn_alloc(1, sizeof *plan);
    hn_status rc = HN_OK;

    *out = v;
    if (v) {
        *v = *base;
        forget_results(v, first);
        v->plan = plan;
        v->table = NULL;
        v->varies_from = first; /* says what is its own to free */
    }
    if (!v || !plan) {
        if (!v)
            hn_free(plan);
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    }
    HN_TRY(hn_vary_plan(base->plan, vary, side, plan, err));
    HN_TRY(share_table(base, v, first, err));
    HN_TRY(hn_issue_list_init(&v->issues, err));
    v->override_state = hn_alloc(plan->config.override_count, 1);
    HN_TRY_ALLOC(v->override_state);
    if (vary->what == HN_VARY_DEFAULT)
        HN_TRY(change_default(base, v, vary, &vary->side[side], err));
    HN_TRY(run_stages(v, first, err));
out:
    return rc;
}

static void free_own_columns(const hn_state *base, hn_state *v)
{
    for (int c = 0; v->table && c < HN_COL_COUNT; c++)
        if (v->table->column[c] != base->table->column[c])
            hn_free(v->table->column[c]);
    hn_free(v->table);
}

void hn_variation_free(const hn_state *base, hn_state *v)
{
    if (!v)
        return;
    hn_allocation_clear(&v->scenario[1].allocation);
    if (v->varies_from <= HN_STAGE_OPTIONS) {
        hn_options_free(v->judged);
        hn_loss_clear(&v->loss);
        hn_free(v->commitments);
    }
    if (v->varies_from <= HN_STAGE_CONSEQUENCE) {
        hn_consequence_parts_clear(&v->parts);
        hn_scheme_parts_clear(&v->scheme);
    }
    if (v->varies_from <= HN_STAGE_CONDITION)
        hn_outlook_clear(&v->outlook);
    hn_issue_list_clear(&v->issues);
    hn_free(v->override_state);
    free_own_columns(base, v);
    if (v->plan) {
        hn_arena_clear(&v->plan->arena);
        hn_free(v->plan);
    }
    hn_free(v);
}
