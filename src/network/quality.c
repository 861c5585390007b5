/* The rules of config/quality_rules.csv: SQL conditions on the row here, named
 * checks in quality_checks.c. The table decides severity, message and effect,
 * also for what earlier steps have already listed under a check's name. */
#include "base/alloc.h"
#include "network/network.h"
#include "network/quality_checks.h"
#include "table/condition_run.h"
#include "table/sentence.h"

#include <stdio.h>
#include <string.h>

enum { SQL_RULES_MAX = 64, TEXT_MAX = 512 };
/* A note that holds for more than this part of the segments says something of
 * the source and is listed once, with its count. (local rule) */
static const double COMMON_SHARE = 0.1;

typedef struct sql_rules {
    const hn_quality_rule *rule[SQL_RULES_MAX];
    const char *expression[SQL_RULES_MAX], *where[SQL_RULES_MAX];
    char where_text[SQL_RULES_MAX][96];
    size_t count;
    uint64_t *hits; /* per row, one bit a rule */
} sql_rules;

static hn_status gather(const hn_plan *plan, sql_rules *rules, hn_error *err)
{
    for (size_t i = 0; i < plan->config.quality_count; i++) {
        const hn_quality_rule *rule = &plan->config.quality[i];

        if (!rule->condition)
            continue;
        if (rules->count == SQL_RULES_MAX)
            return hn_fail(err, HN_ERR_PLAN, "quality rules: more than %d SQL conditions",
                           SQL_RULES_MAX);
        rules->rule[rules->count] = rule;
        rules->expression[rules->count] = rule->condition;
        snprintf(rules->where_text[rules->count], sizeof rules->where_text[0],
                 "quality rules, rule %s", rule->id);
        rules->where[rules->count] = rules->where_text[rules->count];
        rules->count++;
    }
    return HN_OK;
}

static void note_hits(void *context, size_t begin, size_t end, const uint8_t *truth, size_t stride)
{
    sql_rules *rules = context;

    for (size_t row = begin; row < end; row++)
        for (size_t i = 0; i < rules->count; i++)
            if (truth[i * stride + (row - begin)] == HN_TRUE)
                rules->hits[row] |= (uint64_t)1 << i;
}

/* Lists common notes once; returns them as a mask. */
static uint64_t list_common(const hn_table *table, const sql_rules *rules, hn_issue_list *issues)
{
    uint64_t common = 0;

    for (size_t i = 0; i < rules->count; i++) {
        const hn_quality_rule *rule = rules->rule[i];
        size_t hits = 0;
        char value[64];

        for (size_t row = 0; row < table->rows; row++)
            hits += rules->hits[row] >> i & 1;
        if (rule->severity != HN_SEVERITY_NOTE ||
            (double)hits <= COMMON_SHARE * (double)table->rows)
            continue;
        common |= (uint64_t)1 << i;
        snprintf(value, sizeof value, "%zu of %zu segments", hits, table->rows);
        hn_issue_add(issues, HN_SEVERITY_NOTE, rule->id, "", "", value,
                     "holds for so many segments that it is listed once", rule->effect,
                     (double)NAN, (double)NAN);
    }
    return common;
}

static void list_hits(const hn_table *table, const sql_rules *rules, hn_issue_list *issues)
{
    uint64_t common = list_common(table, rules, issues);
    char message[TEXT_MAX];

    for (size_t row = 0; row < table->rows; row++) {
        for (size_t i = 0; i < rules->count; i++) {
            const hn_quality_rule *rule = rules->rule[i];

            if (!((rules->hits[row] & ~common) >> i & 1))
                continue;
            hn_sentence(table, row, rule->message, (double)NAN, message, sizeof message);
            hn_quality_add(issues, table, row, rule->severity, rule->id, "", "", message,
                           rule->effect);
        }
    }
}

/* Severity and effect as the table says, for findings of earlier steps. */
static void apply_table(const hn_plan *plan, hn_issue_list *issues)
{
    for (size_t i = 0; i < plan->config.quality_count; i++) {
        const hn_quality_rule *rule = &plan->config.quality[i];
        uint32_t check, id;

        if (!rule->check)
            continue;
        check = hn_text_pool_find(issues->texts, rule->check, strlen(rule->check));
        id = hn_text_pool_add(issues->texts, rule->id, strlen(rule->id));
        if (check == 0 || id == UINT32_MAX)
            continue;
        for (size_t k = 0; k < issues->count; k++) {
            if (issues->items[k].rule != check)
                continue;
            issues->items[k].severity = (uint8_t)rule->severity;
            issues->items[k].rule = id;
        }
    }
}

hn_status hn_network_quality(const hn_table *table, const hn_plan *plan, const hn_plane *plane,
                             const hn_nodes *nodes, int threads, hn_issue_list *issues,
                             hn_error *err)
{
    sql_rules *rules = hn_alloc(1, sizeof *rules);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(rules);
    rules->hits = hn_alloc(table->rows, sizeof *rules->hits);
    HN_TRY_ALLOC(rules->hits);
    HN_TRY(gather(plan, rules, err));
    HN_TRY(hn_condition_run_truth(table, rules->expression, rules->where, rules->count, threads,
                                  note_hits, rules, err));
    list_hits(table, rules, issues);
    HN_TRY(hn_quality_checks(table, plan, plane, nodes, issues, err));
    apply_table(plan, issues);
out:
    if (rules)
        hn_free(rules->hits);
    hn_free(rules);
    return rc;
}
