#include "report/coded_columns.h"

static int is_method(hn_column_id id)
{
    return id == HN_COL_METHOD || id == HN_COL_BEST_LINING || id == HN_COL_BEST_REPLACEMENT ||
           id == HN_COL_RUNNER_UP;
}

const char *hn_coded_text(const hn_plan *plan, hn_column_id id, uint8_t code)
{
    const char *const *names = hn_column_codes(id);

    if (code == HN_CODE_MISSING)
        return "";
    if (is_method(id))
        return plan->config.methods[code].id;
    if (id == HN_COL_ACT_NOW)
        return plan->config.act_now[code].id;
    return names ? names[code] : "";
}

static int method_values(const hn_plan *plan, hn_arena *arena, hn_view_column *column)
{
    size_t n = plan->config.method_count;
    hn_coded_value *values = hn_arena_alloc(arena, n, sizeof *values);

    for (size_t i = 0; values && i < n; i++)
        values[i] = (hn_coded_value){plan->config.methods[i].id, plan->config.methods[i].title};
    column->codes = values;
    column->code_count = n;
    return values != NULL;
}

static int rule_values(const hn_plan *plan, hn_arena *arena, hn_view_column *column)
{
    size_t n = plan->config.act_now_count;
    hn_coded_value *values = hn_arena_alloc(arena, n, sizeof *values);

    for (size_t i = 0; values && i < n; i++)
        values[i] = (hn_coded_value){plan->config.act_now[i].id, plan->config.act_now[i].reason};
    column->codes = values;
    column->code_count = n;
    return values != NULL;
}

int hn_coded_values(const hn_plan *plan, hn_column_id id, hn_arena *arena, hn_view_column *column)
{
    const char *const *names = hn_column_codes(id);
    hn_coded_value *values;
    size_t n = 0;

    if (is_method(id))
        return method_values(plan, arena, column);
    if (id == HN_COL_ACT_NOW)
        return rule_values(plan, arena, column);
    if (!names)
        return 1;
    while (names[n])
        n++;
    values = hn_arena_alloc(arena, n, sizeof *values);
    for (size_t i = 0; values && i < n; i++)
        values[i] = (hn_coded_value){names[i], names[i]};
    column->codes = values;
    column->code_count = n;
    return values != NULL;
}
