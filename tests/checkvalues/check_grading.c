/* checkvalues/check_grading.c - rows of published grading schemes.
 *
 * Values that are a matter of tables are read by the engine's own reader from the
 * tables of the published cases (tests/system/cases/grading/); what is arithmetic is
 * done by engineering/grading.
 */
#include "loose_rows.h"

#include "base/arena.h"
#include "engineering/grading.h"
#include "plan/config_tables.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define CASES HN_SOURCE_DIR "/tests/system/cases/grading/"

/* The inputs of a row of local additions, and the rules that give them. */
static const struct {
    const char *inputs, *rule;
} additions[] = {
    {"drainage system: canalised stream, tightness", "stream_tightness"},
    {"drainage system: storm water, tightness", "storm_tightness"},
    {"drainage system: foul or combined, tightness", "foul_tightness"},
    {"drainage system: foul or combined, operational", "foul_service"},
    {"water-hazardous substances, tightness", "hazardous_tightness"},
    {"water protection zone IIIa, tightness", "zone_iiia_tightness"},
    {"water protection zone II, tightness", "zone_ii_tightness"},
    {"water protection zone I, tightness", "zone_i_tightness"},
    {"invert in groundwater or fluctuation zone, tightness and stability", "groundwater_tightness"},
    {"soil sandy loam/fine sand, tightness", "fine_sand_tightness"},
    {"clock position 3-9 o'clock (lower half), tightness", "lower_tightness"},
    {"clock position 9-3 o'clock (upper half), stability", "upper_structural"},
    {"at a joint, tightness", "joint_tightness"},
};

static const hn_config *tables(void)
{
    static hn_arena arena; /* lives as long as the program */
    static hn_config config;
    static int is_read;

    if (!is_read)
        is_read =
            hn_config_roll_up(CASES "roll_up.csv", &arena, &config, NULL) == HN_OK &&
            hn_config_grading_rules(CASES "grading_rules.csv", &arena, &config, NULL) == HN_OK;
    return is_read ? &config : NULL;
}

static double value_of(const char *rule)
{
    const hn_config *c = tables();

    for (size_t i = 0; c && i < c->grading_count; i++)
        if (strcmp(c->grading[i].id, rule) == 0)
            return c->grading[i].value;
    return NAN;
}

static const hn_roll_up *roll_up_of(const char *scheme)
{
    const hn_config *c = tables();

    for (size_t i = 0; c && i < c->roll_up_count; i++)
        if (strcmp(c->roll_ups[i].scheme, scheme) == 0)
            return &c->roll_ups[i];
    return NULL;
}

/* ---- points ---- */

static check_state sum_row(check_result *result)
{
    static const char *const parts[] = {
        "class_4_tightness", "foul_tightness",  "zone_iiia_tightness", "groundwater_tightness",
        "gravel_tightness",  "lower_tightness", "joint_tightness"};
    hn_defect part[7] = {{0}};

    for (size_t i = 0; i < 7; i++)
        part[i].value = value_of(parts[i]);
    return check_number(result, hn_defects_total(part, 7));
}

static check_state length_row(const check_row *row, check_result *result)
{
    hn_defect d[3] = {{1, NAN, 430, 0}, {5, 8.2, 210, 0}, {10, 20, 110, 0}};
    const hn_roll_up *roll = roll_up_of("bfr");

    if (!roll)
        return check_cannot(result, "the tables of the case cannot be read");
    for (int i = 0; i < 3; i++)
        d[i].length_m = hn_defect_length(d[i].from_m, d[i].to_m, roll->point_length_m, 0.0);
    if (strstr(row->quantity, "largest"))
        return check_number(result, hn_defects_worst(d, 3, roll->best, roll->worst));
    return check_number(result, hn_defects_length_sum(d, 3));
}

static check_state points_row(const check_row *row, check_result *result)
{
    char rule[64];
    int class;

    if (sscanf(check_inputs(row), "damage class %d", &class) == 1) {
        snprintf(rule, sizeof rule, "class_%d_tightness", class);
        return check_number(result, value_of(rule));
    }
    for (size_t i = 0; i < sizeof additions / sizeof additions[0]; i++)
        if (strcmp(check_inputs(row), additions[i].inputs) == 0)
            return check_number(result, value_of(additions[i].rule));
    if (strncmp(check_inputs(row), "class 4", 7) == 0)
        return sum_row(result);
    return length_row(row, result);
}

/* ---- surcharge ---- */

static check_state surcharge_row(const check_row *row, check_result *result)
{
    const double class[3] = {2, 3, 3}, length_m[3] = {2.5, 2.5, 6.0};
    const hn_roll_up *roll = roll_up_of("surcharge");
    hn_defect d[3] = {{0}};
    double density;

    if (!roll)
        return check_cannot(result, "the tables of the case cannot be read");
    for (int i = 0; i < 3; i++) {
        d[i].value = class[i];
        d[i].length_m =
            hn_defect_length(0, length_m[i], roll->point_length_m, roll->least_length_m);
    }
    density = hn_damage_density(d, 3, roll->best, roll->worst, 45.0);
    return check_number(result,
                        strstr(row->quantity, "ZPz") ? hn_damage_surcharge(density) : density);
}

/* ---- quick rating ---- */

static void pair_text(const hn_quick_rating *q, int pair, char *out, size_t size)
{
    if (q->least[pair] == q->most[pair])
        snprintf(out, size, "%d", q->least[pair]);
    else
        snprintf(out, size, "%d-%d", q->least[pair], q->most[pair]);
}

static check_state quick_row(const check_row *row, check_result *result)
{
    hn_quick_rating q;
    char first[16], second[16], text[64];

    if (!hn_quick_rating_read(check_inputs(row), &q))
        return check_cannot(result, "no quick rating, but a scale that was seen");
    if (strstr(row->quantity, "score"))
        return check_number(result, hn_quick_rating_score(&q));
    pair_text(&q, 0, first, sizeof first);
    pair_text(&q, 1, second, sizeof second);
    snprintf(text, sizeof text,
             strstr(row->expected, "6 defects")
                 ? "%s defects of grade %d and %s defects of grade %d"
                 : "%s defects of grade %d and %s of grade %d",
             first, q.grade[0], second, q.grade[1]);
    return check_word(result, text);
}

/* ---- bands of a peak score ---- */

static check_state band_row(const check_row *row, check_result *result)
{
    const hn_roll_up *roll = roll_up_of("peak");
    int grade, least = -1, most = -1;
    char text[32];

    if (!roll || sscanf(check_inputs(row), "grade %d", &grade) != 1)
        return check_cannot(result, "no grade in the row");
    for (int score = 0; score <= 1000; score++)
        if ((int)hn_grade_of_bands(score, roll->band) == grade) {
            least = least < 0 ? score : least;
            most = score;
        }
    if (least == 0)
        snprintf(text, sizeof text, "<%d", most + 1);
    else if (most == 1000)
        snprintf(text, sizeof text, "%d+", least);
    else
        snprintf(text, sizeof text, "%d-%d", least, most);
    return check_word(result, text);
}

/* ---- the family ---- */

typedef struct route {
    const char *key;
    check_state (*compute)(const check_row *row, check_result *result);
} route;

static check_state wording_row(const check_row *row, check_result *result)
{
    (void)row;
    return check_cannot(result, "a wording, no figure");
}

/* By what the row asks for, else by its scheme. */
static const route routes[] = {
    {"meaning", wording_row},     {"wording", wording_row}, {"SD_j", surcharge_row},
    {"ZPz", surcharge_row},       {"score band", band_row}, {"quick rating", quick_row},
    {"BFR Abwasser", points_row},
};

static const route *route_of(const check_row *row)
{
    const int is_quick = strstr(check_cell(row, "scheme"), "quick rating") != NULL;

    for (size_t i = is_quick ? 2 : 0; i < sizeof routes / sizeof *routes; i++)
        if (strstr(row->quantity, routes[i].key) ||
            strstr(check_cell(row, "scheme"), routes[i].key))
            return &routes[i];
    return NULL;
}

static int claims_grading(const check_row *row)
{
    return check_has_column(row, "evidence") && route_of(row) != NULL;
}

static check_state compute_grading(const check_row *row, check_result *result)
{
    return route_of(row)->compute(row, result);
}

const check_family check_grading = {"grading", 0, claims_grading, compute_grading};
