#include "run/defaults.h"

#include "run/sensitivity.h"

#include "base/alloc.h"
#include "table/codes.h"

#include <string.h>

static int is_read_column(hn_column_id id)
{
    return strcmp(hn_column_definition(id)->owner, "read") == 0;
}

static size_t fill_numbers(hn_table *t, hn_column_id id, double value)
{
    size_t used = 0;

    for (size_t i = 0; i < t->rows; i++) {
        if (hn_column_definition(id)->kind == HN_KIND_F64) {
            double *v = t->column[id];

            used += isnan(v[i]) != 0;
            v[i] = isnan(v[i]) ? value : v[i];
        } else {
            float *v = t->column[id];

            used += isnan(v[i]) != 0;
            v[i] = isnan(v[i]) ? (float)value : v[i];
        }
    }
    return used;
}

static size_t fill_texts(hn_table *t, hn_column_id id, const char *text)
{
    uint32_t value = hn_text_pool_add(t->texts, text, strlen(text)), *v = t->column[id];
    size_t used = 0;

    for (size_t i = 0; i < t->rows && value != UINT32_MAX; i++) {
        used += v[i] == 0;
        v[i] = v[i] == 0 ? value : v[i];
    }
    return used;
}

static size_t fill_codes(hn_table *t, hn_column_id id, const hn_default *d)
{
    const char *const *names = hn_column_codes(id);
    int code = names && d->text ? hn_code_of(names, d->text) : d->number != 0.0;
    uint8_t *v = t->column[id];
    size_t used = 0;

    for (size_t i = 0; i < t->rows && code >= 0; i++) {
        used += v[i] == HN_CODE_MISSING;
        v[i] = v[i] == HN_CODE_MISSING ? (uint8_t)code : v[i];
    }
    return used;
}

static int is_missing(const hn_table *t, hn_column_id id, size_t row)
{
    switch (hn_column_definition(id)->kind) {
    case HN_KIND_STR:
        return hn_str(t, id, row) == 0;
    case HN_KIND_CODE:
    case HN_KIND_BOOL:
        return hn_code(t, id, row) == HN_CODE_MISSING;
    default:
        return isnan(hn_table_number(t, id, row));
    }
}

/* Before the gaps are filled. */
static hn_status note_taken(hn_state *s, size_t i, hn_error *err)
{
    const hn_column_id id = (hn_column_id)s->plan->defaults[i].column;

    if (s->table->rows > HN_RELIANCE_ROWS || i >= HN_RELIANCE_DEFAULTS)
        return HN_OK;
    if (!s->default_taken)
        s->default_taken = hn_alloc(s->table->rows, sizeof *s->default_taken);
    if (!s->default_taken)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t row = 0; row < s->table->rows; row++)
        if (is_missing(s->table, id, row))
            s->default_taken[row] |= (uint64_t)1 << i;
    return HN_OK;
}

/* Before the gaps are filled. */
static void watch(hn_state *s, size_t i)
{
    int64_t row = hn_state_find_row(s->table, s->watched_id);

    s->default_watched[i] =
        row >= 0 && is_missing(s->table, (hn_column_id)s->plan->defaults[i].column, (size_t)row);
}

/* Which rows are about to take the default: the variations change it there. */
static hn_status note_filled(hn_state *s, size_t i, hn_error *err)
{
    const hn_column_id id = (hn_column_id)s->plan->defaults[i].column;
    uint8_t *filled = hn_alloc(s->table->rows / 8 + 1, 1);

    if (!filled)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    s->default_filled[i] = filled;
    for (size_t row = 0; row < s->table->rows; row++)
        if (is_missing(s->table, id, row))
            filled[row / 8] |= (uint8_t)(1U << row % 8);
    return HN_OK;
}

static hn_status apply(hn_state *s, size_t i, hn_error *err)
{
    const hn_default *d = &s->plan->defaults[i];
    hn_column_id id = (hn_column_id)d->column;
    hn_kind kind = hn_column_definition(id)->kind;
    hn_status rc = HN_OK;

    HN_TRY(hn_table_want(s->table, id, err));
    HN_TRY(note_taken(s, i, err));
    if (s->default_watched)
        watch(s, i);
    if (s->default_filled)
        HN_TRY(note_filled(s, i, err));
    if (kind == HN_KIND_F64 || kind == HN_KIND_F32)
        s->default_used[i] = fill_numbers(s->table, id, d->number);
    else if (kind == HN_KIND_STR)
        s->default_used[i] = fill_texts(s->table, id, d->text);
    else if (kind == HN_KIND_CODE || kind == HN_KIND_BOOL)
        s->default_used[i] = fill_codes(s->table, id, d);
out:
    return rc;
}

static hn_status apply_all(hn_state *s, int want_read, hn_error *err)
{
    hn_status rc = HN_OK;

    if (!s->default_used && s->plan->default_count) {
        s->default_used = hn_alloc(s->plan->default_count, sizeof *s->default_used);
        HN_TRY_ALLOC(s->default_used);
        if (s->watched_id)
            s->default_watched = hn_alloc(s->plan->default_count, 1);
        if (hn_sensitivity_is_on(s)) {
            s->default_filled = hn_alloc(s->plan->default_count, sizeof *s->default_filled);
            HN_TRY_ALLOC(s->default_filled);
        }
    }
    for (size_t i = 0; i < s->plan->default_count; i++)
        if (is_read_column((hn_column_id)s->plan->defaults[i].column) == want_read)
            HN_TRY(apply(s, i, err));
out:
    return rc;
}

hn_status hn_defaults_apply(hn_state *state, hn_error *err)
{
    return apply_all(state, 1, err);
}

hn_status hn_defaults_apply_derived(hn_state *state, hn_error *err)
{
    return apply_all(state, 0, err);
}
