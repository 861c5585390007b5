/* plan/draft_guess.c - a field is guessed from its name and must then pass a
 * test of its values; the values alone decide only where they speak for
 * themselves (materials, shapes, duties). */
#include "plan/draft_guess.h"

#include "plan/draft_words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- what the values tell ---- */

static size_t filled(const hn_field_look *f)
{
    return f->rows - f->empty;
}

/* Rows with a value that is no mark of a missing one. */
static double useful(const hn_field_look *f)
{
    size_t marks = 0;

    for (size_t i = 0; i < f->mark_count; i++)
        marks += f->marks[i].count;
    return (double)filled(f) - (double)marks;
}

static double useful_share(const hn_field_look *f)
{
    return f->rows ? useful(f) / (double)f->rows : 0;
}

/* 1 when no value that means something is met twice. */
static double unlike_share(const hn_field_look *f)
{
    return useful(f) > 0 ? ((double)f->distinct - (double)f->mark_count) / useful(f) : 0;
}

static int is_numeric(const hn_field_look *f)
{
    return filled(f) > 0 && f->numbers * 10 >= filled(f) * 9 && isfinite(f->p50);
}

static int is_length(const hn_field_look *f)
{
    return f->length_ratio_share >= 0.5 && hn_guess_length_unit(f) != NULL;
}

static int is_id(const hn_field_look *f)
{
    return f->type != HN_LOOK_REAL && f->type != HN_LOOK_DATE &&
           (double)f->distinct >= 0.9 * (double)f->rows;
}

static int is_node(const hn_field_look *f)
{
    return f->type != HN_LOOK_REAL && f->type != HN_LOOK_DATE &&
           (double)f->distinct >= 0.2 * (double)f->rows && f->distinct > 1;
}

static int is_size(const hn_field_look *f)
{
    return is_numeric(f) && f->p05 > 0 && f->p95 < 20000 && !is_length(f);
}

static int is_level(const hn_field_look *f)
{
    return is_numeric(f) && f->p05 > -500 && f->p95 < 30000 && f->distinct > 3 &&
           f->type != HN_LOOK_WHOLE && !is_length(f);
}

static int is_depth(const hn_field_look *f)
{
    return is_numeric(f) && f->p05 >= 0 && f->p95 < 200 && f->distinct > 3 && !is_length(f);
}

static int is_slope(const hn_field_look *f)
{
    return is_numeric(f) && f->type != HN_LOOK_WHOLE && fabs(f->p50) < 100 && f->distinct > 12;
}

static int is_epoch_ms(const hn_field_look *f)
{
    return is_numeric(f) && fabs(f->p50) >= 1e9 && fabs(f->p50) < 1e13;
}

static int is_year(const hn_field_look *f)
{
    if (f->type == HN_LOOK_DATE || f->dates * 2 > filled(f) || is_epoch_ms(f))
        return filled(f) > 0;
    return is_numeric(f) && f->p05 >= 1500 && f->p95 <= 2200;
}

static int is_grade(const hn_field_look *f)
{
    return is_numeric(f) && f->distinct <= 14 && f->low >= 0 && f->high <= 10;
}

static int is_count(const hn_field_look *f)
{
    return is_numeric(f) && f->low >= 0 && f->high < 1000 && f->type != HN_LOOK_REAL;
}

static int is_word_list(const hn_field_look *f)
{
    return f->distinct >= 1 && f->distinct <= HN_LOOK_VALUES && f->type != HN_LOOK_REAL;
}

static int is_status(const hn_field_look *f)
{
    return f->type == HN_LOOK_TEXT && is_word_list(f) && !is_numeric(f);
}

static int is_text(const hn_field_look *f)
{
    return f->type == HN_LOOK_TEXT && f->distinct > 1;
}

/* Share of the rows listed whose value our lists know. */
static double known_share(const hn_field_look *f, hn_guess_role role)
{
    size_t known = 0, listed = 0;

    for (size_t i = 0; i < f->value_count; i++) {
        listed += f->values[i].count;
        if (hn_guess_our_value(role, f, f->values[i].text))
            known += f->values[i].count;
    }
    return listed ? (double)known / (double)listed : 0;
}

static int knows(const hn_field_look *f, hn_guess_role role)
{
    return f->type == HN_LOOK_TEXT && f->value_count == f->distinct && known_share(f, role) >= 0.5;
}

static int is_material(const hn_field_look *f)
{
    return knows(f, HN_GUESS_MATERIAL);
}

static int is_shape(const hn_field_look *f)
{
    return knows(f, HN_GUESS_SHAPE);
}

static int is_duty(const hn_field_look *f)
{
    return knows(f, HN_GUESS_DUTY);
}

/* ---- names ---- */

enum { WORDS = 4 };
#define W(class) HN_WORD_##class

/* A field whose name has all `with` and none of `without`, and whose values
 * pass, is a candidate with this weight. */
typedef struct guess_rule {
    hn_guess_role role;
    int weight;
    int (*passes)(const hn_field_look *field);
    hn_word_class with[WORDS], without[WORDS];
} guess_rule;

#define NO_END                    \
    {                             \
        W(UP), W(DOWN), W(STREET) \
    }
#define ONLY_UP            \
    {                      \
        W(DOWN), W(STREET) \
    }
#define ONLY_DOWN        \
    {                    \
        W(UP), W(STREET) \
    }
#define NO_GROUND(other_end)                    \
    {                                           \
        other_end, W(GROUND), W(DEPTH), W(SIZE) \
    }
#define ENDS(role, weight, passes, word)                                   \
    {HN_GUESS_##role##_UP, weight, passes, {W(UP), word}, ONLY_UP},        \
    {                                                                      \
        HN_GUESS_##role##_DOWN, weight, passes, {W(DOWN), word}, ONLY_DOWN \
    }

static const guess_rule rules[] = {
    {HN_GUESS_SEGMENT_ID, 60, is_id, {W(PIPE), W(ID)}, NO_END},
    {HN_GUESS_SEGMENT_ID, 50, is_id, {W(ID)}, {W(UP), W(DOWN), W(STREET), W(ROW_ID)}},
    {HN_GUESS_SEGMENT_ID, 45, is_id, {W(PIPE)}, {W(UP), W(DOWN), W(LENGTH)}},
    {HN_GUESS_SEGMENT_ID, 20, is_id, {W(ROW_ID)}, NO_END},
    {HN_GUESS_UP_NODE, 60, is_node, {W(UP), W(NODE)}, ONLY_UP},
    {HN_GUESS_UP_NODE, 50, is_node, {W(UP), W(ID)}, ONLY_UP},
    {HN_GUESS_UP_NODE, 30, is_node, {W(UP)}, ONLY_UP},
    {HN_GUESS_DOWN_NODE, 60, is_node, {W(DOWN), W(NODE)}, ONLY_DOWN},
    {HN_GUESS_DOWN_NODE, 50, is_node, {W(DOWN), W(ID)}, ONLY_DOWN},
    {HN_GUESS_DOWN_NODE, 30, is_node, {W(DOWN)}, ONLY_DOWN},
    {HN_GUESS_LENGTH, 50, is_length, {W(LENGTH)}, {W(DRAWN)}},
    ENDS(WIDTH, 60, is_size, W(SIZE)),
    {HN_GUESS_WIDTH, 60, is_size, {W(SIZE)}, NO_END},
    {HN_GUESS_HEIGHT, 60, is_size, {W(HEIGHT)}, NO_END},
    {HN_GUESS_SHAPE, 50, is_shape, {W(SHAPE)}, NO_END},
    {HN_GUESS_SHAPE, 20, is_shape, {W(TYPE)}, NO_END},
    {HN_GUESS_MATERIAL, 60, is_material, {W(MATERIAL)}, {W(NONE)}},
    {HN_GUESS_MATERIAL, 45, is_material, {W(TYPE)}, {W(NONE)}},
    {HN_GUESS_MATERIAL, 20, is_material, {W(NONE)}, {W(NONE)}},
    {HN_GUESS_DUTY, 50, is_duty, {W(DUTY)}, {W(NONE)}},
    {HN_GUESS_DUTY, 30, is_duty, {W(TYPE)}, {W(NONE)}},
    {HN_GUESS_YEAR_BUILT, 60, is_year, {W(BUILT)}, {W(LINED)}},
    {HN_GUESS_YEAR_BUILT, 30, is_year, {W(YEAR)}, {W(LINED), W(INSPECTION)}},
    {HN_GUESS_YEAR_LINED, 60, is_year, {W(LINED)}, {W(NONE)}},
    ENDS(INVERT, 60, is_level, W(INVERT)),
    {HN_GUESS_INVERT_UP, 35, is_level, {W(UP), W(LEVEL)}, NO_GROUND(W(DOWN))},
    {HN_GUESS_INVERT_DOWN, 35, is_level, {W(DOWN), W(LEVEL)}, NO_GROUND(W(UP))},
    {HN_GUESS_INVERT_UP, 20, is_level, {W(UP)}, NO_GROUND(W(DOWN))},
    {HN_GUESS_INVERT_DOWN, 20, is_level, {W(DOWN)}, NO_GROUND(W(UP))},
    ENDS(GROUND, 60, is_level, W(GROUND)),
    ENDS(DEPTH, 60, is_depth, W(DEPTH)),
    {HN_GUESS_SLOPE, 60, is_slope, {W(SLOPE)}, {W(NONE)}},
    {HN_GUESS_SLOPE, 30, is_slope, {W(GRADE)}, {W(CONDITION)}},
    {HN_GUESS_GRADE_STRUCTURAL, 60, is_grade, {W(CONDITION), W(GRADE)}, {W(SERVICE)}},
    {HN_GUESS_GRADE_STRUCTURAL, 50, is_grade, {W(CONDITION)}, {W(SERVICE)}},
    {HN_GUESS_GRADE_STRUCTURAL, 40, is_grade, {W(GRADE)}, {W(SERVICE)}},
    {HN_GUESS_GRADE_SERVICE, 60, is_grade, {W(SERVICE), W(GRADE)}, {W(NONE)}},
    {HN_GUESS_INSPECTED_ON, 60, is_year, {W(INSPECTION)}, {W(NONE)}},
    {HN_GUESS_LATERALS, 60, is_count, {W(LATERAL)}, {W(NONE)}},
    {HN_GUESS_STATUS, 50, is_status, {W(STATUS)}, {W(NONE)}},
    {HN_GUESS_OWNER, 50, is_word_list, {W(OWNER)}, {W(NONE)}},
    {HN_GUESS_DISTRICT, 50, is_word_list, {W(DISTRICT)}, {W(STREET)}},
    {HN_GUESS_STREET, 60, is_text, {W(STREET), W(NAME)}, {W(UP), W(DOWN)}},
    {HN_GUESS_STREET, 40, is_text, {W(STREET)}, {W(UP), W(DOWN)}},
    {HN_GUESS_SURFACE, 50, is_word_list, {W(SURFACE)}, NO_END},
    {HN_GUESS_SOIL, 50, is_word_list, {W(SOIL)}, NO_END},
};

static int name_fits(const guess_rule *rule, const char *name)
{
    for (int i = 0; i < WORDS; i++) {
        if (rule->with[i] != HN_WORD_NONE && !hn_name_has_word(name, rule->with[i]))
            return 0;
        if (rule->without[i] != HN_WORD_NONE && hn_name_has_word(name, rule->without[i]))
            return 0;
    }
    return 1;
}

/* 0 for no candidate; up to 10 of the score are for rows with a value, for an
 * id for values that are met once. */
static double score(const guess_rule *rule, const hn_field_look *field)
{
    if (field->type == HN_LOOK_OTHER || !name_fits(rule, field->name) || !rule->passes(field))
        return 0;
    return rule->weight +
           10 * (rule->role == HN_GUESS_SEGMENT_ID ? unlike_share(field) : useful_share(field));
}

static int is_taken(const hn_guesses *guesses, const hn_field_look *field)
{
    for (int role = 0; role < HN_GUESS_COUNT; role++)
        if (guesses->field[role] == field)
            return 1;
    return 0;
}

static const hn_field_look *best_field(const hn_layer_look *layer, hn_guess_role role,
                                       const hn_guesses *so_far)
{
    const hn_field_look *best = NULL;
    double most = 0;

    for (size_t r = 0; r < sizeof rules / sizeof rules[0]; r++)
        for (size_t f = 0; rules[r].role == role && f < layer->field_count; f++) {
            double found = score(&rules[r], &layer->fields[f]);

            if (found > most && !is_taken(so_far, &layer->fields[f])) {
                most = found;
                best = &layer->fields[f];
            }
        }
    return best;
}

void hn_guess_fields(const hn_layer_look *layer, hn_guesses *out)
{
    memset(out, 0, sizeof *out);
    for (int role = 0; role < HN_GUESS_COUNT; role++) {
        /* With a width at each end, a further size is that of something else. */
        if (role == HN_GUESS_WIDTH && out->field[HN_GUESS_WIDTH_UP] &&
            out->field[HN_GUESS_WIDTH_DOWN])
            continue;
        out->field[role] = best_field(layer, (hn_guess_role)role, out);
        out->found += out->field[role] != NULL;
    }
}

/* ---- units, dates, missing values, coded values ---- */

const char *hn_guess_role_key(hn_guess_role role)
{
#define ROLE_KEY(ID, key) key,
    static const char *const keys[] = {HN_GUESS_ROLE_LIST(ROLE_KEY)};
#undef ROLE_KEY

    return keys[role];
}

const char *hn_guess_size_unit(const hn_field_look *field)
{
    if (field->p50 >= 100)
        return "mm";
    return field->p50 >= 4 ? "in" : "m";
}

const char *hn_guess_length_unit(const hn_field_look *field)
{
    if (fabs(field->length_ratio - 1) <= 0.1)
        return "m";
    return fabs(field->length_ratio / 3.2808 - 1) <= 0.1 ? "ft" : NULL;
}

const char *hn_guess_slope_unit(const hn_field_look *field)
{
    return fabs(field->p50) < 0.1 ? "m/m" : "%";
}

const char *hn_guess_date_format(hn_guess_role role, const hn_field_look *field)
{
    if (field->type == HN_LOOK_DATE || field->dates > field->numbers)
        return NULL;
    if (is_epoch_ms(field))
        return "epoch_ms";
    return role == HN_GUESS_INSPECTED_ON ? "year" : NULL;
}

int hn_guess_is_missing(hn_guess_role role, const hn_field_look *field, const char *mark)
{
    int is_zero = strtod(mark, NULL) == 0 && strspn(mark, "-.0") == strlen(mark);

    if (!is_zero)
        return 1;
    switch (role) {
    case HN_GUESS_SLOPE:
    case HN_GUESS_LATERALS:
    case HN_GUESS_STATUS:
    case HN_GUESS_OWNER:
    case HN_GUESS_DISTRICT:
        return 0; /* a zero may be meant */
    case HN_GUESS_INVERT_UP:
    case HN_GUESS_INVERT_DOWN:
    case HN_GUESS_GROUND_UP:
    case HN_GUESS_GROUND_DOWN:
        return field->p05 > 10; /* near the sea a level of 0 is a level */
    default:
        return 1;
    }
}

int hn_guess_has_values(hn_guess_role role)
{
    return role == HN_GUESS_MATERIAL || role == HN_GUESS_SHAPE || role == HN_GUESS_DUTY;
}

/* S alone may be sanitary or storm; where F already says foul, it is storm. */
static int is_storm_beside_foul(const hn_field_look *field, const char *value)
{
    int has_foul = 0, has_storm = 0;

    if (strcmp(value, "S") != 0 && strcmp(value, "s") != 0)
        return 0;
    for (size_t i = 0; i < field->value_count; i++) {
        const char *ours = hn_duty_of_value(field->values[i].text);

        has_foul |= ours && strcmp(ours, "foul") == 0;
        has_storm |= ours && strcmp(ours, "storm") == 0;
    }
    return has_foul && !has_storm;
}

const char *hn_guess_our_value(hn_guess_role role, const hn_field_look *field, const char *value)
{
    switch (role) {
    case HN_GUESS_MATERIAL:
        return hn_material_of_value(value);
    case HN_GUESS_SHAPE:
        return hn_shape_of_value(value);
    case HN_GUESS_DUTY:
        return is_storm_beside_foul(field, value) ? "storm" : hn_duty_of_value(value);
    default:
        return NULL;
    }
}
