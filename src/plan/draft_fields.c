/* plan/draft_fields.c */
#include "plan/draft_fields.h"

#include <math.h>
#include <string.h>

enum { EXAMPLES = 4 };

static int is_grade(hn_guess_role role)
{
    return role == HN_GUESS_GRADE_STRUCTURAL || role == HN_GUESS_GRADE_SERVICE;
}

static int is_size(hn_guess_role role)
{
    return role == HN_GUESS_WIDTH || role == HN_GUESS_HEIGHT || role == HN_GUESS_WIDTH_UP ||
           role == HN_GUESS_WIDTH_DOWN;
}

static int is_level(hn_guess_role role)
{
    return role >= HN_GUESS_INVERT_UP && role <= HN_GUESS_DEPTH_DOWN;
}

/* ---- parts of a line ---- */

/* What the numbers look like; the ends too when they lie far outside. */
static void put_span(hn_draft_text *out, const hn_field_look *f)
{
    double width = f->p95 - f->p05;

    hn_draft_put(out, "most values %.6g to %.6g", f->p05, f->p95);
    if (f->low < f->p05 - width || f->high > f->p95 + width)
        hn_draft_put(out, " (all: %.6g to %.6g)", f->low, f->high);
}

/* Unit of a role, or NULL; levels follow the lengths, which can be checked
 * against the drawing. */
static const char *unit_of(hn_guess_role role, const hn_field_look *f, const hn_guesses *g)
{
    const hn_field_look *length = g->field[HN_GUESS_LENGTH];

    if (is_size(role))
        return hn_guess_size_unit(f);
    if (role == HN_GUESS_LENGTH)
        return hn_guess_length_unit(f);
    if (role == HN_GUESS_SLOPE)
        return hn_guess_slope_unit(f);
    if (is_level(role))
        return length ? hn_guess_length_unit(length) : "m";
    return NULL;
}

static size_t count_missing(hn_guess_role role, const hn_field_look *f)
{
    size_t count = 0;

    for (size_t i = 0; i < f->mark_count; i++)
        count += hn_guess_is_missing(role, f, f->marks[i].text) != 0;
    return count;
}

static void put_missing(hn_draft_text *out, hn_guess_role role, const hn_field_look *f)
{
    int first = 1;

    hn_draft_put(out, "[");
    for (size_t i = 0; i < f->mark_count; i++) {
        if (!hn_guess_is_missing(role, f, f->marks[i].text))
            continue;
        hn_draft_put(out, "%s", first ? "" : ", ");
        hn_draft_put_name(out, f->marks[i].text);
        first = 0;
    }
    hn_draft_put(out, "]");
}

static void put_marks_remark(hn_draft_text *out, hn_guess_role role, const hn_field_look *f)
{
    for (size_t i = 0; i < f->mark_count; i++) {
        hn_draft_put(out, "; ");
        hn_draft_put_remark(out, f->marks[i].text);
        hn_draft_put(out, " in %zu rows, %s", f->marks[i].count,
                     hn_guess_is_missing(role, f, f->marks[i].text) ? "taken as missing"
                                                                    : "kept as a value");
    }
    if (f->empty)
        hn_draft_put(out, "; empty in %zu rows", f->empty);
}

/* ---- one role ---- */

static void put_id_remark(hn_draft_text *out, hn_guess_role role, const hn_field_look *f)
{
    size_t repeats = f->rows - f->empty - f->distinct;

    for (size_t i = 0; i < f->mark_count; i++)
        repeats -= f->marks[i].count - 1; /* a mark is no id */
    hn_draft_put(out, "%zu distinct in %zu rows", f->distinct, f->rows);
    if (role == HN_GUESS_SEGMENT_ID && repeats > 0)
        hn_draft_put(out, "; an id given before in %zu rows", repeats);
}

static void put_remark(hn_draft_text *out, hn_guess_role role, const hn_field_look *f,
                       const char *unit)
{
    hn_draft_put(out, "  # ");
    if (role == HN_GUESS_SEGMENT_ID || role == HN_GUESS_UP_NODE || role == HN_GUESS_DOWN_NODE)
        put_id_remark(out, role, f);
    else if (role == HN_GUESS_LENGTH)
        hn_draft_put(out, "%.3g times the drawn length: unit %s", f->length_ratio, unit);
    else if (isfinite(f->p50) && !hn_guess_date_format(role, f))
        put_span(out, f);
    else
        hn_draft_put(out, "%zu distinct values", f->distinct);
    if (unit && role != HN_GUESS_LENGTH)
        hn_draft_put(out, "; unit guessed, check it");
    put_marks_remark(out, role, f);
    hn_draft_put(out, "\n");
}

static void put_short_role(hn_draft_text *out, hn_guess_role role, const hn_guesses *g)
{
    const hn_field_look *f = g->field[role];
    const char *unit = unit_of(role, f, g), *date = hn_guess_date_format(role, f);
    size_t missing = count_missing(role, f);

    hn_draft_put(out, "    %s: ", hn_guess_role_key(role));
    if (unit || date || missing)
        hn_draft_put(out, "{field: ");
    hn_draft_put_name(out, f->name);
    if (unit) {
        hn_draft_put(out, ", unit: ");
        hn_draft_put_name(out, unit);
    }
    if (date)
        hn_draft_put(out, ", date: %s", date);
    if (missing) {
        hn_draft_put(out, ", missing: ");
        put_missing(out, role, f);
    }
    if (unit || date || missing)
        hn_draft_put(out, "}");
    put_remark(out, role, f, unit);
}

static void put_counts(hn_draft_text *out, const hn_field_look *f, size_t most)
{
    for (size_t i = 0; i < f->value_count && i < most; i++) {
        hn_draft_put(out, "%s", i ? ", " : "");
        hn_draft_put_remark(out, f->values[i].text);
        hn_draft_put(out, " (%zu)", f->values[i].count);
    }
    if (f->distinct > f->value_count || f->value_count > most)
        hn_draft_put(out, " ...");
}

static void put_grade_role(hn_draft_text *out, hn_guess_role role, const hn_field_look *f)
{
    hn_draft_put(out, "    %s:\n      field: ", hn_guess_role_key(role));
    hn_draft_put_name(out, f->name);
    hn_draft_put(out, "   # values: ");
    put_counts(out, f, HN_LOOK_VALUES);
    hn_draft_put(out, "\n      best:    # FILL IN: the grade of a sound pipe; haunch never guesses "
                      "the direction\n"
                      "      worst:   # FILL IN: the grade of a failed pipe\n");
    if (count_missing(role, f) == 0)
        return;
    hn_draft_put(out, "      missing: ");
    put_missing(out, role, f);
    hn_draft_put(out, "   # a guess");
    put_marks_remark(out, role, f);
    hn_draft_put(out, "\n");
}

static void put_value_line(hn_draft_text *out, const hn_value_count *value, const char *ours)
{
    hn_draft_put(out, "        ");
    hn_draft_put_name(out, value->text);
    hn_draft_put(out, ": %s   # %zu rows\n", ours, value->count);
}

static void put_unplaced(hn_draft_text *out, hn_guess_role role, const hn_field_look *f)
{
    int first = 1;

    for (size_t i = 0; i < f->value_count; i++) {
        if (hn_guess_our_value(role, f, f->values[i].text))
            continue;
        hn_draft_put(out, first ? "      # not placed, and so unknown: " : ", ");
        hn_draft_put_remark(out, f->values[i].text);
        hn_draft_put(out, " (%zu)", f->values[i].count);
        first = 0;
    }
    if (!first)
        hn_draft_put(out, "\n");
}

static void put_coded_role(hn_draft_text *out, hn_guess_role role, const hn_field_look *f)
{
    hn_draft_put(out, "    %s:   # meanings guessed, check them", hn_guess_role_key(role));
    if (f->empty)
        hn_draft_put(out, "; empty in %zu rows", f->empty);
    hn_draft_put(out, "\n      field: ");
    hn_draft_put_name(out, f->name);
    hn_draft_put(out, "\n      values:\n");
    for (size_t i = 0; i < f->value_count; i++) {
        const char *ours = hn_guess_our_value(role, f, f->values[i].text);

        if (ours)
            put_value_line(out, &f->values[i], ours);
    }
    hn_draft_put(out, "      other: unknown\n");
    put_unplaced(out, role, f);
}

/* ---- what was not found, what is left over ---- */

static void put_not_found(hn_draft_text *out, const hn_guesses *g)
{
    int first = 1;

    for (int role = 0; role < HN_GUESS_COUNT; role++) {
        int covered = role == HN_GUESS_WIDTH && g->field[HN_GUESS_WIDTH_UP] != NULL;

        if (g->field[role] || covered)
            continue;
        hn_draft_put(out, first ? "    # nothing found for: " : ", ");
        hn_draft_put(out, "%s", hn_guess_role_key((hn_guess_role)role));
        first = 0;
    }
    if (!first)
        hn_draft_put(out, "\n    # (a role can also have one value for all rows, such as `shape: "
                          "{value: circle}`)\n");
}

static int is_used(const hn_guesses *g, const hn_field_look *f)
{
    for (int role = 0; role < HN_GUESS_COUNT; role++)
        if (g->field[role] == f)
            return 1;
    return 0;
}

static void put_left_over(hn_draft_text *out, const hn_layer_look *layer, const hn_guesses *g)
{
    hn_draft_put(out, "    # fields that no role uses:\n");
    for (size_t i = 0; i < layer->field_count; i++) {
        const hn_field_look *f = &layer->fields[i];

        if (is_used(g, f))
            continue;
        hn_draft_put(out, "    #   ");
        hn_draft_put_remark(out, f->name);
        hn_draft_put(out, ": %zu distinct, empty in %zu rows", f->distinct, f->empty);
        if (f->value_count)
            hn_draft_put(out, "; ");
        put_counts(out, f, EXAMPLES);
        hn_draft_put(out, "\n");
    }
}

static void put_role(hn_draft_text *out, hn_guess_role role, const hn_guesses *g)
{
    if (!g->field[role])
        return;
    if (is_grade(role))
        put_grade_role(out, role, g->field[role]);
    else if (hn_guess_has_values(role))
        put_coded_role(out, role, g->field[role]);
    else
        put_short_role(out, role, g);
}

void hn_draft_put_fields(hn_draft_text *out, const hn_layer_look *layer, const hn_guesses *g)
{
    hn_draft_put(out, "  fields:\n");
    if (!g->field[HN_GUESS_SEGMENT_ID])
        hn_draft_put(out, "    segment_id: fid   # no field is distinct in nearly all rows; fid is "
                          "the row number, which may change\n");
    for (int role = 0; role < HN_GUESS_COUNT; role++)
        put_role(out, (hn_guess_role)role, g);
    put_not_found(out, g);
    put_left_over(out, layer, g);
}
