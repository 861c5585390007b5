/* optimise/model_list.c - the plain form: every value and use is written out. */
#include "optimise/model.h"

#include <math.h>

#include "base/alloc.h"
#include "optimise/forms.h"

static hn_status check_list(hn_model *model, hn_error *err)
{
    const hn_choice_list *list = model->list;

    for (size_t i = 0; i < list->items; i++) {
        size_t begin = list->first_alternative[i], end = list->first_alternative[i + 1];

        if (end < begin || end - begin > HN_CHOICE_WIDTH_MAX)
            return hn_fail(err, HN_ERR_INPUT, "item %zu has more than %d alternatives", i,
                           HN_CHOICE_WIDTH_MAX);
        if (end - begin > model->width)
            model->width = end - begin;
        for (size_t a = begin; a < end; a++) {
            if (!isfinite(list->value[a]))
                return hn_fail(err, HN_ERR_INPUT, "item %zu has a value that is not a number", i);
            if (list->first_use[a + 1] - list->first_use[a] > model->use_width)
                model->use_width = list->first_use[a + 1] - list->first_use[a];
            for (size_t u = list->first_use[a]; u < list->first_use[a + 1]; u++)
                if (list->uses[u].row >= model->rows || !isfinite(list->uses[u].amount))
                    return hn_fail(err, HN_ERR_INPUT,
                                   "item %zu uses a limit that is none, or no number of it", i);
        }
    }
    return HN_OK;
}

/* Greatest of 1, 0.1 .. 1e-6 that divides every value, or 0: it rounds bounds down. */
static double common_step(const hn_choice_list *list)
{
    const size_t count = list->first_alternative[list->items];

    for (double parts = 1; parts < 2e6; parts *= 10) {
        size_t a = 0;

        while (a < count && fabs(list->value[a]) * parts < 1e9 &&
               fabs(list->value[a] * parts - round(list->value[a] * parts)) < 1e-7)
            a++;
        if (a == count)
            return 1.0 / parts;
    }
    return 0.0;
}

hn_status hn_model_list(hn_model *model, hn_error *err)
{
    const hn_choice_list *list = model->list;
    hn_status rc;

    HN_TRY(check_list(model, err));
    HN_TRY_ALLOC(model->closed = hn_alloc(list->first_alternative[list->items], 1));
    HN_TRY_ALLOC(model->reference = hn_alloc(list->items, sizeof *model->reference));
    model->step = common_step(list);
    for (size_t i = 0; i < list->items; i++) {
        double top = 0;

        model->must[i] = list->compulsory && list->compulsory[i];
        for (size_t a = list->first_alternative[i]; a < list->first_alternative[i + 1]; a++)
            top = fmax(top, fabs(list->value[a]));
        model->reference[i] = top > 0 ? top : 1.0;
        model->value_scale = fmax(model->value_scale, top);
    }
out:
    return rc;
}

size_t hn_list_reduced(const hn_model *model, const hn_row_prices *prices, size_t item,
                       double *reduced)
{
    const hn_choice_list *list = model->list;
    const size_t begin = list->first_alternative[item];
    const size_t count = list->first_alternative[item + 1] - begin;

    for (size_t a = 0; a < count; a++) {
        double sum = list->value[begin + a];

        for (size_t u = list->first_use[begin + a]; u < list->first_use[begin + a + 1]; u++) {
            uint32_t r = list->uses[u].row;

            sum -= prices->row[r] * (model->sign[r] * list->uses[u].amount);
        }
        reduced[a] = model->closed[begin + a] ? -INFINITY : sum;
    }
    return count;
}

size_t hn_list_uses(const hn_model *model, size_t item, size_t alternative, hn_choice_use *uses)
{
    const hn_choice_list *list = model->list;
    const size_t a = list->first_alternative[item] + alternative;
    size_t count = 0;

    for (size_t u = list->first_use[a]; u < list->first_use[a + 1]; u++) {
        const uint32_t r = list->uses[u].row;

        uses[count++] = (hn_choice_use){r, model->sign[r] * list->uses[u].amount};
    }
    return count;
}

/* Least turned use of row r by one item; 0 counts for an item that may take none. */
static double least_use(const hn_model *model, size_t item, double *least)
{
    const hn_choice_list *list = model->list;
    int any = 0;

    for (size_t a = list->first_alternative[item]; a < list->first_alternative[item + 1]; a++) {
        if (model->closed[a])
            continue;
        for (size_t r = 0; r < model->rows; r++)
            least[model->rows + r] = 0;
        for (size_t u = list->first_use[a]; u < list->first_use[a + 1]; u++)
            least[model->rows + list->uses[u].row] =
                model->sign[list->uses[u].row] * list->uses[u].amount;
        for (size_t r = 0; r < model->rows; r++)
            least[r] = any ? fmin(least[r], least[model->rows + r]) : least[model->rows + r];
        any = 1;
    }
    for (size_t r = 0; r < model->rows; r++)
        if (!any || !model->must[item])
            least[r] = any ? fmin(least[r], 0.0) : 0.0;
    return any;
}

void hn_list_forced(const hn_model *model, double *forced, double *scratch)
{
    for (size_t r = 0; r < model->rows; r++)
        forced[r] = 0;
    for (size_t i = 0; i < model->items; i++) {
        least_use(model, i, scratch);
        for (size_t r = 0; r < model->rows; r++)
            forced[r] += scratch[r];
    }
}

void hn_list_close(hn_model *model, const double *most, const double *forced, double *scratch)
{
    const hn_choice_list *list = model->list;

    for (size_t i = 0; i < list->items; i++) {
        least_use(model, i, scratch);
        for (size_t a = list->first_alternative[i]; a < list->first_alternative[i + 1]; a++)
            for (size_t u = list->first_use[a]; u < list->first_use[a + 1]; u++) {
                const uint32_t r = list->uses[u].row;
                const double use = model->sign[r] * list->uses[u].amount;

                if (forced[r] - scratch[r] + use > most[r] + 1e-9 * model->size[r])
                    model->closed[a] = 1;
            }
    }
}
