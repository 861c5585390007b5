/* The order of the sheet, and what its builders share. */
#include "report/sheet_parts.h"

#include "base/dates.h"
#include "report/coded_columns.h"
#include "report/sheet_units.h"

hn_status hn_sheet_build(const hn_sheet_facts *f, hn_sheet *s, hn_error *err)
{
    hn_sheet_verdict(f, s);
    hn_sheet_cautions(f, s);
    hn_sheet_inputs(f, s);
    hn_sheet_condition(f, s);
    hn_sheet_consequence(f, s);
    hn_sheet_scheme(f, s);
    hn_sheet_methods(f, s);
    hn_sheet_all_methods(f, s);
    hn_sheet_choice(f, s);
    hn_sheet_sensitivity(f, s);
    hn_sheet_ranks(f, s);
    hn_sheet_programme(f, s);
    hn_sheet_every_rule(f, s);
    return hn_sheet_check(s, err);
}

const hn_method *hn_sheet_method_of(const hn_sheet_facts *f, const hn_option *o)
{
    return &f->plan->config.methods[o->method];
}

int hn_sheet_method_in(const hn_sheet_facts *f, hn_column_id id)
{
    uint8_t method = hn_code(f->table, id, f->row);

    return method == HN_CODE_MISSING ? -1 : method;
}

int hn_sheet_is_chosen(const hn_sheet_facts *f, const hn_option *o)
{
    return hn_sheet_method_in(f, HN_COL_METHOD) == o->method;
}

static const char *layer_name(hn_sheet *s, hn_column_id id)
{
    const hn_column_def *d = hn_column_definition(id);
    hn_sheet_unit to = hn_sheet_unit_of(s->is_us, d->unit);

    return hn_sheet_unit_key(s, d->name, &to);
}

/* A cost that a person set stands in the layer in place of the estimate. */
int hn_sheet_cost_is_set(const hn_sheet_facts *f)
{
    const hn_config *config = &f->plan->config;

    for (size_t i = 0; i < config->override_count; i++)
        if (f->override_state && f->override_state[i] == 1 &&
            strcmp(config->overrides[i].what, "cost") == 0 &&
            strcmp(config->overrides[i].segment_id,
                   hn_table_text(f->table, HN_COL_SEGMENT_ID, f->row)) == 0)
            return 1;
    return 0;
}

void hn_sheet_agrees(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s, hn_sheet_item *item,
                     hn_column_id id)
{
    int is_cost = id == HN_COL_COST || id == HN_COL_COST_LOW || id == HN_COL_COST_HIGH ||
                  id == HN_COL_YEARLY_COST;

    if (hn_sheet_is_chosen(f, o) && !(is_cost && hn_sheet_cost_is_set(f)))
        item->layer_column = layer_name(s, id);
}

/* Years and numbers of things are no quantities. */
static int is_name(hn_column_id id)
{
    return id == HN_COL_YEAR_BUILT || id == HN_COL_YEAR_LINED || id == HN_COL_YEAR ||
           id == HN_COL_PAVING_YEAR || id == HN_COL_PROJECT;
}

/* An empty value of these is an answer. */
static int says_nothing(hn_column_id id)
{
    return id == HN_COL_YEAR || id == HN_COL_PAVING_YEAR || id == HN_COL_PROJECT ||
           id == HN_COL_ACT_NOW || id == HN_COL_MEMBERS || id == HN_COL_BEST_LINING ||
           id == HN_COL_BEST_REPLACEMENT || id == HN_COL_RUNNER_UP || id == HN_COL_METHOD ||
           id == HN_COL_LINING_COST || id == HN_COL_REPLACEMENT_COST || id == HN_COL_SAVING;
}

/* Text of a column that holds no number, "" when missing; NULL: it does. */
static const char *words_of(const hn_sheet_facts *f, hn_column_id id, char date[HN_DATE_TEXT])
{
    uint8_t code;

    switch (hn_column_definition(id)->kind) {
    case HN_KIND_STR:
        return hn_table_text(f->table, id, f->row);
    case HN_KIND_CODE:
        return hn_coded_text(f->plan, id, hn_code(f->table, id, f->row));
    case HN_KIND_BOOL:
        code = hn_code(f->table, id, f->row);
        return code == HN_CODE_MISSING ? "" : code ? "yes" : "no";
    case HN_KIND_DATE:
        if (hn_i32(f->table, id, f->row) == HN_I32_MISSING)
            return "";
        hn_date_text(hn_i32(f->table, id, f->row), date);
        return date;
    default:
        return NULL;
    }
}

hn_sheet_item *hn_sheet_column(const hn_sheet_facts *f, hn_sheet *s, hn_column_id id,
                               const char *symbol, const char *basis)
{
    const hn_column_def *d = hn_column_definition(id);
    char date[HN_DATE_TEXT];
    const char *text = words_of(f, id, date);
    hn_sheet_item *item;

    if (text) {
        item = hn_sheet_word(s, d->name, d->title, text, basis);
        item->missing = says_nothing(id) ? "none" : "unknown";
        return item;
    }
    item = hn_sheet_number(s, d->name, d->title, symbol, hn_table_number(f->table, id, f->row),
                           d->decimals, d->unit, basis);
    item->layer_column = item->key;
    item->is_plain = is_name(id);
    item->missing = says_nothing(id) ? "none" : "unknown";
    return item;
}
