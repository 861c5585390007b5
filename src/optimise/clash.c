/* optimise/clash.c - why wishes cannot all be kept: which limits clash, and by how much.
 * Only sums that hold for every choice are used, so what is listed is proven.
 */
#include "optimise/clash.h"

#include <math.h>

#include "base/alloc.h"

typedef struct clash_list {
    hn_clash *items;
    size_t count, capacity;
} clash_list;

static int add(clash_list *list, hn_clash clash)
{
    void *items = list->items;
    const int room = hn_grow(&items, list->count, &list->capacity, sizeof clash);

    list->items = items;
    if (room)
        list->items[list->count++] = clash;
    return room;
}

static int fits_alone(const hn_model *model, const double *most, size_t item, size_t alternative)
{
    hn_choice_use uses[HN_CHOICE_ROWS_MAX];

    if (!hn_model_open(model, item, alternative))
        return 0;
    for (size_t u = 0, n = hn_model_uses(model, item, alternative, uses); u < n; u++)
        if (model->sign[uses[u].row] > 0 &&
            uses[u].amount > most[uses[u].row] + 1e-9 * model->size[uses[u].row])
            return 0;
    return 1;
}

static int find_items(const hn_model *model, const double *most, clash_list *list)
{
    for (size_t i = 0; i < model->items; i++) {
        const size_t width = hn_model_width(model, i);
        size_t a = 0;

        if (!model->must[i])
            continue;
        while (a < width && !fits_alone(model, most, i, a))
            a++;
        if (a == width && !add(list, (hn_clash){HN_CLASH_ITEM, -1, -1, (int32_t)i, NAN, NAN, NAN}))
            return 0;
    }
    return 1;
}

/* Rows first .. last of a chain together: what compulsory items take from no other rows than
 * these, against the money of them all. */
static double forced_by(const hn_model *model, const uint8_t *inside)
{
    hn_choice_use uses[HN_CHOICE_ROWS_MAX];
    double sum = 0;

    for (size_t i = 0; i < model->items; i++) {
        double least = INFINITY;

        if (!model->must[i])
            continue;
        for (size_t a = 0; a < hn_model_width(model, i); a++) {
            double here = 0;

            if (!hn_model_open(model, i, a))
                continue;
            for (size_t u = 0, n = hn_model_uses(model, i, a, uses); u < n; u++)
                here += inside[uses[u].row] ? uses[u].amount : 0.0;
            least = fmin(least, here);
        }
        sum += isfinite(least) ? least : 0.0;
    }
    return sum;
}

/* Every stretch that begins where a chain begins: the years up to t. Single rows too. */
static int find_demands(const hn_model *model, const double *most, clash_list *list)
{
    uint8_t inside[HN_CHOICE_ROWS_MAX] = {0};

    for (size_t n = 0; n < model->rows; n++) {
        const uint32_t r = model->order[n];
        double needed;

        inside[r] = 1;
        needed = model->sign[r] > 0 ? forced_by(model, inside) : -INFINITY;
        inside[r] = 0;
        if (needed > most[r] + 1e-9 * model->size[r] &&
            !add(list, (hn_clash){HN_CLASH_DEMAND, (int32_t)r, (int32_t)r, -1, needed, most[r],
                                  needed - most[r]}))
            return 0;
    }
    return 1;
}

/* Years 0 .. t of a table: budgets that follow each other in the order of the rows. */
static int find_prefixes(const hn_model *model, clash_list *list)
{
    for (size_t first = 0; first < model->rows; first++) {
        uint8_t inside[HN_CHOICE_ROWS_MAX] = {0};
        double money = 0;

        if (!model->table || model->sign[first] < 0 || !(model->table->scopes[first].years & 1))
            continue;
        for (size_t r = first; r < model->rows; r++) {
            const hn_row_scope *a = &model->table->scopes[first], *b = &model->table->scopes[r];
            double needed;

            if (model->sign[r] < 0 || a->basis != b->basis || a->methods != b->methods ||
                b->years != a->years << (r - first))
                break;
            inside[r] = 1;
            money += model->limit[r];
            needed = r > first ? forced_by(model, inside) : -INFINITY;
            if (needed > money * (1 + 1e-9) + 1e-12 &&
                !add(list, (hn_clash){HN_CLASH_DEMAND, (int32_t)first, (int32_t)r, -1, needed,
                                      money, needed - money}))
                return 0;
        }
    }
    return 1;
}

/* Most that an at-least row can ever get, from items alone. */
static int find_short(const hn_model *model, clash_list *list)
{
    hn_choice_use uses[HN_CHOICE_ROWS_MAX];
    double got[HN_CHOICE_ROWS_MAX] = {0}, best[HN_CHOICE_ROWS_MAX];
    int any = 0;

    for (size_t r = 0; r < model->rows; r++)
        any |= model->sign[r] < 0;
    for (size_t i = 0; any && i < model->items; i++) {
        for (size_t r = 0; r < model->rows; r++)
            best[r] = 0;
        for (size_t a = 0; a < hn_model_width(model, i); a++)
            if (hn_model_open(model, i, a))
                for (size_t u = 0, n = hn_model_uses(model, i, a, uses); u < n; u++)
                    if (model->sign[uses[u].row] < 0)
                        best[uses[u].row] = fmax(best[uses[u].row], -uses[u].amount);
        for (size_t r = 0; r < model->rows; r++)
            got[r] += best[r];
    }
    for (size_t r = 0; r < model->rows; r++) {
        const double asked = -model->limit[r];

        if (model->sign[r] < 0 && got[r] < asked - 1e-9 * model->size[r] &&
            !add(list, (hn_clash){HN_CLASH_SHORT, (int32_t)r, (int32_t)r, -1, asked, got[r],
                                  asked - got[r]}))
            return 0;
    }
    return 1;
}

hn_status hn_clashes_find(const hn_model *model, hn_clash **out, size_t *count, hn_error *err)
{
    double most[HN_CHOICE_ROWS_MAX];
    clash_list list = {0};

    hn_row_most(model, most);
    if (!find_items(model, most, &list) || !find_demands(model, most, &list) ||
        !find_prefixes(model, &list) || !find_short(model, &list)) {
        hn_free(list.items);
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    }
    *out = list.items;
    *count = list.count;
    return HN_OK;
}

hn_status hn_clashes_together(const hn_model *model, const double *excess, hn_clash **out,
                              size_t *count, hn_error *err)
{
    clash_list list = {*out, *count, *count};

    for (size_t r = 0; r < model->rows; r++)
        if (excess[r] > 0 &&
            !add(&list, (hn_clash){HN_CLASH_TOGETHER, (int32_t)r, (int32_t)r, -1,
                                   model->sign[r] * model->limit[r] + model->sign[r] * excess[r],
                                   model->sign[r] * model->limit[r], excess[r]}))
            return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    *out = list.items;
    *count = list.count;
    return HN_OK;
}
