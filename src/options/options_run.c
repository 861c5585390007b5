/* The batch: every method on every segment, block by block, and the choice into
 * the columns. */
#include "options/options.h"

#include "base/alloc.h"
#include "options/choose.h"
#include "options/options_state.h"
#include "table/condition_run.h"

#include <stdatomic.h>
#include <stdio.h>
#include <time.h>

typedef struct options_job {
    hn_options *o;
    size_t rules;
    atomic_size_t findings[HN_FINDING_COUNT];
    atomic_llong design_ns;
} options_job;

static long long thread_ns(void)
{
    struct timespec t;

    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
    return (long long)t.tv_sec * 1000000000 + t.tv_nsec;
}

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
                hn_set_bit(o->unknown + row * o->unknown_words, (size_t)o->unknown_bit[r]);
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
    long long began_ns;

    note_rules(o, job->rules, begin, end, truth, stride);
    note_items(o, job->rules, begin, end, truth, stride);
    began_ns = thread_ns();
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
    atomic_fetch_add_explicit(&job->design_ns, thread_ns() - began_ns, memory_order_relaxed);
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
    o->design_s = 1e-9 * (double)atomic_load(&job->design_ns);
out:
    hn_free(job);
    hn_free(texts);
    return rc;
}

double hn_options_design_s(const hn_options *o)
{
    return o->design_s;
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
