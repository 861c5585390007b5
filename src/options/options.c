/* Getting ready: rules, items, texts, money and memory of the methods. */
#include "options/options.h"

#include "base/alloc.h"
#include "engineering/economics.h"
#include "options/options_state.h"

#include <string.h>

static const hn_column_id mine[] = {
    HN_COL_METHOD,       HN_COL_VERDICT,          HN_COL_BEST_LINING, HN_COL_BEST_REPLACEMENT,
    HN_COL_RUNNER_UP,    HN_COL_COST,
    HN_COL_LINING_COST,  HN_COL_REPLACEMENT_COST, HN_COL_SAVING,
    HN_COL_SPECIAL_DESIGN, HN_COL_COST_INCOMPLETE, HN_COL_WALL_MM,    HN_COL_BORE_AFTER_MM,
    HN_COL_CAPACITY_RATIO, HN_COL_LOSS_AVOIDED,   HN_COL_NEW_WIDTH_MM};
/* only where a flow is asked for */
static const hn_column_id of_flow[] = {HN_COL_CAPACITY, HN_COL_FILL, HN_COL_VELOCITY,
                                       HN_COL_SURCHARGED, HN_COL_SELF_CLEANSING};

static int item_named(const hn_config *config, const char *id)
{
    for (size_t i = 0; id && i < config->item_count; i++)
        if (strcmp(config->items[i].id, id) == 0)
            return (int)i;
    return -1;
}

static void mask_rules(hn_options *o)
{
    const hn_config *config = &o->plan->config;

    for (size_t r = 0; r < config->rule_count; r++) {
        const hn_method_rule *rule = &config->rules[r];

        if (rule->verdict == HN_VERDICT_RULED_OUT)
            hn_set_bit(o->ruled_out[rule->method], r);
        else if (rule->verdict == HN_VERDICT_AFTER_WORKS && o->rule_item[r] >= 0)
            hn_set_bit(o->after_works[rule->method], r);
        if (rule->unknown_cannot_tell)
            hn_set_bit(o->cannot_tell[rule->method], (size_t)o->unknown_bit[r]);
    }
}

static void mask_items(hn_options *o)
{
    const hn_config *config = &o->plan->config;

    for (size_t i = 0; i < config->item_count; i++) {
        if (config->items[i].is_works)
            o->works_items |= (uint64_t)1 << i;
        for (size_t m = 0; m < config->method_count; m++)
            if (config->items[i].methods >> m & 1)
                o->items_of[m] |= (uint64_t)1 << i;
    }
}

static void order_rules(hn_options *o)
{
    const hn_config *config = &o->plan->config;
    size_t at = 0;

    for (size_t m = 0; m <= HN_MAX_METHODS; m++) {
        o->first_rule[m] = at;
        for (size_t r = 0; r < config->rule_count && m < HN_MAX_METHODS; r++)
            if (config->rules[r].method == (int)m)
                o->rule_order[at++] = (uint16_t)r;
    }
    at = 0;
    for (size_t r = 0; r < config->rule_count; r++) {
        o->rule_item[r] = item_named(config, config->rules[r].works);
        o->unknown_bit[r] = config->rules[r].unknown_cannot_tell ? (int16_t)at++ : -1;
    }
    o->unknown_words = (at + HN_WORD_BITS - 1) / HN_WORD_BITS;
    mask_rules(o);
    mask_items(o);
}

static uint32_t text_of(const hn_options *o, const char *text)
{
    return hn_text_pool_find(o->table->texts, text, strlen(text));
}

static hn_host_surface face_of_material(const char *id)
{
    if (strcmp(id, "brick") == 0 || strcmp(id, "masonry") == 0 || strcmp(id, "unknown") == 0)
        return HN_HOST_BRICK;
    return strcmp(id, "corrugated metal") == 0 ? HN_HOST_CORRUGATED : HN_HOST_SMOOTH;
}

static hn_status look_up_materials(hn_options *o, hn_error *err)
{
    const hn_config *config = &o->plan->config;
    hn_status rc = HN_OK;

    for (size_t i = 0; i < config->material_count; i++) {
        uint32_t text = text_of(o, config->materials[i].id);

        o->texts = text >= o->texts ? text + 1 : o->texts;
    }
    o->material_n = hn_alloc(o->texts, sizeof *o->material_n);
    o->material_face = hn_alloc(o->texts, 1);
    HN_TRY_ALLOC(o->material_n);
    HN_TRY_ALLOC(o->material_face);
    o->n_unknown = (double)NAN;
    for (uint32_t i = 0; i < o->texts; i++) {
        o->material_n[i] = (double)NAN;
        o->material_face[i] = HN_HOST_BRICK;
    }
    for (size_t i = 0; i < config->material_count; i++) {
        const hn_material *m = &config->materials[i];
        uint32_t text = text_of(o, m->id);

        if (text) {
            o->material_n[text] = m->manning_n;
            o->material_face[text] = (uint8_t)face_of_material(m->id);
        }
        if (strcmp(m->id, "unknown") == 0)
            o->n_unknown = m->manning_n;
    }
out:
    return rc;
}

/* A surface that no segment has gets a number that none can have. */
static uint32_t surface_of(const hn_options *o, const char *name)
{
    uint32_t text = text_of(o, name);

    return text ? text : UINT32_MAX;
}

static void look_up_surfaces(hn_options *o)
{
    o->road_surfaces[0] = surface_of(o, "main road");
    o->road_surfaces[1] = surface_of(o, "minor road");
    o->footway = surface_of(o, "footway");
}

static void prepare_money(hn_options *o)
{
    const hn_plan *plan = o->plan;
    double rate = plan->discount_pct / 100.0;

    o->watch = -1;
    o->n_new_pipe = (double)NAN;
    for (size_t m = 0; m < plan->config.method_count; m++) {
        const hn_method *method = &plan->config.methods[m];

        o->yearly[m] = method->life_years > 0.0 ? hn_factor_ap(rate, method->life_years) : 0.0;
        if (method->kind == HN_METHOD_WATCH)
            o->watch = (int)m;
        if (method->kind == HN_METHOD_REPLACEMENT)
            o->n_new_pipe = fmax(o->n_new_pipe, method->manning_n);
        if (method->kind == HN_METHOD_REPLACEMENT && isnan(method->manning_n))
            o->new_pipe_as_host = 1;
    }
    hn_options_prepare_chains(o);
    o->markup = plan->rounding == HN_ROUND_EACH_STEP ? 0.0 : 1.0;
    for (size_t i = 0; i < plan->config.markup_count && o->markup > 0.0; i++)
        o->markup += (plan->config.markups[i].compound ? o->markup : 1.0) *
                     plan->config.markups[i].percent / 100.0;
}

static hn_status allocate(hn_options *o, hn_error *err)
{
    size_t rows = o->table->rows;
    hn_status rc = HN_OK;

    for (size_t i = 0; i < sizeof mine / sizeof mine[0]; i++)
        HN_TRY(hn_table_want(o->table, mine[i], err));
    for (size_t i = 0; o->table->column[HN_COL_FLOW_REQUIRED] && i < sizeof of_flow / sizeof of_flow[0];
         i++)
        HN_TRY(hn_table_want(o->table, of_flow[i], err));
    o->words = (o->plan->config.rule_count + HN_WORD_BITS - 1) / HN_WORD_BITS;
    o->holds = hn_alloc(rows * o->words, sizeof *o->holds);
    o->unknown = hn_alloc(rows * o->unknown_words, sizeof *o->unknown);
    o->item_holds = hn_alloc(rows, sizeof *o->item_holds);
    HN_TRY_ALLOC(o->holds);
    HN_TRY_ALLOC(o->unknown);
    HN_TRY_ALLOC(o->item_holds);
out:
    return rc;
}

hn_status hn_options_new(hn_table *table, const hn_plan *plan, const hn_outlook *outlook,
                         const hn_loss *loss, hn_options **out, hn_error *err)
{
    hn_options *o = hn_alloc(1, sizeof *o);
    hn_status rc = HN_OK;

    *out = NULL;
    HN_TRY_ALLOC(o);
    o->table = table;
    o->plan = plan;
    o->outlook = outlook;
    o->loss = loss;
    if (plan->config.rule_count > HN_MAX_RULES || plan->config.item_count > HN_ITEMS_MAX)
        HN_TRY(hn_fail(err, HN_ERR_PLAN, "more than %d method rules or %d cost items",
                       (int)HN_MAX_RULES, (int)HN_ITEMS_MAX));
    order_rules(o);
    prepare_money(o);
    HN_TRY(look_up_materials(o, err));
    look_up_surfaces(o);
    HN_TRY(hn_prices_new(&plan->config, table, &o->prices, err));
    HN_TRY(allocate(o, err));
    table->yearly_share = o->yearly;
    *out = o;
    o = NULL;
out:
    hn_options_free(o);
    return rc;
}

void hn_options_free(hn_options *o)
{
    if (!o)
        return;
    if (o->table->yearly_share == o->yearly)
        o->table->yearly_share = NULL;
    hn_prices_free(o->prices);
    hn_free(o->holds);
    hn_free(o->unknown);
    hn_free(o->item_holds);
    hn_free(o->place);
    hn_free(o->material_n);
    hn_free(o->material_face);
    hn_free(o);
}

/* Moves the kept rows to the front; they never move backwards. */
static void close_ranks(hn_options *o, const uint8_t *keep)
{
    uint32_t at = 0;

    for (size_t row = 0; row < o->table->rows; row++) {
        o->place[row] = at;
        if (!keep[row])
            continue;
        memmove(o->holds + at * o->words, o->holds + row * o->words, o->words * sizeof *o->holds);
        memmove(o->unknown + at * o->unknown_words, o->unknown + row * o->unknown_words,
                o->unknown_words * sizeof *o->unknown);
        o->item_holds[at++] = o->item_holds[row];
    }
}

static void *shrunk(void *block, size_t count, size_t size)
{
    void *smaller = hn_realloc(block, count, size);

    return smaller ? smaller : block;
}

hn_status hn_options_keep(hn_options *o, const uint8_t *keep, hn_error *err)
{
    size_t kept = 0;

    for (size_t row = 0; row < o->table->rows; row++)
        kept += keep[row] != 0;
    if (kept == o->table->rows)
        return HN_OK;
    o->place = hn_alloc(o->table->rows, sizeof *o->place);
    if (!o->place)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    close_ranks(o, keep);
    o->holds = shrunk(o->holds, kept * o->words, sizeof *o->holds);
    o->unknown = shrunk(o->unknown, kept * o->unknown_words, sizeof *o->unknown);
    o->item_holds = shrunk(o->item_holds, kept, sizeof *o->item_holds);
    return HN_OK;
}

hn_status hn_options_treatments(const hn_plan *plan, hn_treatment *out, hn_error *err)
{
    for (size_t m = 0; m < plan->config.method_count; m++) {
        const hn_method *method = &plan->config.methods[m];

        memcpy(out[m].treats, method->treats, sizeof out[m].treats);
        out[m].grade_after = method->grade_after;
        out[m].life_years = method->life_years;
        out[m].cohort_after = HN_NO_WORK;
        if (method->kind == HN_METHOD_WATCH)
            continue;
        out[m].cohort_after = HN_OWN_COHORT;
        if (!method->cohort_after)
            continue;
        for (size_t c = 0; c < plan->config.cohort_count; c++)
            if (strcmp(plan->config.cohorts[c].id, method->cohort_after) == 0)
                out[m].cohort_after = (int)c;
        if (out[m].cohort_after == HN_OWN_COHORT)
            return hn_fail(err, HN_ERR_PLAN, "methods: %s: no cohort is called \"%s\"",
                           method->id, method->cohort_after);
    }
    return HN_OK;
}
