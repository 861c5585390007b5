/* The ready-made price look-up against the plain formula of economics.h. */
#include "test_util.h"

#include "engineering/economics.h"
#include "options/prices.h"

#include <string.h>

static const double widths[] = {150, 300, 600, 1200}, rates[] = {110, 150, 330, 980};

static void make(hn_config *config, hn_rate *rows)
{
    memset(config, 0, sizeof *config);
    memset(rows, 0, 12 * sizeof *rows);
    for (int i = 0; i < 4; i++) { /* method 0: any depth; method 1: two depths */
        rows[i] = (hn_rate){.method = 0, .width_mm = widths[i], .depth_m = NAN, .rate = rates[i]};
        rows[4 + i] = (hn_rate){.method = 1, .width_mm = widths[i], .depth_m = 2, .rate = rates[i]};
        rows[8 + i] = (hn_rate){.method = 1, .width_mm = widths[i], .depth_m = 4, .rate = 2 * rates[i]};
    }
    config->rates = rows;
    config->rate_count = 12;
}

static void agrees_with_the_plain_formula(void **state)
{
    hn_config config;
    hn_rate rows[12];
    hn_prices *prices;
    hn_table *t;

    (void)state;
    make(&config, rows);
    assert_int_equal(hn_table_new(&t, NULL), HN_OK);
    assert_int_equal(hn_prices_new(&config, t, &prices, NULL), HN_OK);
    for (double w = 150; w <= 1200; w += 17.5) {
        hn_rate_fit fit;
        double plain = hn_interpolate_rate(widths, rates, 4, w, &fit);

        assert_close(hn_price_of(prices, 0, 0, w, NAN).rate_per_m, plain, 1e-12);
        assert_close(hn_price_of(prices, 1, 0, w, 3.0).rate_per_m, 1.5 * plain, 1e-12);
        assert_int_equal(hn_price_of(prices, 0, 0, w, NAN).is_beyond, 0);
    }
    hn_prices_free(prices);
    hn_table_free(t);
}

static void beyond_the_table_is_flagged_and_missing_stays_missing(void **state)
{
    hn_config config;
    hn_rate rows[12];
    hn_prices *prices;
    hn_table *t;

    (void)state;
    make(&config, rows);
    assert_int_equal(hn_table_new(&t, NULL), HN_OK);
    assert_int_equal(hn_prices_new(&config, t, &prices, NULL), HN_OK);
    assert_int_equal(hn_price_of(prices, 0, 0, 1500, NAN).is_beyond, 1);
    assert_int_equal(hn_price_of(prices, 0, 0, 100, NAN).is_beyond, 1);
    assert_int_equal(hn_price_of(prices, 1, 0, 300, 9.0).is_beyond, 1);
    assert_close(hn_price_of(prices, 1, 0, 300, 1.0).rate_per_m, 150.0, 1e-12);
    assert_true(isnan(hn_price_of(prices, 1, 0, 300, NAN).rate_per_m));
    assert_true(isnan(hn_price_of(prices, 0, 0, NAN, 2.0).rate_per_m));
    assert_true(isnan(hn_price_of(prices, 2, 0, 300, 2.0).rate_per_m));
    assert_false(hn_price_exists(prices, 2));
    hn_prices_free(prices);
    hn_table_free(t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_the_plain_formula),
        cmocka_unit_test(beyond_the_table_is_flagged_and_missing_stays_missing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
