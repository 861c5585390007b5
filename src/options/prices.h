/* options/prices.h - the price table made ready for look-ups by size and depth.
 * Between two sizes the price follows a straight line in the logarithms of
 * size and price; between two depths a straight line. */
#ifndef HN_OPTIONS_PRICES_H
#define HN_OPTIONS_PRICES_H

#include "base/status.h"
#include "plan/config.h"

typedef struct hn_prices hn_prices;

typedef struct hn_price {
    double rate_per_m; /* NaN: none, or the depth is needed and unknown */
    int is_beyond;     /* outside the sizes or depths of the table */
} hn_price;

HN_MUST_CHECK hn_status hn_prices_new(const hn_config *config, const hn_table *table,
                                      hn_prices **out, hn_error *err);
void hn_prices_free(hn_prices *prices);
/* surface: text id in the table's pool, 0 unknown. */
hn_price hn_price_of(const hn_prices *prices, int method, uint32_t surface, double width_mm,
                     double depth_m);
/* 1 when the method has rows in the price table. */
int hn_price_exists(const hn_prices *prices, int method);

#endif
