#include "risk/risk.h"

#include "table/condition_run.h"

#include <stdio.h>

enum { RULES_MAX = 128 };

typedef struct act_job {
    hn_table *table;
    size_t rules;
} act_job;

static void take_first(void *context, size_t begin, size_t end, const uint8_t *truth,
                       size_t stride)
{
    act_job *job = context;
    uint8_t *rule_of = HN_CODE(job->table, ACT_NOW);

    for (size_t r = 0; r < job->rules; r++)
        for (size_t row = begin; row < end; row++)
            if (rule_of[row] == HN_CODE_MISSING && truth[r * stride + (row - begin)] == HN_TRUE)
                rule_of[row] = (uint8_t)r;
}

hn_status hn_risk_act_now(hn_table *table, const hn_plan *plan, int threads, hn_error *err)
{
    const char *expression[RULES_MAX], *where[RULES_MAX];
    char text[RULES_MAX][96];
    act_job job = {table, plan->config.act_now_count};
    hn_status rc = HN_OK;

    if (job.rules > RULES_MAX)
        return hn_fail(err, HN_ERR_PLAN, "act-now rules: more than %d", RULES_MAX);
    HN_TRY(hn_table_want(table, HN_COL_ACT_NOW, err));
    for (size_t r = 0; r < job.rules; r++) {
        snprintf(text[r], sizeof text[0], "act-now rules, rule %.70s", plan->config.act_now[r].id);
        expression[r] = plan->config.act_now[r].condition;
        where[r] = text[r];
    }
    HN_TRY(hn_condition_run_truth(table, expression, where, job.rules, threads, take_first, &job,
                                  err));
out:
    return rc;
}
