/* plan/vary.c - rows of sensitivity.csv into variations of this plan. `consequence.*`
 * becomes one for each factor that has no row of its own. */
#include "plan/vary.h"

#include "base/nearest.h"
#include "plan/config_table.h"
#include "plan/config_tables.h"
#include "plan/plan_keys.h"
#include "plan/plan_parts.h"
#include "table/codes.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const char *const kinds[] = {"watch",  "maintenance", "repair",
                                    "lining", "replacement", NULL};
static const char *const priorities[] = {"risk", "value", NULL};
static const char *const priorities_with_score[] = {"risk", "value", "score", NULL};
static const char *const groups[] = {"consequence.", "not_known.",    "failure.",  "deterioration",
                                     "discount_pct", "horizon_years", "prices.",   "life.",
                                     "markups",      "budget",        "defaults.", "design.",
                                     "priority"};

enum { GROUPS = sizeof groups / sizeof groups[0], NAMES_MAX = 512 };

typedef struct making {
    hn_plan_reader *r;
    const hn_vary_row *row;
    size_t capacity;
} making;

static hn_status fail(const making *m, const char *column, const char *format, ...) HN_PRINTF(3, 4);

static hn_status fail(const making *m, const char *column, const char *format, ...)
{
    char what[HN_ERROR_TEXT_MAX / 2];
    va_list values;

    va_start(values, format);
    vsnprintf(what, sizeof what, format, values);
    va_end(values);
    hn_fail(m->r->err, HN_ERR_PLAN, "%.200s, row %zu, column %s: %s", m->r->plan->config.vary_path,
            m->row->line, column, what);
    hn_hint(m->r->err, "docs/config.md says what sensitivity.csv takes");
    return HN_ERR_PLAN;
}

/* "consequence.rail" is a name nobody has: which is nearest? */
static hn_status fail_name(const making *m, const char *group, const char *name,
                           const char *const *names, size_t count)
{
    const char *nearest = hn_nearest_of(name, names, count);
    hn_status rc = fail(m, "parameter", "\"%.80s\" is not known", m->row->parameter);

    if (nearest)
        hn_hint(m->r->err, "did you mean `%s%s`?", group, nearest);
    else
        hn_hint(m->r->err, "accepted after \"%.20s\": %.300s", group,
                hn_config_list(&m->r->plan->arena, names, count));
    return rc;
}

/* ---- low and high ---- */

/* Least factor: a price, a life or a rate of 0 would be none. */
static double least_factor(hn_vary_what what)
{
    return what == HN_VARY_CONSEQUENCE || what == HN_VARY_NOT_KNOWN || what == HN_VARY_MARKUPS ||
                   what == HN_VARY_BUDGET
               ? 0.0
               : 0.01;
}

static hn_status read_factor(const making *m, hn_vary *v, int side, const char *text)
{
    static const char *const columns[] = {"low", "high"};
    double factor, least = least_factor(v->what);

    if (!hn_parse_number(text, &factor))
        return fail(m, columns[side], "\"%.40s\" is no number", text);
    if (factor < 0.0)
        return fail(m, columns[side], "a factor cannot be negative: %g", factor);
    if (side == 0 && factor > 1.0)
        return fail(m, "low", "%g is above the plan's own value, which is 1", factor);
    if (side == 1 && factor < 1.0)
        return fail(m, "high", "%g is below the plan's own value, which is 1", factor);
    if (factor < least || factor > 1000.0)
        return fail(m, columns[side], "%g is not accepted; accepted is a factor from %g to 1000",
                    factor, least);
    v->side[side].is_there = factor < 1.0 || factor > 1.0;
    v->side[side].number = factor;
    v->side[side].shown = hn_arena_printf(&m->r->plan->arena, "x%g", factor);
    return v->side[side].shown ? HN_OK : hn_plan_no_memory(m->r);
}

static hn_status read_factors(const making *m, hn_vary *v)
{
    hn_status rc = HN_OK;

    if (m->row->is_set)
        return fail(m, "change", "%.60s takes times: low and high are factors", m->row->parameter);
    v->base_shown = "x1";
    if (m->row->low)
        HN_TRY(read_factor(m, v, 0, m->row->low));
    if (m->row->high)
        HN_TRY(read_factor(m, v, 1, m->row->high));
out:
    return rc;
}

/* A parameter with a number of its own: factors become values, and a value that no
 * plan could hold becomes the nearest one that it can. */
static hn_status settle_value(const making *m, hn_vary *v, int side, double base, double low,
                              double high, int is_whole)
{
    hn_vary_side *s = &v->side[side];
    double value = m->row->is_set ? s->number : s->number * base;

    value = is_whole ? (double)(long)(value + 0.5) : value;
    value = value < low ? low : value > high ? high : value;
    s->is_there = value < base || value > base;
    s->number = value;
    s->shown = hn_arena_printf(&m->r->plan->arena, "%.6g", value);
    return s->shown ? HN_OK : hn_plan_no_memory(m->r);
}

static hn_status read_set(const making *m, hn_vary *v, int side, const char *text, double base)
{
    static const char *const columns[] = {"low", "high"};
    double value;

    if (!hn_parse_number(text, &value))
        return fail(m, columns[side], "\"%.40s\" is no number", text);
    if (side == 0 && value > base)
        return fail(m, "low", "%g is above the plan's own value, %g", value, base);
    if (side == 1 && value < base)
        return fail(m, "high", "%g is below the plan's own value, %g", value, base);
    v->side[side].number = value;
    return HN_OK;
}

static hn_status read_values(const making *m, hn_vary *v, double base, double low, double high,
                             int is_whole)
{
    const char *const text[2] = {m->row->low, m->row->high};
    hn_status rc = HN_OK;

    v->base_shown = hn_arena_printf(&m->r->plan->arena, "%.6g", base);
    if (!v->base_shown)
        return hn_plan_no_memory(m->r);
    for (int side = 0; side < 2; side++) {
        if (!text[side])
            continue;
        HN_TRY(m->row->is_set ? read_set(m, v, side, text[side], base)
                              : read_factor(m, v, side, text[side]));
        HN_TRY(settle_value(m, v, side, base, low, high, is_whole));
    }
out:
    return rc;
}

/* Words instead of numbers: each other than the plan's own is a variation. */
static hn_status read_words(const making *m, hn_vary *v, const char *base,
                            const char *const *accepted)
{
    const char *const text[2] = {m->row->low, m->row->high};
    static const char *const columns[] = {"low", "high"};

    if (!m->row->is_set)
        return fail(m, "change", "%.60s takes set: low and high are words", m->row->parameter);
    v->base_shown = base;
    for (int side = 0; side < 2; side++) {
        int code = accepted && text[side] ? hn_code_of(accepted, text[side]) : 0;

        if (!text[side])
            continue;
        if (code < 0)
            return fail(m, columns[side], "\"%.40s\" is not accepted", text[side]);
        v->side[side] = (hn_vary_side){strcmp(text[side], base) != 0, code, text[side], text[side]};
    }
    return HN_OK;
}

/* ---- one variation ---- */

/* Earth has neither half a year of building nor a level twice as high. */
static int is_scale_without_zero(hn_column_id id)
{
    return id == HN_COL_YEAR_BUILT || id == HN_COL_YEAR_LINED || id == HN_COL_INVERT_UP_M ||
           id == HN_COL_INVERT_DOWN_M || id == HN_COL_GROUND_UP_M || id == HN_COL_GROUND_DOWN_M;
}

static hn_status read_default(const making *m, hn_vary *v)
{
    const hn_default *d = &m->r->plan->defaults[v->index];
    const hn_column_id id = (hn_column_id)d->column;
    const hn_kind kind = hn_column_definition(id)->kind;

    if (kind == HN_KIND_STR || kind == HN_KIND_CODE)
        return read_words(m, v, d->text, hn_column_codes(id));
    if (!m->row->is_set && is_scale_without_zero(id))
        return fail(m, "change", "%.60s takes set: low and high are values", m->row->parameter);
    return read_values(m, v, d->number, -1e9, 1e9, 0);
}

static hn_status read_design(const making *m, hn_vary *v)
{
    size_t count;
    const hn_plan_key *key = &hn_plan_keys(&count)[v->index];
    double base;

    memcpy(&base, (const char *)m->r->plan + key->offset, sizeof base);
    return read_values(m, v, base, key->low, key->high, 0);
}

static hn_status read_sides(const making *m, hn_vary *v)
{
    const hn_plan *plan = m->r->plan;
    const char *const *words =
        plan->risk_scheme == HN_SCHEME_MONEY ? priorities : priorities_with_score;
    const int as_of = (int)plan->as_of_year;

    switch (v->what) {
    case HN_VARY_DISCOUNT:
        return read_values(m, v, plan->discount_pct, 0.0, 30.0, 0);
    case HN_VARY_HORIZON: /* it must reach the end of the programme */
        return read_values(m, v, plan->horizon_years, plan->first_year - as_of + plan->years, 200.0,
                           1);
    case HN_VARY_DEFAULT:
        return read_default(m, v);
    case HN_VARY_DESIGN:
        return read_design(m, v);
    case HN_VARY_PRIORITY:
        return read_words(m, v, words[plan->priority], words);
    default:
        return read_factors(m, v);
    }
}

static hn_status add(making *m, hn_vary_what what, int index, const char *group, const char *name)
{
    hn_plan *plan = m->r->plan;
    hn_vary *v = &plan->vary[plan->vary_count];
    hn_status rc = HN_OK;

    if (plan->vary_count == m->capacity)
        return fail(m, "parameter", "more than %zu variations", m->capacity);
    *v = (hn_vary){
        .what = what, .index = index, .meaning = m->row->meaning, .source = m->row->source};
    v->name = hn_arena_printf(&plan->arena, "%s%s", group, name);
    if (!v->name)
        return hn_plan_no_memory(m->r);
    HN_TRY(read_sides(m, v));
    if (v->side[0].is_there || v->side[1].is_there)
        plan->vary_count++;
out:
    return rc;
}

/* ---- the names of a group ---- */

/* Stands in where the data say nothing: the last resort of a factor, with money. */
static int stands_in(const hn_config *c, size_t k)
{
    const hn_factor_class *class = &c->factors[k];

    return k > 0 && c->factors[k - 1].factor_index == class->factor_index &&
           strcmp(class->condition, "1") == 0 && strcmp(class->money, "0") != 0;
}

static size_t names_of(const hn_plan *plan, const char *group, const char **names, int *index,
                       hn_vary_what *what)
{
    const hn_config *c = &plan->config;
    size_t n = 0, keys;
    const hn_plan_key *key = hn_plan_keys(&keys);

#define NAME(named, number) (index[n] = (int)(number), names[n++] = (named))
    if (strcmp(group, "consequence.") == 0 && (*what = HN_VARY_CONSEQUENCE, 1))
        for (size_t i = 0; i < c->factor_count; i++)
            NAME(c->factor_names[i], i);
    else if (strcmp(group, "not_known.") == 0 && (*what = HN_VARY_NOT_KNOWN, 1))
        for (size_t i = 0; i < c->factor_class_count && n < HN_MAX_FACTORS; i++)
            stands_in(c, i) ? (void)NAME(c->factors[i].factor, i) : (void)0;
    else if (strcmp(group, "failure.") == 0 && (*what = HN_VARY_FAILURE, 1))
        for (int d = 0; d < HN_DRIVERS; d++)
            NAME(hn_config_drivers[d], d);
    else if (strcmp(group, "defaults.") == 0 && (*what = HN_VARY_DEFAULT, 1))
        for (size_t i = 0; i < plan->default_count && n < NAMES_MAX; i++)
            NAME(hn_column_definition((hn_column_id)plan->defaults[i].column)->name, i);
    else if (strcmp(group, "design.") == 0 && (*what = HN_VARY_DESIGN, 1))
        for (size_t i = 0; i < keys && n < NAMES_MAX; i++)
            strcmp(key[i].block, "design") == 0 && key[i].type == HN_KEY_NUMBER
                ? (void)NAME(key[i].name, i)
                : (void)0;
    else {
        *what = strcmp(group, "prices.") == 0 ? HN_VARY_PRICES : HN_VARY_LIFE;
        for (int k = HN_METHOD_REPAIR; k <= HN_METHOD_REPLACEMENT; k++)
            NAME(kinds[k], k);
        if (*what == HN_VARY_PRICES)
            NAME("items", -1);
    }
#undef NAME
    return n;
}

static int has_own_row(const hn_config *c, const char *group, const char *name)
{
    const size_t n = strlen(group);

    for (size_t i = 0; i < c->vary_count; i++)
        if (strncmp(c->vary[i].parameter, group, n) == 0 &&
            strcmp(c->vary[i].parameter + n, name) == 0)
            return 1;
    return 0;
}

/* What a factor cannot scale is not meant by `defaults.*`. */
static int is_left_out(const hn_plan *plan, hn_vary_what what, int index)
{
    hn_column_id id;

    if (what != HN_VARY_DEFAULT)
        return 0;
    id = (hn_column_id)plan->defaults[index].column;
    return is_scale_without_zero(id) || hn_column_definition(id)->kind == HN_KIND_STR ||
           hn_column_definition(id)->kind == HN_KIND_CODE ||
           hn_column_definition(id)->kind == HN_KIND_BOOL;
}

static hn_status add_group(making *m, const char *group)
{
    const hn_plan *plan = m->r->plan;
    const char *names[NAMES_MAX], *name = m->row->parameter + strlen(group);
    int index[NAMES_MAX];
    hn_vary_what what;
    const size_t count = names_of(plan, group, names, index, &what);
    hn_status rc = HN_OK;

    for (size_t i = 0; i < count; i++) {
        const int is_any = strcmp(name, "*") == 0;

        if (is_any
                ? has_own_row(&plan->config, group, names[i]) || is_left_out(plan, what, index[i])
                : strcmp(name, names[i]) != 0)
            continue;
        HN_TRY(add(m, what == HN_VARY_PRICES && index[i] < 0 ? HN_VARY_ITEMS : what, index[i],
                   group, names[i]));
        if (!is_any)
            return HN_OK;
    }
    if (strcmp(name, "*") != 0)
        return fail_name(m, group, name, names, count);
out:
    return rc;
}

static hn_status add_row(making *m)
{
    static const hn_vary_what single[GROUPS] = {
        [3] = HN_VARY_DETERIORATION, [4] = HN_VARY_DISCOUNT, [5] = HN_VARY_HORIZON,
        [8] = HN_VARY_MARKUPS,       [9] = HN_VARY_BUDGET,   [12] = HN_VARY_PRIORITY};
    const char *parameter = m->row->parameter;

    for (size_t g = 0; g < GROUPS; g++) {
        const size_t n = strlen(groups[g]);
        const int has_names = groups[g][n - 1] == '.';

        if (has_names && strncmp(parameter, groups[g], n) == 0)
            return add_group(m, groups[g]);
        if (!has_names && strcmp(parameter, groups[g]) == 0)
            return add(m, single[g], 0, "", parameter);
    }
    return fail_name(m, "", parameter, groups, GROUPS);
}

hn_status hn_plan_read_vary(hn_plan_reader *r)
{
    hn_plan *plan = r->plan;
    making m = {.r = r, .capacity = 250};
    hn_status rc = HN_OK;

    if (plan->sensitivity_years == 0)
        plan->sensitivity_years = plan->years < 5 ? plan->years : 5;
    if (plan->sensitivity_years > plan->years)
        plan->sensitivity_years = plan->years;
    plan->vary = hn_arena_alloc(&plan->arena, m.capacity, sizeof *plan->vary);
    if (!plan->vary)
        return hn_plan_no_memory(r);
    for (size_t i = 0; i < plan->config.vary_count; i++) {
        m.row = &plan->config.vary[i];
        HN_TRY(add_row(&m));
    }
out:
    return rc;
}
