#include "run/rules_check.h"

#include "base/alloc.h"
#include "condition/observe.h"
#include "table/condition_sql.h"

#include <stdio.h>
#include <stdlib.h>

enum { WHERE_BYTES = 128, TABLES = 7 };

typedef struct rule_list {
    const char **expression, **where;
    char (*text)[WHERE_BYTES];
    size_t count;
    size_t end[TABLES + 1]; /* table i has the rules from end[i] up to end[i + 1] */
} rule_list;

static hn_status list_new(const hn_config *c, rule_list *list, hn_error *err)
{
    size_t most = c->rule_count + c->item_count + c->cohort_count + 2 * c->factor_class_count +
                  2 * c->score_class_count + c->act_now_count + c->quality_count;

    list->expression = hn_alloc(most, sizeof *list->expression);
    list->where = hn_alloc(most, sizeof *list->where);
    list->text = hn_alloc(most, sizeof *list->text);
    if (!list->expression || !list->where || !list->text)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    return HN_OK;
}

static void add(rule_list *list, const char *expression, const char *table, const char *id)
{
    if (!expression)
        return;
    snprintf(list->text[list->count], WHERE_BYTES, "%s %.70s", table, id);
    list->where[list->count] = list->text[list->count];
    list->expression[list->count++] = expression;
}

static int is_number(const char *text)
{
    char *end;

    strtod(text, &end);
    while (*end == ' ')
        end++;
    return end != text && *end == '\0';
}

static void add_consequence(const hn_config *c, rule_list *list)
{
    char place[WHERE_BYTES];

    for (size_t i = 0; i < c->factor_class_count; i++) {
        const hn_factor_class *f = &c->factors[i];

        snprintf(place, sizeof place, "consequence, factor %.40s, class", f->factor);
        add(list, f->condition, place, f->name);
        add(list, is_number(f->money) ? NULL : f->money, place, f->name);
    }
}

static void add_scoring(const hn_config *c, rule_list *list)
{
    char place[WHERE_BYTES];

    for (size_t i = 0; i < c->score_class_count; i++) {
        const hn_score_class *s = &c->scores[i];

        snprintf(place, sizeof place, "scoring, factor %.40s, class", s->factor);
        add(list, s->condition, place, s->name);
        add(list, is_number(s->points) ? NULL : s->points, place, s->name);
    }
}

/* In the order of the stages that use them. */
static void gather(const hn_config *c, rule_list *list)
{
    for (size_t i = 0; i < c->quality_count; i++)
        add(list, c->quality[i].condition, "quality rules, rule", c->quality[i].id);
    list->end[1] = list->count;
    for (size_t i = 0; i < c->cohort_count; i++)
        add(list, c->cohorts[i].condition, "deterioration, cohort", c->cohorts[i].id);
    list->end[2] = list->count;
    add_consequence(c, list);
    list->end[3] = list->count;
    add_scoring(c, list);
    list->end[4] = list->count;
    for (size_t i = 0; i < c->rule_count; i++)
        add(list, c->rules[i].condition, "method rules, rule", c->rules[i].id);
    list->end[5] = list->count;
    for (size_t i = 0; i < c->item_count; i++)
        add(list, c->items[i].condition, "cost items, item", c->items[i].id);
    list->end[6] = list->count;
    for (size_t i = 0; i < c->act_now_count; i++)
        add(list, c->act_now[i].condition, "act-now rules, rule", c->act_now[i].id);
    list->end[TABLES] = list->count;
}

/* No row, but the columns that a run with this plan will have. */
static hn_status empty_table(const hn_plan *plan, hn_table **out, hn_error *err)
{
    char name[96];
    float *unused;
    hn_status rc = HN_OK;

    HN_TRY(hn_table_new(out, err));
    for (size_t i = 0; i < plan->context_count; i++) {
        snprintf(name, sizeof name, "near_%.80s_m", plan->context[i].name);
        HN_TRY(hn_table_add_extra(*out, name, name, name, &unused, err));
    }
out:
    return rc;
}

hn_status hn_rules_check(const hn_plan *plan, hn_error *err)
{
    hn_table *table = NULL;
    rule_list list = {0};
    hn_status rc = HN_OK;

    HN_TRY(list_new(&plan->config, &list, err));
    gather(&plan->config, &list);
    HN_TRY(empty_table(plan, &table, err));
    for (size_t i = 0; i < TABLES; i++) {
        hn_condition_set *set;
        size_t first = list.end[i];

        HN_TRY(hn_condition_compile(table, list.expression + first, list.where + first,
                                    list.end[i + 1] - first, &set, err));
        hn_condition_free(set);
    }
    if (plan->observation_count)
        HN_TRY(hn_observe_check_rules(table, plan, err));
out:
    hn_table_free(table);
    hn_free(list.expression);
    hn_free(list.where);
    hn_free(list.text);
    return rc;
}
