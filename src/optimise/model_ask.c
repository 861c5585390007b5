/* optimise/model_ask.c - questions to a model, passed to the form it came in. */
#include <math.h>

#include "base/alloc.h"
#include "optimise/forms.h"

size_t hn_model_width(const hn_model *model, size_t item)
{
    if (model->table)
        return model->width;
    return model->list->first_alternative[item + 1] - model->list->first_alternative[item];
}

int hn_model_open(const hn_model *model, size_t item, size_t alternative)
{
    if (model->table) {
        size_t years = model->table->years, m = alternative / years;

        return (int)(model->open[item * model->table->methods + m] >> alternative % years & 1);
    }
    return !model->closed[model->list->first_alternative[item] + alternative];
}

double hn_model_value(const hn_model *model, size_t item, size_t alternative)
{
    const hn_choice_table *table = model->table;

    if (table)
        return table->weight[item] *
               table->benefit[table->class_of[item] * model->width + alternative];
    return model->list->value[model->list->first_alternative[item] + alternative];
}

double hn_model_reference(const hn_model *model, size_t item)
{
    if (model->table)
        return model->table->weight[item] * model->class_top[model->table->class_of[item]];
    return model->reference[item];
}

size_t hn_model_uses(const hn_model *model, size_t item, size_t alternative, hn_choice_use *uses)
{
    return model->table ? hn_table_uses(model, item, alternative, uses)
                        : hn_list_uses(model, item, alternative, uses);
}

size_t hn_model_reduced(const hn_model *model, const hn_row_prices *prices, size_t item,
                        double *reduced)
{
    return model->table ? hn_table_reduced(model, prices, item, reduced)
                        : hn_list_reduced(model, prices, item, reduced);
}

void hn_row_forced(const hn_model *model, double *forced)
{
    double scratch[2 * HN_CHOICE_ROWS_MAX];

    if (model->table)
        hn_table_forced(model, forced);
    else
        hn_list_forced(model, forced, scratch);
}

hn_status hn_presolve(hn_model *model, hn_error *err)
{
    double most[HN_CHOICE_ROWS_MAX], forced[HN_CHOICE_ROWS_MAX];
    double scratch[2 * HN_CHOICE_ROWS_MAX];

    hn_row_most(model, most);
    hn_row_forced(model, forced);
    if (model->table)
        return hn_table_close(model, most, forced, err);
    hn_list_close(model, most, forced, scratch);
    return HN_OK;
}
