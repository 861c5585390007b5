/* optimise/check.c - value, uses and excess of any choice, from the problem as it was given
 * and by none of the solver's own code, so that one can hold the other to account. */
#include <math.h>
#include <string.h>

#include "optimise/optimise.h"

static double list_use(const hn_choice_list *list, size_t item, int32_t choice, double *used)
{
    const size_t a = list->first_alternative[item] + (size_t)choice;

    if (a >= list->first_alternative[item + 1])
        return NAN;
    for (size_t u = list->first_use[a]; u < list->first_use[a + 1]; u++)
        used[list->uses[u].row] += list->uses[u].amount;
    return list->value[a];
}

static double table_use(const hn_choice_problem *problem, size_t item, int32_t choice, double *used)
{
    const hn_choice_table *table = problem->table;
    const size_t m = (size_t)choice / table->years, t = (size_t)choice % table->years;
    const size_t g = table->group_of ? table->group_of[item] : 0;
    const double cost = table->cost[item * table->methods + (m < table->methods ? m : 0)];

    if (m >= table->methods || isnan(cost))
        return NAN;
    for (size_t r = 0; r < problem->row_count; r++) {
        const hn_row_scope *scope = &table->scopes[r];

        if (!(scope->groups[g / 64] >> g % 64 & 1) || !(scope->methods >> m & 1) ||
            !(scope->years >> t & 1))
            continue;
        used[r] += scope->basis == HN_BASIS_COST ? cost * table->escalation[choice]
                   : scope->basis == HN_BASIS_QUANTITY
                       ? (table->quantity ? table->quantity[item] : 0.0)
                       : 1.0;
    }
    return table->weight[item] *
           table->benefit[table->class_of[item] * table->methods * table->years + (size_t)choice];
}

/* 0 where an item breaks a demand, a closed year, or takes none when it must. */
static int allowed(const hn_choice_problem *problem, const int32_t *choice)
{
    const hn_choice_table *table = problem->table;

    if (problem->list) {
        for (size_t i = 0; i < problem->list->items; i++)
            if (choice[i] < 0 && problem->list->compulsory && problem->list->compulsory[i])
                return 0;
        return 1;
    }
    for (size_t d = 0; d < table->demand_count; d++) {
        const hn_choice_demand *demand = &table->demands[d];
        const int32_t a = choice[demand->item], t = a % (int32_t)table->years;

        if (a < 0 || t < demand->year_first || t > demand->year_last ||
            (demand->method >= 0 && a / (int32_t)table->years != demand->method))
            return 0;
    }
    return 1;
}

static double worst_excess(const hn_choice_problem *problem, const double *used)
{
    double worst = 0;

    for (size_t first = 0; first < problem->row_count; first++) {
        double carried = 0;
        int receives = 0;

        for (size_t r = 0; r < problem->row_count; r++)
            receives |= problem->rows[r].carry_to == (int32_t)first;
        for (int32_t at = receives ? -1 : (int32_t)first; at >= 0;
             at = problem->rows[at].carry_to) {
            const hn_choice_row *row = &problem->rows[at];
            const double size = fabs(row->limit) > 0 ? fabs(row->limit) : 1.0;
            const double left = row->sense == HN_ROW_AT_MOST ? row->limit + carried - used[at]
                                                             : used[at] - row->limit;

            worst = fmax(worst, -left / size);
            carried = fmin(row->carry_limit, fmax(0.0, left));
        }
    }
    return worst;
}

void hn_choice_check(const hn_choice_problem *problem, const int32_t *choice, double *value,
                     double *used, double *excess)
{
    const hn_choice_table *table = problem->table;
    const size_t items = problem->list ? problem->list->items : table->items;

    memset(used, 0, problem->row_count * sizeof *used);
    *value = allowed(problem, choice) ? 0 : NAN;
    for (size_t i = 0; i < items; i++) {
        if (choice[i] < 0)
            continue;
        if (problem->list)
            *value += list_use(problem->list, i, choice[i], used);
        else
            *value += table_use(problem, i, choice[i], used);
    }
    *excess = worst_excess(problem, used);
}
