#include "run/position.h"

#include <string.h>

enum { MOST_ROWS_UNASKED = 100000 };

static int names_it(const char *expression)
{
    return expression && strstr(expression, "cut_off_") != NULL;
}

static int is_in_factors(const hn_config *c)
{
    for (size_t i = 0; i < c->factor_class_count; i++)
        if (names_it(c->factors[i].condition) || names_it(c->factors[i].money))
            return 1;
    for (size_t i = 0; i < c->score_class_count; i++)
        if (names_it(c->scores[i].condition) || names_it(c->scores[i].points))
            return 1;
    return 0;
}

static int is_in_rules(const hn_config *c)
{
    for (size_t i = 0; i < c->rule_count; i++)
        if (names_it(c->rules[i].condition))
            return 1;
    for (size_t i = 0; i < c->item_count; i++)
        if (names_it(c->items[i].condition))
            return 1;
    for (size_t i = 0; i < c->act_now_count; i++)
        if (names_it(c->act_now[i].condition))
            return 1;
    for (size_t i = 0; i < c->cohort_count; i++)
        if (names_it(c->cohorts[i].condition))
            return 1;
    for (size_t i = 0; i < c->quality_count; i++)
        if (names_it(c->quality[i].condition))
            return 1;
    return 0;
}

int hn_position_is_asked(const hn_plan *plan, const hn_table *table)
{
    return table->rows <= MOST_ROWS_UNASKED || table->column[HN_COL_PEOPLE] ||
           table->column[HN_COL_FLOW_ADDED] || is_in_factors(&plan->config) ||
           is_in_rules(&plan->config);
}
