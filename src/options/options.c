#include "options/options.h"

#include "base/alloc.h"
#include "engineering/economics.h"
#include "options/choose.h"
#include "options/options_state.h"
#include "table/condition_run.h"

#include <stdatomic.h>
#include <stdio.h>
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

/* ---- getting ready ---- */

static int item_named(const hn_config *config, const char *id)
{
    for (size_t i = 0; id && i < config->item_count; i++)
        if (strcmp(config->items[i].id, id) == 0)
            return (int)i;
    return -1;
}

static void set_bit(hn_rule_word *words, size_t bit)
{
    words[bit / HN_WORD_BITS] |= (hn_rule_word)(1U << bit % HN_WORD_BITS);
}

static void mask_rules(hn_options *o)
{
    const hn_config *config = &o->plan->config;

    for (size_t r = 0; r < config->rule_count; r++) {
        const hn_method_rule *rule = &config->rules[r];

        if (rule->verdict == HN_VERDICT_RULED_OUT)
            set_bit(o->ruled_out[rule->method], r);
        else if (rule->verdict == HN_VERDICT_AFTER_WORKS && o->rule_item[r] >= 0)
            set_bit(o->after_works[rule->method], r);
        if (rule->unknown_cannot_tell)
            set_bit(o->cannot_tell[rule->method], (size_t)o->unknown_bit[r]);
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

/* ---- the batch ---- */

typedef struct options_job {
    hn_options *o;
    size_t rules;
    atomic_size_t findings[HN_FINDING_COUNT];
} options_job;

static void note_rules(hn_options *o, size_t rules, size_t begin, size_t end, const uint8_t *truth,
                       size_t stride)
{
    for (size_t r = 0; r < rules; r++)
        for (size_t row = begin; row < end; row++) {
            hn_rule_word bit = (hn_rule_word)(1U << r % HN_WORD_BITS);
            uint8_t value = truth[r * stride + (row - begin)];

            if (value == HN_TRUE)
                o->holds[row * o->words + r / HN_WORD_BITS] |= bit;
            else if (value == HN_UNKNOWN && o->unknown_bit[r] >= 0)
                set_bit(o->unknown + row * o->unknown_words, (size_t)o->unknown_bit[r]);
        }
}

static void note_items(hn_options *o, size_t rules, size_t begin, size_t end, const uint8_t *truth,
                       size_t stride)
{
    for (size_t i = 0; i < o->plan->config.item_count; i++)
        for (size_t row = begin; row < end; row++)
            if (truth[(rules + i) * stride + (row - begin)] == HN_TRUE)
                o->item_holds[row] |= (uint64_t)1 << i;
}

static uint8_t code_or_missing(int method)
{
    return method < 0 ? (uint8_t)HN_CODE_MISSING : (uint8_t)method;
}

static double saving_of(const hn_options *o, const hn_option *options, const hn_choice *c)
{
    hn_method_kind kind = o->plan->config.methods[c->chosen].kind;
    int other = kind == HN_METHOD_LINING        ? c->best_replacement
                : kind == HN_METHOD_REPLACEMENT ? c->best_lining
                                                : -1;

    return other < 0 ? (double)NAN : options[other].horizon_cost - options[c->chosen].horizon_cost;
}

static void store_choice(hn_options *o, size_t row, const hn_option *options, const hn_choice *c)
{
    hn_table *t = o->table;
    const hn_option *chosen;

    HN_CODE(t, METHOD)[row] = code_or_missing(c->chosen);
    HN_CODE(t, BEST_LINING)[row] = code_or_missing(c->best_lining);
    HN_CODE(t, BEST_REPLACEMENT)[row] = code_or_missing(c->best_replacement);
    HN_CODE(t, RUNNER_UP)[row] = code_or_missing(c->runner_up);
    if (c->best_lining >= 0)
        HN_F64(t, LINING_COST)[row] = options[c->best_lining].cost;
    if (c->best_replacement >= 0)
        HN_F64(t, REPLACEMENT_COST)[row] = options[c->best_replacement].cost;
    if (c->chosen < 0)
        return;
    chosen = &options[c->chosen];
    HN_CODE(t, VERDICT)[row] = (uint8_t)chosen->verdict;
    HN_F64(t, COST)[row] = chosen->cost;
    HN_F32(t, SAVING)[row] = (float)saving_of(o, options, c);
    HN_F64(t, LOSS_AVOIDED)[row] = chosen->loss_avoided;
    HN_CODE(t, SPECIAL_DESIGN)[row] = (chosen->findings & HN_FIND_SPECIAL_DESIGN) != 0;
    HN_CODE(t, COST_INCOMPLETE)[row] = (chosen->findings & HN_FIND_QUANTITY_UNKNOWN) != 0;
    HN_F32(t, WALL_MM)[row] = (float)chosen->wall_mm;
    HN_F32(t, BORE_AFTER_MM)[row] = (float)chosen->bore_after_mm;
    HN_F32(t, CAPACITY_RATIO)[row] = (float)chosen->capacity_ratio;
}

void hn_options_force(hn_options *o, size_t row, int method)
{
    hn_option options[HN_MAX_METHODS];
    hn_choice choice;

    for (int m = 0; m < (int)o->plan->config.method_count; m++)
        hn_option_evaluate(o, row, m, &options[m]);
    choice = hn_choose(o, options);
    if (choice.chosen != method)
        choice.runner_up = choice.chosen;
    choice.chosen = method;
    store_choice(o, row, options, &choice);
}

static void evaluate_block(void *context, size_t begin, size_t end, const uint8_t *truth,
                           size_t stride)
{
    options_job *job = context;
    hn_options *o = job->o;
    hn_option options[HN_MAX_METHODS];

    note_rules(o, job->rules, begin, end, truth, stride);
    note_items(o, job->rules, begin, end, truth, stride);
    for (size_t row = begin; row < end; row++) {
        hn_host host;
        hn_choice choice;
        unsigned found;

        hn_option_look_at_host(o, row, &host);
        host.skips_impossible = 1;
        for (int m = 0; m < (int)o->plan->config.method_count; m++)
            hn_option_evaluate_host(o, row, m, &host, &options[m]);
        choice = hn_choose(o, options);
        store_choice(o, row, options, &choice);
        found = choice.chosen < 0 ? 0 : options[choice.chosen].findings;
        for (int f = 0; f < HN_FINDING_COUNT; f++)
            if (found >> f & 1)
                atomic_fetch_add_explicit(&job->findings[f], 1, memory_order_relaxed);
    }
}

typedef struct rule_texts {
    const char *expression[HN_MAX_RULES + HN_ITEMS_MAX];
    const char *where[HN_MAX_RULES + HN_ITEMS_MAX];
    char text[HN_MAX_RULES + HN_ITEMS_MAX][96];
} rule_texts;

static size_t gather_texts(const hn_config *config, rule_texts *texts)
{
    size_t n = 0;

    for (size_t r = 0; r < config->rule_count; r++, n++) {
        texts->expression[n] = config->rules[r].condition;
        snprintf(texts->text[n], sizeof texts->text[0], "method rules, rule %.70s",
                 config->rules[r].id);
        texts->where[n] = texts->text[n];
    }
    for (size_t i = 0; i < config->item_count; i++, n++) {
        texts->expression[n] = config->items[i].condition ? config->items[i].condition : "1";
        snprintf(texts->text[n], sizeof texts->text[0], "cost items, item %.70s",
                 config->items[i].id);
        texts->where[n] = texts->text[n];
    }
    return n;
}

hn_status hn_options_run(hn_options *o, int threads, hn_error *err)
{
    options_job *job = hn_alloc(1, sizeof *job);
    rule_texts *texts = hn_alloc(1, sizeof *texts);
    size_t count;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(job);
    HN_TRY_ALLOC(texts);
    hn_options_size(o, threads);
    job->o = o;
    job->rules = o->plan->config.rule_count;
    count = gather_texts(&o->plan->config, texts);
    HN_TRY(hn_condition_run_truth(o->table, texts->expression, texts->where, count, threads,
                                  evaluate_block, job, err));
    for (int f = 0; f < HN_FINDING_COUNT; f++)
        o->findings[f] = atomic_load(&job->findings[f]);
out:
    hn_free(job);
    hn_free(texts);
    return rc;
}

const size_t *hn_option_finding_counts(const hn_options *o)
{
    return o->findings;
}

int hn_option_deciding(const hn_table *table, size_t row, int methods[4])
{
    static const hn_column_id ids[4] = {HN_COL_METHOD, HN_COL_BEST_LINING, HN_COL_BEST_REPLACEMENT,
                                        HN_COL_RUNNER_UP};
    int count = 0;

    for (int i = 0; i < 4; i++) {
        uint8_t method = hn_code(table, ids[i], row);
        int seen = method == HN_CODE_MISSING;

        for (int k = 0; k < count; k++)
            seen = seen || methods[k] == method;
        if (!seen)
            methods[count++] = method;
    }
    return count;
}
