/* plan/config_rates.c - the price table. Prices are interpolated between
 * sizes, so each curve (method, surface, depth) needs two sizes at least, in
 * rising order. */
#include "plan/config_table.h"
#include "plan/config_tables.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

static const hn_cell_spec rate_cells[] = {
    {"method", HN_CELL_TEXT, HN_CELL_VALUE, HN_CELL_NO_FIELD, 0, 0, NULL, 0},
    HN_NUMBER_CELL(hn_rate, width_mm, HN_CELL_VALUE, 10, 20000),
    HN_NUMBER_CELL(hn_rate, depth_m, HN_CELL_COLUMN, 0.1, 100),
    HN_TEXT_CELL(hn_rate, surface, HN_CELL_COLUMN),
    HN_NUMBER_CELL(hn_rate, rate, HN_CELL_VALUE, 1e-6, 1e9),
    HN_TEXT_CELL(hn_rate, currency, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_rate, price_date, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_rate, place, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_rate, scope, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_rate, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

typedef struct placed_rate {
    hn_rate rate;
    size_t row;
} placed_rate;

static int by_surface(const char *a, const char *b)
{
    if (!a || !b)
        return (a != NULL) - (b != NULL);
    return strcmp(a, b);
}

static double depth_key(const hn_rate *rate)
{
    return isnan(rate->depth_m) ? -1.0 : rate->depth_m;
}

static int by_curve(const hn_rate *a, const hn_rate *b)
{
    if (a->method != b->method)
        return a->method < b->method ? -1 : 1;
    const int surface = by_surface(a->surface, b->surface);
    if (surface)
        return surface;
    const double x = depth_key(a), y = depth_key(b);
    return (x > y) - (x < y);
}

static int by_curve_then_row(const void *a, const void *b)
{
    const placed_rate *x = a, *y = b;
    const int curve = by_curve(&x->rate, &y->rate);
    return curve ? curve : (x->row > y->row) - (x->row < y->row);
}

static hn_status too_few_sizes(const hn_config_input *in, const placed_rate *p, hn_error *err)
{
    const hn_status rc = hn_config_fail(in, p->row, "width_mm", err,
                                        "only one size for this method, surface and depth");
    hn_hint(err, "prices are interpolated between sizes: give at least two");
    return rc;
}

static hn_status check_order(const hn_config_input *in, const placed_rate *a, const placed_rate *b,
                             hn_error *err)
{
    if (b->rate.width_mm > a->rate.width_mm)
        return HN_OK;
    const hn_status rc =
        hn_config_fail(in, b->row, "width_mm", err,
                       "%g %s row %zu for the same method, surface and depth", b->rate.width_mm,
                       b->rate.width_mm < a->rate.width_mm ? "is not sorted: less than" : "repeats",
                       in->line[a->row]);
    hn_hint(err, "write the sizes of one method, surface and depth in rising order, each once");
    return rc;
}

static hn_status check_curves(const hn_config_input *in, const placed_rate *placed, hn_error *err)
{
    hn_status rc = HN_OK;
    size_t start = 0;
    for (size_t i = 1; i <= in->count; i++) {
        if (i < in->count && by_curve(&placed[i - 1].rate, &placed[i].rate) == 0) {
            HN_TRY(check_order(in, &placed[i - 1], &placed[i], err));
            continue;
        }
        if (i - start < 2)
            HN_TRY(too_few_sizes(in, &placed[start], err));
        start = i;
    }
out:
    return rc;
}

static hn_status check_currency(const hn_config_input *in, const hn_rate *rates, hn_error *err)
{
    for (size_t i = 1; i < in->count; i++)
        if (strcmp(rates[i].currency, rates[0].currency) != 0)
            return hn_config_fail(in, i, "currency", err,
                                  "\"%s\", but row %zu has \"%s\": one table has one currency",
                                  rates[i].currency, in->line[0], rates[0].currency);
    return HN_OK;
}

static hn_status place_rates(const hn_config_input *in, const hn_rate *rates, hn_config *out,
                             placed_rate *placed, hn_error *err)
{
    const char *ids[HN_MAX_METHODS];
    const size_t count = hn_config_method_ids(out, ids);
    for (size_t i = 0; i < in->count; i++) {
        const size_t m = hn_config_find(in, i, "method", hn_config_text(in, i, "method"), "method",
                                        ids, count, err);
        if (m == SIZE_MAX)
            return HN_ERR_PLAN;
        placed[i] = (placed_rate){rates[i], i};
        placed[i].rate.method = (int)m;
        if (strcasestr(rates[i].scope, "invented") || strcasestr(rates[i].source, "invented"))
            out->prices_invented = 1;
    }
    qsort(placed, in->count, sizeof *placed, by_curve_then_row);
    return HN_OK;
}

/* A repair may be priced by its always-items alone (by the piece); a lining or
 * a replacement without a price would look free. */
static hn_status check_all_priced(const hn_config_input *in, const hn_config *out, hn_error *err)
{
    for (size_t m = 0; m < out->method_count; m++) {
        size_t i = 0;
        while (i < out->rate_count && out->rates[i].method != (int)m)
            i++;
        if (i < out->rate_count || out->methods[m].kind == HN_METHOD_WATCH ||
            out->methods[m].kind == HN_METHOD_REPAIR)
            continue;
        const hn_status rc =
            hn_fail(err, HN_ERR_PLAN, "%s: no price for method %s", in->path, out->methods[m].id);
        hn_hint(err, "add at least two sizes, or take the method out of the methods table");
        return rc;
    }
    return HN_OK;
}

hn_status hn_config_rates(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {rate_cells, sizeof(hn_rate), 0, 100000};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;
    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    placed_rate *placed = hn_arena_alloc(arena, in.count, sizeof *placed);
    HN_TRY_ALLOC(placed);
    HN_TRY(check_currency(&in, rows, err));
    HN_TRY(place_rates(&in, rows, out, placed, err));
    HN_TRY(check_curves(&in, placed, err));
    out->rates = rows;
    out->rate_count = in.count;
    for (size_t i = 0; i < in.count; i++)
        out->rates[i] = placed[i].rate;
    HN_TRY(check_all_priced(&in, out, err));
out:
    return rc;
}
