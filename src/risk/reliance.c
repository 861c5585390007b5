/* How much of an expected loss rests on what nobody recorded or saw. The loss is a sum
 * over drivers and consequence factors; each term is counted that rests on a default, or
 * on a grade that was not observed. */
#include "base/alloc.h"
#include "risk/risk.h"
#include "table/attribute.h"
#include "table/condition_run.h"

#include <string.h>

typedef struct reliance_job {
    hn_table *table;
    const hn_plan *plan;
    const hn_consequence_parts *parts;
    const uint64_t *taken;         /* per row: defaults of the plan it took, or NULL */
    uint64_t reads[HN_PARTS_MAX];  /* per factor: defaults whose attribute it reads */
    const char **expression;       /* conditions of the classes, then their money */
    const char **where;
} reliance_job;

static void see(void *context, size_t i, const char *column)
{
    reliance_job *job = context;
    const hn_config *c = &job->plan->config;
    const size_t factor = (size_t)c->factors[i % c->factor_class_count].factor_index;

    for (size_t d = 0; d < job->plan->default_count && d < HN_RELIANCE_DEFAULTS; d++) {
        const hn_column_id id = (hn_column_id)job->plan->defaults[d].column;

        if (strcmp(hn_attribute_of(hn_column_definition(id)->name), hn_attribute_of(column)) == 0)
            job->reads[factor] |= (uint64_t)1 << d;
    }
}

/* A class before the one that was taken could not be told: the class is the one for
 * values that are not known, or may be. */
static int is_passed_over(const reliance_job *job, size_t factor, uint8_t taken,
                          const uint8_t *truth, size_t stride)
{
    const hn_config *c = &job->plan->config;

    for (size_t i = 0; i < taken; i++)
        if ((size_t)c->factors[i].factor_index == factor && truth[i * stride] == HN_UNKNOWN)
            return 1;
    return 0;
}

static void fill_row(const reliance_job *job, size_t row, const uint8_t *truth, size_t stride)
{
    static const hn_column_id chance[HN_DRIVERS] = {
        HN_COL_CHANCE_STRUCTURAL, HN_COL_CHANCE_SERVICE, HN_COL_CHANCE_TIGHTNESS};
    static const hn_column_id grade[HN_DRIVERS] = {
        HN_COL_GRADE_STRUCTURAL, HN_COL_GRADE_SERVICE, HN_COL_GRADE_TIGHTNESS};
    double all = 0.0, by_default = 0.0, unseen = 0.0;

    for (size_t f = 0; f < job->parts->factors; f++) {
        const uint8_t taken = job->parts->class_of[f][row];
        const double money = hn_part_money(job->parts, f, row);
        int is_default;

        if (taken == 255 || isnan(money))
            continue;
        is_default = (job->taken && (job->taken[row] & job->reads[f])) ||
                     is_passed_over(job, f, taken, truth, stride);
        for (int d = 0; d < HN_DRIVERS; d++) {
            const double term = (double)hn_f32(job->table, chance[d], row) * money *
                                job->plan->config.factors[taken].share[d];

            all += term;
            by_default += is_default ? term : 0.0;
            unseen += isnan(hn_f32(job->table, grade[d], row)) ? term : 0.0;
        }
    }
    HN_F32(job->table, DEFAULT_SHARE)[row] = all > 0.0 ? (float)(by_default / all) : (float)NAN;
    HN_F32(job->table, UNSEEN_SHARE)[row] = all > 0.0 ? (float)(unseen / all) : (float)NAN;
}

static void fill_rows(void *context, size_t begin, size_t end, const uint8_t *truth, size_t stride)
{
    for (size_t row = begin; row < end; row++)
        fill_row(context, row, truth + (row - begin), stride);
}

hn_status hn_risk_reliance(hn_table *table, const hn_plan *plan, const hn_consequence_parts *parts,
                           const uint64_t *taken, int threads, hn_error *err)
{
    const hn_config *c = &plan->config;
    reliance_job job = {.table = table, .plan = plan, .parts = parts, .taken = taken};
    hn_status rc = HN_OK;

    if (table->rows > HN_RELIANCE_ROWS)
        return HN_OK;
    job.expression = hn_alloc(2 * c->factor_class_count, sizeof *job.expression);
    job.where = hn_alloc(2 * c->factor_class_count, sizeof *job.where);
    HN_TRY_ALLOC(job.expression);
    HN_TRY_ALLOC(job.where);
    for (size_t i = 0; i < c->factor_class_count; i++) {
        job.expression[i] = c->factors[i].condition;
        job.expression[c->factor_class_count + i] = c->factors[i].money;
        job.where[i] = "consequence";
    }
    HN_TRY(hn_table_want(table, HN_COL_DEFAULT_SHARE, err));
    HN_TRY(hn_table_want(table, HN_COL_UNSEEN_SHARE, err));
    HN_TRY(hn_condition_columns(table, job.expression, 2 * c->factor_class_count, see, &job, err));
    HN_TRY(hn_condition_run_truth(table, job.expression, job.where, c->factor_class_count, threads,
                                  fill_rows, &job, err));
out:
    hn_free(job.expression);
    hn_free(job.where);
    return rc;
}
