#include "options/prices.h"

#include "base/alloc.h"

#include <string.h>

/* Rows of one method, surface and depth, by rising size. */
typedef struct price_line {
    int method;
    uint32_t surface; /* 0: any */
    double depth_m;   /* NaN: any */
    size_t first, count;
} price_line;

struct hn_prices {
    price_line *lines;
    size_t line_count;
    double *log_width, *log_rate;
    size_t first_line[HN_MAX_METHODS + 1];
};

static int starts_line(const hn_rate *a, const hn_rate *b)
{
    int same_depth = a->depth_m == b->depth_m || (isnan(a->depth_m) && isnan(b->depth_m));
    int same_surface = (!a->surface && !b->surface) ||
                       (a->surface && b->surface && strcmp(a->surface, b->surface) == 0);

    return a->method != b->method || !same_depth || !same_surface;
}

static void add_line(hn_prices *p, const hn_rate *rate, size_t row, const hn_table *table)
{
    price_line *line = &p->lines[p->line_count++];

    line->method = rate->method;
    line->depth_m = rate->depth_m;
    line->first = row;
    line->surface = rate->surface
                        ? hn_text_pool_find(table->texts, rate->surface, strlen(rate->surface))
                        : 0;
    if (rate->surface && line->surface == 0)
        line->surface = UINT32_MAX; /* no segment has it */
}

hn_status hn_prices_new(const hn_config *config, const hn_table *table, hn_prices **out,
                        hn_error *err)
{
    size_t n = config->rate_count;
    hn_prices *p = hn_alloc(1, sizeof *p);
    hn_status rc = HN_OK;

    *out = NULL;
    HN_TRY_ALLOC(p);
    p->lines = hn_alloc(n, sizeof *p->lines);
    p->log_width = hn_alloc(n, sizeof *p->log_width);
    p->log_rate = hn_alloc(n, sizeof *p->log_rate);
    HN_TRY_ALLOC(p->lines);
    HN_TRY_ALLOC(p->log_width);
    HN_TRY_ALLOC(p->log_rate);
    for (size_t i = 0; i < n; i++) {
        if (i == 0 || starts_line(&config->rates[i - 1], &config->rates[i]))
            add_line(p, &config->rates[i], i, table);
        p->lines[p->line_count - 1].count++;
        p->log_width[i] = log(config->rates[i].width_mm);
        p->log_rate[i] = log(config->rates[i].rate);
    }
    for (size_t m = 0, line = 0; m <= HN_MAX_METHODS; m++) {
        while (line < p->line_count && (size_t)p->lines[line].method < m)
            line++;
        p->first_line[m] = line;
    }
    *out = p;
    p = NULL;
out:
    hn_prices_free(p);
    return rc;
}

void hn_prices_free(hn_prices *prices)
{
    if (!prices)
        return;
    hn_free(prices->lines);
    hn_free(prices->log_width);
    hn_free(prices->log_rate);
    hn_free(prices);
}

int hn_price_exists(const hn_prices *prices, int method)
{
    return prices->first_line[method + 1] > prices->first_line[method];
}

static double rate_on_line(const hn_prices *p, const price_line *line, double log_width,
                           int *is_beyond)
{
    const double *x = p->log_width + line->first, *y = p->log_rate + line->first;
    size_t i = 1;

    if (line->count == 1) {
        *is_beyond |= fabs(log_width - x[0]) > 1e-9;
        return exp(y[0]);
    }
    /* a hair's breadth is no size: 36 in is 914.4 mm however it was converted */
    *is_beyond |= log_width < x[0] - 1e-9 || log_width > x[line->count - 1] + 1e-9;
    while (i + 1 < line->count && x[i] < log_width)
        i++;
    return exp(y[i - 1] + (y[i] - y[i - 1]) * (log_width - x[i - 1]) / (x[i] - x[i - 1]));
}

/* Lines of the method for this surface, else for any surface. */
static void pick_lines(const hn_prices *p, int method, uint32_t surface, size_t *from, size_t *to)
{
    uint32_t wanted = 0;

    for (size_t i = p->first_line[method]; surface && i < p->first_line[method + 1]; i++)
        if (p->lines[i].surface == surface)
            wanted = surface;
    *from = p->first_line[method];
    while (*from < p->first_line[method + 1] && p->lines[*from].surface != wanted)
        (*from)++;
    for (*to = *from; *to < p->first_line[method + 1] && p->lines[*to].surface == wanted;)
        (*to)++;
}

hn_price hn_price_of(const hn_prices *p, int method, uint32_t surface, double width_mm,
                     double depth_m)
{
    hn_price price = {(double)NAN, 0};
    double log_width, low, high;
    size_t from, to, i;

    pick_lines(p, method, surface, &from, &to);
    if (from == to || !(width_mm > 0.0))
        return price;
    log_width = log(width_mm);
    if (isnan(p->lines[from].depth_m)) {
        price.rate_per_m = rate_on_line(p, &p->lines[from], log_width, &price.is_beyond);
        return price;
    }
    if (isnan(depth_m))
        return price;
    price.is_beyond |= depth_m > p->lines[to - 1].depth_m;
    if (to - from == 1 || depth_m <= p->lines[from].depth_m) {
        price.rate_per_m = rate_on_line(p, &p->lines[from], log_width, &price.is_beyond);
        return price;
    }
    for (i = from + 1; i + 1 < to && p->lines[i].depth_m < depth_m; i++)
        ;
    low = rate_on_line(p, &p->lines[i - 1], log_width, &price.is_beyond);
    high = rate_on_line(p, &p->lines[i], log_width, &price.is_beyond);
    price.rate_per_m = low + (high - low) * (depth_m - p->lines[i - 1].depth_m) /
                                 (p->lines[i].depth_m - p->lines[i - 1].depth_m);
    return price;
}
