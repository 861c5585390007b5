/* plan/config_grading.c - codes of observations, and how they become grades. */
#include "plan/config_table.h"
#include "plan/config_tables.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define DRIVER_CELL(type, need)                                                                   \
    {                                                                                             \
        "driver", HN_CELL_CHOICE, need, (long)offsetof(type, driver), 0, 0, hn_config_drivers, -1 \
    }
#define YES_NO_CELL(type, field)                                                   \
    {                                                                              \
#field, HN_CELL_CHOICE, HN_CELL_COLUMN, (long)offsetof(type, field), 0, 0, \
            hn_config_no_yes, 0                                                    \
    }
#define END_OF_CELLS                                           \
    {                                                          \
        NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0 \
    }

/* ---- codes ---- */

/* In the order of hn_survey_mark. */
static const char *const survey_marks[] = {"none", "finish", "abandoned", NULL};

static const hn_cell_spec code_cells[] = {
    HN_TEXT_CELL(hn_observation_code, code_set, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_observation_code, code, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_observation_code, characterisation, HN_CELL_COLUMN),
    HN_TEXT_CELL(hn_observation_code, meaning, HN_CELL_VALUE),
    DRIVER_CELL(hn_observation_code, HN_CELL_COLUMN),
    YES_NO_CELL(hn_observation_code, continuous),
    {"survey", HN_CELL_CHOICE, HN_CELL_COLUMN, (long)offsetof(hn_observation_code, survey), 0, 0,
     survey_marks, HN_SURVEY_NOTHING},
    HN_TEXT_CELL(hn_observation_code, source, HN_CELL_VALUE),
    END_OF_CELLS,
};

hn_status hn_config_observation_codes(const char *path, hn_arena *arena, hn_config *out,
                                      hn_error *err)
{
    static const hn_table_spec spec = {code_cells, sizeof(hn_observation_code), 0, 60000};
    static const char *const key[] = {"code_set", "code", "characterisation", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;

    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    out->codes = rows;
    out->code_count = in.count;
out:
    return rc;
}

/* ---- roll-ups ---- */

/* In the order of hn_roll_up_kind. */
static const char *const kinds[] = {"worst",      "peak",        "mean",      "total", "per_length",
                                    "length_sum", "length_mean", "surcharge", NULL};

static const hn_cell_spec roll_up_cells[] = {
    HN_TEXT_CELL(hn_roll_up, scheme, HN_CELL_VALUE),
    DRIVER_CELL(hn_roll_up, HN_CELL_VALUE),
    {"roll_up", HN_CELL_CHOICE, HN_CELL_VALUE, (long)offsetof(hn_roll_up, kind), 0, 0, kinds, 0},
    HN_NUMBER_CELL(hn_roll_up, best, HN_CELL_VALUE, -1e6, 1e6),
    HN_NUMBER_CELL(hn_roll_up, worst, HN_CELL_VALUE, -1e6, 1e6),
    {"bands", HN_CELL_TEXT, HN_CELL_COLUMN, HN_CELL_NO_FIELD, 0, 0, NULL, 0},
    HN_NUMBER_CELL(hn_roll_up, point_length_m, HN_CELL_VALUE, 0.001, 100),
    HN_NUMBER_CELL(hn_roll_up, least_length_m, HN_CELL_COLUMN, 0, 100),
    HN_TEXT_CELL(hn_roll_up, source, HN_CELL_VALUE),
    END_OF_CELLS,
};

static hn_status fail_bands(const hn_config_input *in, size_t i, const char *text, hn_error *err)
{
    const hn_status rc =
        hn_config_fail(in, i, "bands", err, "\"%s\" is not four rising numbers", text);

    hn_hint(err, "give the least values of grades 2, 3, 4 and 5, such as 10;40;80;165; or leave "
                 "it blank when the value is a grade between best and worst");
    return rc;
}

static hn_status read_bands(const hn_config_input *in, size_t i, hn_roll_up *row, hn_error *err)
{
    const char *text = hn_config_text(in, i, "bands"), *at = text;

    for (int g = 0; g < 4; g++) {
        char *end;

        row->band[g] = (double)NAN;
        if (!*text)
            continue;
        row->band[g] = strtod(at, &end);
        if (end == at || !isfinite(row->band[g]) || (g && !(row->band[g] > row->band[g - 1])) ||
            *end != (g < 3 ? ';' : '\0'))
            return fail_bands(in, i, text, err);
        at = end + 1;
    }
    return HN_OK;
}

static hn_status check_ends(const hn_config_input *in, size_t i, const hn_roll_up *row,
                            hn_error *err)
{
    const int needs_bands = row->kind != HN_ROLL_WORST && row->kind != HN_ROLL_MEAN &&
                            row->kind != HN_ROLL_LENGTH_MEAN && row->kind != HN_ROLL_SURCHARGE;

    if (!(row->best < row->worst) && !(row->best > row->worst))
        return hn_config_fail(in, i, "worst", err, "best and worst are the same: %g", row->best);
    if (needs_bands && isnan(row->band[0]))
        return hn_config_fail(in, i, "bands", err, "roll-up %s gives a sum and needs bands",
                              kinds[row->kind]);
    if (!isnan(row->band[0]) && row->worst < row->best)
        return hn_config_fail(in, i, "bands", err, "bands need points that rise with damage");
    return HN_OK;
}

static hn_status number_scheme(const hn_config_input *in, size_t i, hn_roll_up *row, hn_config *out,
                               hn_error *err)
{
    for (size_t s = 0; s < out->scheme_count; s++)
        if (strcmp(out->schemes[s], row->scheme) == 0) {
            row->scheme_index = (int)s;
            return HN_OK;
        }
    if (out->scheme_count == HN_MAX_SCHEMES)
        return hn_config_fail(in, i, "scheme", err, "at most %d schemes are accepted",
                              HN_MAX_SCHEMES);
    row->scheme_index = (int)out->scheme_count;
    out->schemes[out->scheme_count++] = row->scheme;
    return HN_OK;
}

hn_status hn_config_roll_up(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {roll_up_cells, sizeof(hn_roll_up), 0,
                                       (size_t)HN_MAX_SCHEMES * HN_DRIVERS};
    static const char *const key[] = {"scheme", "driver", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_roll_up *row;
    hn_status rc = HN_OK;

    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    row = rows;
    for (size_t i = 0; i < in.count; i++) {
        HN_TRY(read_bands(&in, i, &row[i], err));
        HN_TRY(check_ends(&in, i, &row[i], err));
        HN_TRY(number_scheme(&in, i, &row[i], out, err));
    }
    out->roll_ups = row;
    out->roll_up_count = in.count;
out:
    return rc;
}

/* ---- rules ---- */

/* In the order of hn_rule_effect. */
static const char *const effects[] = {"gives", "adds", "times", NULL};

static const hn_cell_spec rule_cells[] = {
    {"scheme", HN_CELL_TEXT, HN_CELL_VALUE, HN_CELL_NO_FIELD, 0, 0, NULL, 0},
    HN_TEXT_CELL(hn_grading_rule, id, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_grading_rule, codes, HN_CELL_COLUMN),
    HN_TEXT_CELL(hn_grading_rule, condition, HN_CELL_COLUMN),
    DRIVER_CELL(hn_grading_rule, HN_CELL_VALUE),
    HN_NUMBER_CELL(hn_grading_rule, value, HN_CELL_VALUE, -1e6, 1e6),
    {"effect", HN_CELL_CHOICE, HN_CELL_COLUMN, (long)offsetof(hn_grading_rule, effect), 0, 0,
     effects, HN_RULE_GIVES},
    HN_NUMBER_CELL(hn_grading_rule, point_length_m, HN_CELL_COLUMN, 0.001, 100),
    HN_TEXT_CELL(hn_grading_rule, source, HN_CELL_VALUE),
    END_OF_CELLS,
};

static const hn_roll_up *roll_up_of(const hn_config *c, int scheme, int driver)
{
    for (size_t i = 0; i < c->roll_up_count; i++)
        if (c->roll_ups[i].scheme_index == scheme && c->roll_ups[i].driver == driver)
            return &c->roll_ups[i];
    return NULL;
}

static hn_status finish_rule(const hn_config_input *in, size_t i, hn_grading_rule *rule,
                             const hn_config *c, hn_error *err)
{
    const char *scheme = hn_config_text(in, i, "scheme");
    const size_t s = hn_config_find(in, i, "scheme", scheme, "scheme of roll_up", c->schemes,
                                    c->scheme_count, err);
    const hn_roll_up *roll;

    if (s == SIZE_MAX)
        return HN_ERR_PLAN;
    rule->scheme = (int)s;
    roll = roll_up_of(c, rule->scheme, rule->driver);
    if (!roll)
        return hn_config_fail(in, i, "driver", err, "scheme %s has no roll-up for %s", scheme,
                              hn_config_drivers[rule->driver]);
    if (rule->effect == HN_RULE_GIVES && isnan(roll->band[0]) &&
        !(rule->value >= fmin(roll->best, roll->worst) &&
          rule->value <= fmax(roll->best, roll->worst)))
        return hn_config_fail(in, i, "value", err, "%g lies outside the scheme's scale %g to %g",
                              rule->value, roll->best, roll->worst);
    return HN_OK;
}

hn_status hn_config_grading_rules(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {rule_cells, sizeof(hn_grading_rule), 0, 2000};
    static const char *const key[] = {"scheme", "id", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_grading_rule *rule;
    hn_status rc = HN_OK;

    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    rule = rows;
    for (size_t i = 0; i < in.count; i++)
        HN_TRY(finish_rule(&in, i, &rule[i], out, err));
    out->grading = rule;
    out->grading_count = in.count;
out:
    return rc;
}
