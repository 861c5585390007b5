/* plan/config_judgement.c - consequence, act-now and data-quality rules, and
 * the register of overrides. */
#include "plan/config_table.h"
#include "plan/config_tables.h"

#include "base/dates.h"
#include "table/segment_table.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* ---- consequence ---- */

#define SHARE_CELL(column, driver)                                                                \
    {                                                                                             \
        column, HN_CELL_NUMBER, HN_CELL_VALUE, (long)offsetof(hn_factor_class, share[driver]), 0, \
            1, NULL, 0                                                                            \
    }

static const hn_cell_spec factor_cells[] = {
    HN_TEXT_CELL(hn_factor_class, factor, HN_CELL_VALUE),
    {"class", HN_CELL_TEXT, HN_CELL_VALUE, (long)offsetof(hn_factor_class, name), 0, 0, NULL, 0},
    HN_TEXT_CELL(hn_factor_class, condition, HN_CELL_VALUE),
    HN_NUMBER_CELL(hn_factor_class, points, HN_CELL_VALUE, 0, 1000),
    HN_TEXT_CELL(hn_factor_class, money, HN_CELL_VALUE),
    SHARE_CELL("structural_share", HN_STRUCTURAL),
    SHARE_CELL("service_share", HN_SERVICE),
    SHARE_CELL("tightness_share", HN_TIGHTNESS),
    HN_TEXT_CELL(hn_factor_class, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

static int factor_known(const hn_config *config, const char *name)
{
    for (size_t f = 0; f < config->factor_count; f++)
        if (strcmp(config->factor_names[f], name) == 0)
            return 1;
    return 0;
}

static hn_status begin_factor(const hn_config_input *in, size_t i, hn_config *out, const char *name,
                              hn_error *err)
{
    if (factor_known(out, name))
        return hn_config_fail(in, i, "factor", err,
                              "the classes of factor \"%s\" do not stand together", name);
    if (out->factor_count == HN_MAX_FACTORS)
        return hn_config_fail(in, i, "factor", err, "at most %d factors are accepted",
                              HN_MAX_FACTORS);
    out->factor_names[out->factor_count++] = name;
    return HN_OK;
}

/* The last class takes what no other took, so that a missing value has a
 * class, and points, of its own instead of none. */
static hn_status check_last_class(const hn_config_input *in, size_t i, const hn_factor_class *class,
                                  hn_error *err)
{
    if (strcmp(class->condition, "1") == 0)
        return HN_OK;
    const hn_status rc =
        hn_config_fail(in, i, "condition", err,
                       "the last class of factor \"%s\" must have the condition 1", class->factor);
    hn_hint(err, "add a class for values that are not known");
    return rc;
}

/* A failure that pays is a slip of the pen; money that varies is looked at row by
 * row when it is worked out. */
static hn_status check_money(const hn_config_input *in, size_t i, const hn_factor_class *class,
                             hn_error *err)
{
    char *end;
    const double money = strtod(class->money, &end);
    hn_status rc;

    if (*end != '\0' || money >= 0.0)
        return HN_OK;
    rc = hn_config_fail(in, i, "money", err, "%g is negative", money);
    hn_hint(err, "accepted: 0 or more, or an SQL expression; what a failure saves belongs to no "
                 "consequence");
    return rc;
}

static hn_status number_factors(const hn_config_input *in, hn_factor_class *rows, hn_config *out,
                                hn_error *err)
{
    hn_status rc = HN_OK;
    for (size_t i = 0; i < in->count; i++) {
        if (i == 0 || strcmp(rows[i].factor, rows[i - 1].factor) != 0)
            HN_TRY(begin_factor(in, i, out, rows[i].factor, err));
        rows[i].factor_index = (int)out->factor_count - 1;
        HN_TRY(check_money(in, i, &rows[i], err));
        if (i + 1 == in->count || strcmp(rows[i].factor, rows[i + 1].factor) != 0)
            HN_TRY(check_last_class(in, i, &rows[i], err));
    }
out:
    return rc;
}

hn_status hn_config_consequence(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {factor_cells, sizeof(hn_factor_class), 0, 1000};
    static const char *const key[] = {"factor", "class", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;
    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    HN_TRY(number_factors(&in, rows, out, err));
    out->factors = rows;
    out->factor_class_count = in.count;
out:
    return rc;
}

/* ---- act now ---- */

static const hn_cell_spec act_now_cells[] = {
    HN_TEXT_CELL(hn_act_now_rule, id, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_act_now_rule, condition, HN_CELL_VALUE),
    {"within_days", HN_CELL_WHOLE, HN_CELL_VALUE, (long)offsetof(hn_act_now_rule, within_days), 0,
     3650, NULL, 0},
    HN_TEXT_CELL(hn_act_now_rule, reason, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_act_now_rule, caution, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_act_now_rule, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

hn_status hn_config_act_now(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    /* 254: the rule is kept as a code column, 255 is missing. */
    static const hn_table_spec spec = {act_now_cells, sizeof(hn_act_now_rule), 0, 254};
    static const char *const key[] = {"id", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;
    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    for (size_t i = 0; i < in.count; i++) {
        HN_TRY(hn_config_check_sentence(&in, i, "reason", 0, err));
        HN_TRY(hn_config_check_sentence(&in, i, "caution", 0, err));
    }
    out->act_now = rows;
    out->act_now_count = in.count;
out:
    return rc;
}

/* ---- data quality ---- */

static const char *const severities[] = {"error", "warning", "note", NULL};
static const char *const checks[] = {"duplicate_id",
                                     "duplicate_geometry",
                                     "fragment_merged",
                                     "ends_do_not_meet",
                                     "pseudo_node_id",
                                     "length_differs",
                                     "date_in_future",
                                     "dates_assigned_in_one_day",
                                     "adverse_slope",
                                     "inspection_before_built",
                                     "no_geometry",
                                     "observations_overlap",
                                     "observation_beyond_end",
                                     "observation_unknown_code",
                                     "observation_cannot_tell",
                                     "observation_no_inspection",
                                     "observation_duplicate",
                                     "observation_before_built",
                                     "observation_not_closed",
                                     "surveyed_length_differs",
                                     "observation_no_distance",
                                     "grade_differs_from_recorded",
                                     "observation_unmatched",
                                     "observation_on_piece",
                                     "grades_all_same",
                                     "repeat_grades_never_differ",
                                     "grades_follow_age",
                                     "grades_fall_with_age",
                                     "grade_zero"};

static const hn_cell_spec quality_cells[] = {
    HN_TEXT_CELL(hn_quality_rule, id, HN_CELL_VALUE),
    {"severity", HN_CELL_CHOICE, HN_CELL_VALUE, (long)offsetof(hn_quality_rule, severity), 0, 0,
     severities, 0},
    HN_TEXT_CELL(hn_quality_rule, condition, HN_CELL_COLUMN),
    HN_TEXT_CELL(hn_quality_rule, check, HN_CELL_COLUMN),
    HN_TEXT_CELL(hn_quality_rule, message, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_quality_rule, effect, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_quality_rule, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

static hn_status finish_quality(const hn_config_input *in, size_t i, const hn_quality_rule *rule,
                                hn_error *err)
{
    if (!rule->condition == !rule->check)
        return hn_config_fail(in, i, "condition", err,
                              "a rule has either a condition or a check, not %s",
                              rule->check ? "both" : "neither");
    if (rule->check && hn_config_find(in, i, "check", rule->check, "check", checks,
                                      sizeof checks / sizeof *checks, err) == SIZE_MAX)
        return HN_ERR_PLAN;
    return hn_config_check_sentence(in, i, "message", 0, err);
}

hn_status hn_config_quality_rules(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {quality_cells, sizeof(hn_quality_rule), 0, 1000};
    static const char *const key[] = {"id", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;
    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    const hn_quality_rule *rule = rows;
    for (size_t i = 0; i < in.count; i++)
        HN_TRY(finish_quality(&in, i, &rule[i], err));
    out->quality = rows;
    out->quality_count = in.count;
out:
    return rc;
}

/* ---- overrides ---- */

static const hn_cell_spec override_cells[] = {
    HN_TEXT_CELL(hn_override, segment_id, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_override, what, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_override, value, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_override, reason, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_override, who, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_override, date, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

/* "priority", "method", "year", "cost", or a column that the owner recorded. */
static size_t overridable(const char *names[HN_COL_COUNT + 4])
{
    size_t count = 0;
    names[count++] = "priority";
    names[count++] = "method";
    names[count++] = "year";
    names[count++] = "cost";
    for (int c = 0; c < HN_COL_COUNT; c++) {
        const hn_column_def *def = hn_column_definition((hn_column_id)c);
        if (strcmp(def->owner, "read") == 0 && c != HN_COL_SEGMENT_ID)
            names[count++] = def->name;
    }
    return count;
}

static hn_status finish_override(const hn_config_input *in, size_t i, hn_override *row,
                                 const hn_config *config, hn_error *err)
{
    const char *names[HN_COL_COUNT + 4], *ids[HN_MAX_METHODS];
    const size_t count = overridable(names);
    int32_t days = 0;
    row->line = in->line[i];
    if (hn_config_find(in, i, "what", row->what, "thing to override", names, count, err) ==
        SIZE_MAX)
        return HN_ERR_PLAN;
    if (strcmp(row->what, "method") == 0 &&
        hn_config_find(in, i, "value", row->value, "method", ids, hn_config_method_ids(config, ids),
                       err) == SIZE_MAX)
        return HN_ERR_PLAN;
    if (strlen(row->date) != 10 || !hn_date_parse(row->date, &days))
        return hn_config_fail(in, i, "date", err, "\"%s\" is not a date; accepted is YYYY-MM-DD",
                              row->date);
    return HN_OK;
}

hn_status hn_config_overrides(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {override_cells, sizeof(hn_override), 1, 0};
    static const char *const key[] = {"segment_id", "what", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;
    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    hn_override *row = rows;
    for (size_t i = 0; i < in.count; i++)
        HN_TRY(finish_override(&in, i, &row[i], out, err));
    out->overrides = row;
    out->override_count = in.count;
out:
    return rc;
}
