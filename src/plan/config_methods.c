/* plan/config_methods.c - the method catalogue and its rules. */
#include "plan/config_table.h"
#include "plan/config_tables.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

static const char *const kinds[] = {"watch",  "maintenance", "repair",
                                    "lining", "replacement", NULL};
static const char *const wall_rules[] = {"none", "flexible", "sdr", "fixed", NULL};
static const char *const takeoffs[] = {"plain", "grouted", "rings", "trench", NULL};
static const char *const priced_by[] = {"area", "perimeter", NULL};

#define M_CHOICE(column, field, need, choices, blank)                                        \
    {                                                                                        \
        column, HN_CELL_CHOICE, need, (long)offsetof(hn_method, field), 0, 0, choices, blank \
    }
#define M_WHOLE(column, field, high)                                                              \
    {                                                                                             \
        column, HN_CELL_WHOLE, HN_CELL_COLUMN, (long)offsetof(hn_method, field), 0, high, NULL, 0 \
    }

static const hn_cell_spec method_cells[] = {
    HN_TEXT_CELL(hn_method, id, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_method, title, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_method, family, HN_CELL_VALUE),
    M_CHOICE("kind", kind, HN_CELL_VALUE, kinds, 0),
    M_CHOICE("wall_rule", wall_rule, HN_CELL_VALUE, wall_rules, 0),
    HN_NUMBER_CELL(hn_method, modulus_short_mpa, HN_CELL_COLUMN, 1, 1e6),
    HN_NUMBER_CELL(hn_method, modulus_long_mpa, HN_CELL_COLUMN, 1, 1e6),
    HN_NUMBER_CELL(hn_method, strength_long_mpa, HN_CELL_COLUMN, 0.1, 5000),
    HN_NUMBER_CELL(hn_method, wall_min_mm, HN_CELL_COLUMN, 0.1, 1000),
    HN_NUMBER_CELL(hn_method, wall_max_mm, HN_CELL_COLUMN, 0.1, 1000),
    HN_NUMBER_CELL(hn_method, wall_step_mm, HN_CELL_COLUMN, 0.01, 100),
    HN_NUMBER_CELL(hn_method, sdr, HN_CELL_COLUMN, 5, 200),
    HN_NUMBER_CELL(hn_method, wall_fixed_mm, HN_CELL_COLUMN, 0.1, 1000),
    HN_NUMBER_CELL(hn_method, annulus_mm, HN_CELL_COLUMN, 0, 1000),
    HN_NUMBER_CELL(hn_method, annulus_share, HN_CELL_COLUMN, 0, 0.4),
    HN_NUMBER_CELL(hn_method, screening_wall_share, HN_CELL_COLUMN, 0.001, 0.3),
    HN_NUMBER_CELL(hn_method, manning_n, HN_CELL_COLUMN, 0.005, 0.1),
    M_CHOICE("priced_by", size_by_perimeter, HN_CELL_COLUMN, priced_by, 0),
    HN_NUMBER_CELL(hn_method, life_years, HN_CELL_COLUMN, 0.1, 500),
    {"repeat_max", HN_CELL_WHOLE, HN_CELL_COLUMN, (long)offsetof(hn_method, repeat_max), 0, 100,
     NULL, HN_REPEAT_NO_LIMIT},
    M_CHOICE("treats_structural", treats[HN_STRUCTURAL], HN_CELL_VALUE, hn_config_no_yes, 0),
    M_CHOICE("treats_service", treats[HN_SERVICE], HN_CELL_VALUE, hn_config_no_yes, 0),
    M_CHOICE("treats_tightness", treats[HN_TIGHTNESS], HN_CELL_VALUE, hn_config_no_yes, 0),
    M_WHOLE("grade_after", grade_after, 5),
    HN_TEXT_CELL(hn_method, cohort_after, HN_CELL_COLUMN),
    HN_NUMBER_CELL(hn_method, production_m_per_day, HN_CELL_COLUMN, 0.01, 10000),
    M_CHOICE("takeoff", takeoff, HN_CELL_COLUMN, takeoffs, HN_TAKEOFF_PLAIN),
    HN_TEXT_CELL(hn_method, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

static hn_status need_number(const hn_config_input *in, size_t i, const char *column, double value,
                             const char *why, hn_error *err)
{
    if (isfinite(value))
        return HN_OK;
    return hn_config_fail(in, i, column, err, "blank, but %s needs it", why);
}

static hn_status check_wall(const hn_config_input *in, size_t i, const hn_method *m, hn_error *err)
{
    hn_status rc = HN_OK;
    if (m->wall_rule == HN_WALL_FLEXIBLE) {
        const char *why = "the wall rule flexible";
        HN_TRY(need_number(in, i, "modulus_short_mpa", m->modulus_short_mpa, why, err));
        HN_TRY(need_number(in, i, "modulus_long_mpa", m->modulus_long_mpa, why, err));
        HN_TRY(need_number(in, i, "strength_long_mpa", m->strength_long_mpa, why, err));
        HN_TRY(need_number(in, i, "wall_max_mm", m->wall_max_mm, why, err));
        HN_TRY(need_number(in, i, "wall_step_mm", m->wall_step_mm, why, err));
    }
    if (m->wall_rule == HN_WALL_SDR)
        HN_TRY(need_number(in, i, "sdr", m->sdr, "the wall rule sdr", err));
    if (m->wall_rule == HN_WALL_FIXED)
        HN_TRY(need_number(in, i, "wall_fixed_mm", m->wall_fixed_mm, "the wall rule fixed", err));
    if (m->wall_min_mm > m->wall_max_mm)
        rc = hn_config_fail(in, i, "wall_min_mm", err, "%g is more than wall_max_mm %g",
                            m->wall_min_mm, m->wall_max_mm);
out:
    return rc;
}

static hn_status check_renewal(const hn_config_input *in, size_t i, const hn_method *m,
                               hn_error *err)
{
    hn_status rc = HN_OK;
    const int treats = m->treats[HN_STRUCTURAL] || m->treats[HN_SERVICE] || m->treats[HN_TIGHTNESS];
    if (treats && m->grade_after < 1) {
        rc = hn_config_fail(in, i, "grade_after", err,
                            "blank, but the method treats something; accepted is 1 to 5");
        goto out;
    }
    if (m->kind != HN_METHOD_WATCH)
        HN_TRY(need_number(in, i, "life_years", m->life_years, "every method but watch", err));
out:
    return rc;
}

static hn_status check_cohort_after(const hn_config_input *in, size_t i, const hn_config *config,
                                    const char *const *cohorts, hn_error *err)
{
    const char *cohort = hn_config_text(in, i, "cohort_after");
    if (!*cohort)
        return HN_OK;
    const size_t found =
        hn_config_find(in, i, "cohort_after", cohort, "cohort", cohorts, config->cohort_count, err);
    return found == SIZE_MAX ? HN_ERR_PLAN : HN_OK;
}

static hn_status check_methods(const hn_config_input *in, const hn_method *methods,
                               const hn_config *config, hn_error *err)
{
    hn_status rc = HN_OK;
    const char **cohorts = hn_arena_alloc(in->arena, config->cohort_count + 1, sizeof *cohorts);
    HN_TRY_ALLOC(cohorts);
    for (size_t c = 0; c < config->cohort_count; c++)
        cohorts[c] = config->cohorts[c].id;
    for (size_t i = 0; i < in->count; i++) {
        HN_TRY(check_wall(in, i, &methods[i], err));
        HN_TRY(check_renewal(in, i, &methods[i], err));
        HN_TRY(check_cohort_after(in, i, config, cohorts, err));
    }
out:
    return rc;
}

hn_status hn_config_methods(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {method_cells, sizeof(hn_method), 0, HN_MAX_METHODS};
    static const char *const key[] = {"id", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;
    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    HN_TRY(check_methods(&in, rows, out, err));
    out->methods = rows;
    out->method_count = in.count;
out:
    return rc;
}

/* ---- rules ---- */

static const char *const verdicts[] = {"warning", "after_works", "ruled_out", NULL};
static const char *const if_unknown[] = {"taken_as_not_met", "cannot_tell", NULL};

static const hn_cell_spec rule_cells[] = {
    HN_TEXT_CELL(hn_method_rule, id, HN_CELL_VALUE),
    {"method", HN_CELL_TEXT, HN_CELL_VALUE, HN_CELL_NO_FIELD, 0, 0, NULL, 0},
    HN_TEXT_CELL(hn_method_rule, condition, HN_CELL_VALUE),
    {"verdict", HN_CELL_CHOICE, HN_CELL_VALUE, (long)offsetof(hn_method_rule, verdict), 0, 0,
     verdicts, 0},
    HN_TEXT_CELL(hn_method_rule, works, HN_CELL_COLUMN),
    {"if_unknown", HN_CELL_CHOICE, HN_CELL_VALUE,
     (long)offsetof(hn_method_rule, unknown_cannot_tell), 0, 0, if_unknown, 0},
    HN_TEXT_CELL(hn_method_rule, reason, HN_CELL_VALUE),
    HN_NUMBER_CELL(hn_method_rule, limit, HN_CELL_COLUMN, -1e9, 1e9),
    HN_TEXT_CELL(hn_method_rule, unit, HN_CELL_COLUMN),
    HN_TEXT_CELL(hn_method_rule, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

static hn_status check_works(const hn_config_input *in, size_t i, const hn_method_rule *rule,
                             const hn_config *config, hn_error *err)
{
    if (rule->verdict != HN_VERDICT_AFTER_WORKS) {
        if (!rule->works)
            return HN_OK;
        return hn_config_fail(in, i, "works", err,
                              "\"%s\" is given, but only the verdict after_works has works",
                              rule->works);
    }
    if (!rule->works)
        return hn_config_fail(in, i, "works", err,
                              "blank, but the verdict after_works needs works");
    const char **names = hn_arena_alloc(in->arena, config->item_count + 1, sizeof *names);
    if (!names)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    size_t count = 0;
    for (size_t k = 0; k < config->item_count; k++)
        if (config->items[k].is_works)
            names[count++] = config->items[k].id;
    const size_t found =
        hn_config_find(in, i, "works", rule->works, "works item", names, count, err);
    return found == SIZE_MAX ? HN_ERR_PLAN : HN_OK;
}

/* {limit} in a condition is the cell of the limit, so that each number stands
 * in the table once. */
static hn_status put_limit(const hn_config_input *in, size_t i, hn_method_rule *rule, hn_error *err)
{
    static const char mark[] = "{limit}";
    const char *limit = hn_config_text(in, i, "limit");
    for (const char *at = strstr(rule->condition, mark); at; at = strstr(rule->condition, mark)) {
        if (!*limit)
            return hn_config_fail(in, i, "limit", err, "blank, but the condition uses {limit}");
        rule->condition = hn_arena_printf(in->arena, "%.*s%s%s", (int)(at - rule->condition),
                                          rule->condition, limit, at + sizeof mark - 1);
        if (!rule->condition)
            return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    }
    return HN_OK;
}

static hn_status finish_rule(const hn_config_input *in, size_t i, hn_method_rule *rule,
                             const hn_config *config, hn_error *err)
{
    static const hn_verdict meaning[] = {HN_VERDICT_FITS, HN_VERDICT_AFTER_WORKS,
                                         HN_VERDICT_RULED_OUT};
    const char *ids[HN_MAX_METHODS];
    hn_status rc = HN_OK;
    const size_t method = hn_config_find(in, i, "method", hn_config_text(in, i, "method"), "method",
                                         ids, hn_config_method_ids(config, ids), err);
    if (method == SIZE_MAX) {
        rc = HN_ERR_PLAN;
        goto out;
    }
    rule->method = (int)method;
    rule->verdict = meaning[rule->verdict];
    HN_TRY(check_works(in, i, rule, config, err));
    HN_TRY(put_limit(in, i, rule, err));
    HN_TRY(hn_config_check_sentence(in, i, "reason", isfinite(rule->limit), err));
out:
    return rc;
}

hn_status hn_config_method_rules(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {rule_cells, sizeof(hn_method_rule), 0, HN_MAX_RULES};
    static const char *const key[] = {"id", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;
    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    hn_method_rule *rules = rows;
    for (size_t i = 0; i < in.count; i++)
        HN_TRY(finish_rule(&in, i, &rules[i], out, err));
    out->rules = rules;
    out->rule_count = in.count;
out:
    return rc;
}
