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
    hn_sheet_methods(f, s);
    hn_sheet_all_methods(f, s);
    hn_sheet_choice(f, s);
    hn_sheet_sensitivity(f, s);
    hn_sheet_ranks(f, s);
    hn_sheet_programme(f, s);
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
static int is_cost_set(const hn_sheet_facts *f)
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

void hn_sheet_agrees(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s,
                     hn_sheet_item *item, hn_column_id id)
{
    int is_cost = id == HN_COL_COST || id == HN_COL_COST_LOW || id == HN_COL_COST_HIGH ||
                  id == HN_COL_YEARLY_COST;

    if (hn_sheet_is_chosen(f, o) && !(is_cost && is_cost_set(f)))
        item->layer_column = layer_name(s, id);
}

hn_sheet_item *hn_sheet_column(const hn_sheet_facts *f, hn_sheet *s, hn_column_id id,
                               const char *symbol, const char *basis)
{
    const hn_column_def *d = hn_column_definition(id);
    hn_sheet_item *item;
    char date[HN_DATE_TEXT];

    switch (d->kind) {
    case HN_KIND_STR:
        return hn_sheet_word(s, d->name, d->title, hn_table_text(f->table, id, f->row), basis);
    case HN_KIND_CODE:
        return hn_sheet_word(s, d->name, d->title,
                             hn_coded_text(f->plan, id, hn_code(f->table, id, f->row)), basis);
    case HN_KIND_BOOL:
        return hn_sheet_word(s, d->name, d->title,
                             hn_code(f->table, id, f->row) == HN_CODE_MISSING ? NULL
                             : hn_code(f->table, id, f->row)                  ? "yes"
                                                                              : "no",
                             basis);
    case HN_KIND_DATE:
        hn_date_text(hn_i32(f->table, id, f->row), date);
        return hn_sheet_word(s, d->name, d->title,
                             hn_i32(f->table, id, f->row) == HN_I32_MISSING ? NULL : date, basis);
    default:
        item = hn_sheet_number(s, d->name, d->title, symbol,
                               hn_table_number(f->table, id, f->row), d->decimals, d->unit, basis);
        item->layer_column = item->key;
        return item;
    }
}
