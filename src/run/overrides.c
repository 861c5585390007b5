#include "run/overrides.h"

#include "base/alloc.h"
#include "table/codes.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *const hn_override_state_names[] = {"not applied",          "applied",
                                               "no such segment",      "changes nothing",
                                               "value cannot be used", "replaced by an inspection"};

/* Rows are in the order of their ids: a binary search finds one. */
int64_t hn_state_find_row(const hn_table *t, const char *segment_id)
{
    size_t low = 0, high = t->rows;

    while (low < high) {
        size_t middle = low + (high - low) / 2;
        int order = strcmp(hn_table_text(t, HN_COL_SEGMENT_ID, middle), segment_id);

        if (order == 0)
            return (int64_t)middle;
        if (order < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return -1;
}

static hn_status mark(hn_state *s, size_t i, size_t row, hn_override_state state, hn_error *err)
{
    hn_status rc = HN_OK;

    s->override_state[i] = (uint8_t)state;
    if (state != HN_OVERRIDE_APPLIED && state != HN_OVERRIDE_SAME)
        goto out;
    HN_TRY(hn_table_want(s->table, HN_COL_OVERRIDDEN, err));
    HN_CODE(s->table, OVERRIDDEN)[row] = 1;
out:
    return rc;
}

static int to_number(const char *text, double *value)
{
    char *end;

    *value = strtod(text, &end);
    return end != text && *end == '\0' && *value - *value == 0.0;
}

/* Only levels and slopes may be negative; a pipe has a size and a length. */
static int makes_sense(hn_column_id id, double value)
{
    switch (id) {
    case HN_COL_INVERT_UP_M:
    case HN_COL_INVERT_DOWN_M:
    case HN_COL_GROUND_UP_M:
    case HN_COL_GROUND_DOWN_M:
    case HN_COL_SLOPE_RECORDED:
        return 1;
    case HN_COL_WIDTH_MM:
    case HN_COL_HEIGHT_MM:
    case HN_COL_LENGTH_RECORDED_M:
        return value > 0.0;
    case HN_COL_GRADE_STRUCTURAL:
    case HN_COL_GRADE_SERVICE:
    case HN_COL_GRADE_TIGHTNESS:
        return value >= 1.0 && value <= 5.0;
    default:
        return value >= 0.0;
    }
}

static hn_override_state set_fact(hn_table *t, hn_column_id id, size_t row, const char *text)
{
    const char *const *names = hn_column_codes(id);
    double value = (double)NAN;
    int code;

    switch (hn_column_definition(id)->kind) {
    case HN_KIND_F64:
    case HN_KIND_F32:
        if (!to_number(text, &value) || !makes_sense(id, value))
            return HN_OVERRIDE_NOT_USABLE;
        if (hn_table_number(t, id, row) == value)
            return HN_OVERRIDE_SAME;
        hn_table_set_number(t, id, row, value);
        return HN_OVERRIDE_APPLIED;
    case HN_KIND_STR:
        if (strcmp(hn_table_text(t, id, row), text) == 0)
            return HN_OVERRIDE_SAME;
        ((uint32_t *)t->column[id])[row] = hn_text_pool_add(t->texts, text, strlen(text));
        return HN_OVERRIDE_APPLIED;
    case HN_KIND_CODE:
    case HN_KIND_BOOL:
        code = names ? hn_code_of(names, text) : to_number(text, &value) ? value != 0.0 : -1;
        if (code < 0)
            return HN_OVERRIDE_NOT_USABLE;
        if (((uint8_t *)t->column[id])[row] == code)
            return HN_OVERRIDE_SAME;
        ((uint8_t *)t->column[id])[row] = (uint8_t)code;
        return HN_OVERRIDE_APPLIED;
    default:
        return HN_OVERRIDE_NOT_USABLE;
    }
}

static int is_choice(const char *what)
{
    return strcmp(what, "method") == 0 || strcmp(what, "cost") == 0 || strcmp(what, "year") == 0 ||
           strcmp(what, "priority") == 0;
}

hn_status hn_overrides_apply_facts(hn_state *s, hn_error *err)
{
    const hn_config *config = &s->plan->config;
    hn_status rc = HN_OK;

    s->override_state = hn_alloc(config->override_count, 1);
    HN_TRY_ALLOC(s->override_state);
    HN_TRY(hn_table_want(s->table, HN_COL_OVERRIDDEN, err));
    memset(HN_CODE(s->table, OVERRIDDEN), 0, s->table->rows);
    for (size_t i = 0; i < config->override_count; i++) {
        const hn_override *o = &config->overrides[i];
        int64_t row = hn_state_find_row(s->table, o->segment_id);
        hn_column_id id = hn_column_find(o->what);

        if (is_choice(o->what))
            continue;
        if (row < 0 || id == HN_COL_COUNT) {
            s->override_state[i] =
                (uint8_t)(row < 0 ? HN_OVERRIDE_NO_SEGMENT : HN_OVERRIDE_NOT_USABLE);
            continue;
        }
        HN_TRY(hn_table_want(s->table, id, err));
        HN_TRY(mark(s, i, (size_t)row, set_fact(s->table, id, (size_t)row, o->value), err));
    }
out:
    return rc;
}

static int method_named(const hn_config *config, const char *id)
{
    for (size_t m = 0; m < config->method_count; m++)
        if (strcmp(config->methods[m].id, id) == 0)
            return (int)m;
    return -1;
}

static hn_override_state set_method(hn_state *s, size_t row, const char *value)
{
    int method = method_named(&s->plan->config, value);

    if (method < 0)
        return HN_OVERRIDE_NOT_USABLE;
    if (hn_code(s->table, HN_COL_METHOD, row) == method)
        return HN_OVERRIDE_SAME;
    hn_options_force(s->judged, row, method);
    return HN_OVERRIDE_APPLIED;
}

static hn_override_state set_cost(hn_state *s, size_t row, const char *value)
{
    hn_table *t = s->table;
    double cost;

    if (!to_number(value, &cost) || cost < 0.0)
        return HN_OVERRIDE_NOT_USABLE;
    if (HN_F64(t, COST)[row] == cost)
        return HN_OVERRIDE_SAME;
    HN_F64(t, COST)[row] = cost;
    return HN_OVERRIDE_APPLIED;
}

/* Methods first: a cost stated by a person holds for the method that is left. */
hn_status hn_overrides_apply_choices(hn_state *s, hn_error *err)
{
    const hn_config *config = &s->plan->config;
    hn_status rc = HN_OK;

    for (int pass = 0; pass < 2; pass++) {
        for (size_t i = 0; i < config->override_count; i++) {
            const hn_override *o = &config->overrides[i];
            int64_t row = hn_state_find_row(s->table, o->segment_id);

            if (strcmp(o->what, pass == 0 ? "method" : "cost") != 0)
                continue;
            if (row < 0)
                s->override_state[i] = HN_OVERRIDE_NO_SEGMENT;
            else
                HN_TRY(mark(s, i, (size_t)row,
                            pass == 0 ? set_method(s, (size_t)row, o->value)
                                      : set_cost(s, (size_t)row, o->value),
                            err));
        }
    }
out:
    return rc;
}

hn_status hn_overrides_add_years(hn_state *s, hn_error *err)
{
    const hn_config *config = &s->plan->config;
    hn_status rc = HN_OK;

    for (size_t i = 0; i < config->override_count; i++) {
        const hn_override *o = &config->overrides[i];
        int64_t row = hn_state_find_row(s->table, o->segment_id);
        double year;

        if (strcmp(o->what, "year") != 0)
            continue;
        if (row < 0) {
            s->override_state[i] = HN_OVERRIDE_NO_SEGMENT;
            continue;
        }
        if (!to_number(o->value, &year) || year != floor(year) || year < s->plan->first_year ||
            year >= s->plan->first_year + s->plan->years) {
            s->override_state[i] = HN_OVERRIDE_NOT_USABLE;
            continue;
        }
        s->commitments[s->commitment_count++] =
            (hn_commitment){(uint32_t)row, (int32_t)year, (double)NAN};
        HN_TRY(mark(s, i, (size_t)row, HN_OVERRIDE_APPLIED, err));
    }
out:
    return rc;
}

static int has_placed(const hn_state *s)
{
    for (size_t i = 0; i < s->plan->config.override_count; i++)
        if (strcmp(s->plan->config.overrides[i].what, "priority") == 0)
            return 1;
    return 0;
}

/* Row to stand at each place; places nobody set are UINT32_MAX. Two on one place: the
 * first row of the register has it. */
static hn_status placed_rows(hn_state *s, uint32_t *at, hn_error *err)
{
    const hn_config *config = &s->plan->config;
    hn_status rc = HN_OK;

    for (size_t i = 0; i < config->override_count; i++) {
        const hn_override *o = &config->overrides[i];
        int64_t row = hn_state_find_row(s->table, o->segment_id);
        double place;

        if (strcmp(o->what, "priority") != 0)
            continue;
        if (row < 0) {
            s->override_state[i] = HN_OVERRIDE_NO_SEGMENT;
        } else if (!to_number(o->value, &place) || place != floor(place) || place < 1.0 ||
                   place > (double)s->table->rows || at[(size_t)place - 1] != UINT32_MAX) {
            s->override_state[i] = HN_OVERRIDE_NOT_USABLE;
        } else {
            at[(size_t)place - 1] = (uint32_t)row;
            HN_TRY(mark(s, i, (size_t)row,
                        HN_I32(s->table, PRIORITY)[row] == (int32_t)place ? HN_OVERRIDE_SAME
                                                                          : HN_OVERRIDE_APPLIED,
                        err));
            HN_TRY(hn_table_want(s->table, HN_COL_PRIORITY_COMPUTED, err));
            HN_I32(s->table, PRIORITY_COMPUTED)[row] = HN_I32(s->table, PRIORITY)[row];
        }
    }
out:
    return rc;
}

hn_status hn_overrides_move_ranks(hn_state *s, hn_error *err)
{
    const size_t rows = s->table->rows;
    uint32_t *at = NULL, *row_at = NULL;
    hn_status rc = HN_OK;

    if (!has_placed(s))
        return HN_OK;
    at = hn_alloc(rows, sizeof *at);
    row_at = hn_alloc(rows, sizeof *row_at);
    HN_TRY_ALLOC(at);
    HN_TRY_ALLOC(row_at);
    memset(at, 0xff, rows * sizeof *at);
    HN_TRY(placed_rows(s, at, err));
    if (!s->table->column[HN_COL_PRIORITY_COMPUTED])
        goto out;
    for (size_t row = 0; row < rows; row++)
        row_at[HN_I32(s->table, PRIORITY)[row] - 1] = (uint32_t)row;
    for (size_t place = 0, next = 0; place < rows; place++) {
        if (at[place] == UINT32_MAX) {
            while (HN_I32(s->table, PRIORITY_COMPUTED)[row_at[next]] != HN_I32_MISSING)
                next++;
            at[place] = row_at[next++];
        }
    }
    for (size_t place = 0; place < rows; place++)
        HN_I32(s->table, PRIORITY)[at[place]] = (int32_t)(place + 1);
out:
    hn_free(at);
    hn_free(row_at);
    return rc;
}
