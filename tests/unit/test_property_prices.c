/* Laws of a price looked up by size and depth, on random tables. */
#include "property.h"

#include "engineering/economics.h"
#include "options/prices.h"

#include <string.h>

enum { TABLES = 150, LOOKS = 40, SIZES_MAX = 8, DEPTHS_MAX = 5 };

/* One method, rising sizes and prices, prices rising with depth too. */
typedef struct price_table {
    size_t sizes, depths;
    double size[SIZES_MAX], depth[DEPTHS_MAX], rate[DEPTHS_MAX][SIZES_MAX];
    hn_rate rows[SIZES_MAX * DEPTHS_MAX];
    hn_prices *prices;
    hn_table *segments;
} price_table;

static void open_table(price_table *t, draws *d)
{
    hn_config config;
    size_t n = 0;

    memset(t, 0, sizeof *t);
    memset(&config, 0, sizeof config);
    t->sizes = 1 + draw_below(d, SIZES_MAX);
    t->depths = 1 + draw_below(d, DEPTHS_MAX);
    for (size_t i = 0; i < t->sizes; i++)
        t->size[i] = (i ? t->size[i - 1] : 100) * draw(d, 1.1, 1.8);
    for (size_t k = 0; k < t->depths; k++) {
        t->depth[k] = (k ? t->depth[k - 1] : 0) + draw(d, 0.5, 3);
        for (size_t i = 0; i < t->sizes; i++) {
            const double below = k ? t->rate[k - 1][i] : 0, left = i ? t->rate[k][i - 1] : 50;

            t->rate[k][i] = fmax(below, left) * draw(d, 1.01, 1.6);
            t->rows[n++] = (hn_rate){.method = 0,
                                     .width_mm = t->size[i],
                                     .depth_m = t->depths == 1 ? NAN : t->depth[k],
                                     .rate = t->rate[k][i]};
        }
    }
    config.rates = t->rows;
    config.rate_count = n;
    assert_int_equal(hn_table_new(&t->segments, NULL), HN_OK);
    assert_int_equal(hn_prices_new(&config, t->segments, &t->prices, NULL), HN_OK);
}

static void close_table(price_table *t)
{
    hn_prices_free(t->prices);
    hn_table_free(t->segments);
}

static double price_at(const price_table *t, double size, double depth)
{
    return hn_price_of(t->prices, 0, 0, size, depth).rate_per_m;
}

/* exp(log(x)) is good to about |log x| roundings: 1e-13. */
static void the_rows_of_a_table_come_back(void **state)
{
    draws d = {1};
    price_table t;

    (void)state;
    for (int n = 0; n < TABLES; n++) {
        open_table(&t, &d);
        for (size_t k = 0; k < t.depths; k++)
            for (size_t i = 0; i < t.sizes; i++) {
                const hn_price p = hn_price_of(t.prices, 0, 0, t.size[i], t.depth[k]);

                assert_close(p.rate_per_m, t.rate[k][i], 1e-13);
                assert_int_equal(p.is_beyond, 0);
            }
        assert_true(hn_price_exists(t.prices, 0) && !hn_price_exists(t.prices, 1));
        close_table(&t);
    }
}

static void prices_lie_between_their_rows_and_rise(void **state)
{
    draws d = {2};
    price_table t;

    (void)state;
    for (int n = 0; n < TABLES; n++) {
        open_table(&t, &d);
        for (int i = 0; i < LOOKS; i++) {
            const double size = draw(&d, t.size[0], t.size[t.sizes - 1]);
            const double depth = draw(&d, t.depth[0], t.depth[t.depths - 1]);
            const double p = price_at(&t, size, depth), more = draw(&d, 1, 1.2);

            assert_true(p >= t.rate[0][0] * (1 - 1e-13));
            assert_true(p <= t.rate[t.depths - 1][t.sizes - 1] * (1 + 1e-13));
            if (size * more <= t.size[t.sizes - 1])
                assert_true(price_at(&t, size * more, depth) >= p * (1 - 1e-13));
            assert_true(price_at(&t, size, depth * more) >= p * (1 - 1e-13));
        }
        close_table(&t);
    }
}

/* The power law between sizes, with its lines of one depth each. */
static void a_price_is_the_plain_formula(void **state)
{
    draws d = {3};
    price_table t;

    (void)state;
    for (int n = 0; n < TABLES; n++) {
        open_table(&t, &d);
        for (int i = 0; i < LOOKS && t.sizes > 1; i++) {
            const double size = draw(&d, t.size[0], t.size[t.sizes - 1]), part = draw(&d, 0, 1);
            const size_t k = draw_below(&d, t.depths), next = k + 1 < t.depths ? k + 1 : k;
            const double depth = t.depth[k] + part * (t.depth[next] - t.depth[k]);
            hn_rate_fit fit;
            const double low = hn_interpolate_rate(t.size, t.rate[k], t.sizes, size, &fit);
            const double high = hn_interpolate_rate(t.size, t.rate[next], t.sizes, size, &fit);

            assert_close(price_at(&t, size, depth), low + part * (high - low), 1e-12);
        }
        close_table(&t);
    }
}

static void what_lies_outside_is_flagged(void **state)
{
    draws d = {4};
    price_table t;

    (void)state;
    for (int n = 0; n < TABLES; n++) {
        open_table(&t, &d);
        const double least = t.size[0], most = t.size[t.sizes - 1], deep = t.depth[t.depths - 1];

        assert_int_equal(hn_price_of(t.prices, 0, 0, least * 0.99, t.depth[0]).is_beyond, 1);
        assert_int_equal(hn_price_of(t.prices, 0, 0, most * 1.01, t.depth[0]).is_beyond, 1);
        assert_int_equal(hn_price_of(t.prices, 0, 0, least, deep * 1.01).is_beyond, t.depths > 1);
        assert_int_equal(isnan(price_at(&t, least, NAN)) != 0, t.depths > 1);
        assert_true(isnan(price_at(&t, NAN, deep)) && isnan(price_at(&t, 0, deep)) &&
                    isnan(price_at(&t, -least, deep)));
        close_table(&t);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_rows_of_a_table_come_back),
        cmocka_unit_test(prices_lie_between_their_rows_and_rise),
        cmocka_unit_test(a_price_is_the_plain_formula),
        cmocka_unit_test(what_lies_outside_is_flagged),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
