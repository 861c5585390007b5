/* Rates from readings: closed forms, a table of counts worked out elsewhere, and
 * readings simulated from known rates. */
#include "property.h"

#include "engineering/chain_fit.h"

#include <string.h>

static const double rough_start[HN_CHAIN_RATES] = {0.05, 0.05, 0.05, 0.05};

static void add_one(hn_chain_data *data, double age, uint8_t grades, double weight)
{
    const hn_reading reading = {age, grades};

    assert_int_equal(hn_chain_data_add(data, &reading, 1, 1, weight, NULL), HN_OK);
}

static void add_pair(hn_chain_data *data, int from, double years, int to, double weight)
{
    const hn_reading pair[2] = {{0, HN_GRADE_ONLY(from)}, {years, HN_GRADE_ONLY(to)}};

    assert_int_equal(hn_chain_data_add(data, pair, 2, 0, weight, NULL), HN_OK);
}

static hn_chain_fit fit(hn_chain_data *data, int with_growth)
{
    hn_chain_fit_spec spec = {
        .data = data, .with_growth = with_growth, .with_intervals = !with_growth};
    hn_chain_fit out;

    memcpy(spec.start, rough_start, sizeof rough_start);
    assert_int_equal(hn_chain_data_pack(data, NULL), HN_OK);
    assert_int_equal(hn_chain_fit_rates(&spec, &out, NULL), HN_OK);
    return out;
}

/* Pipes of one age, k of n beyond grade 1: -ln(1 - k/n) / t. */
static void one_threshold_is_the_closed_form(void **state)
{
    hn_chain_data data = {0};
    hn_chain_fit found;
    const double expected = hn_chain_rate_of_share(30, 100, 40);

    (void)state;
    assert_close(expected, -log(0.7) / 40, 1e-14);
    add_one(&data, 40, HN_GRADE_ONLY(1), 70);
    add_one(&data, 40, HN_GRADE_AT_LEAST(2), 30);
    found = fit(&data, 0);
    assert_close(found.rate_per_year[0], expected, 1e-7);
    assert_close(found.rate_per_year[0] * found.se_log_rate[0],
                 hn_chain_rate_of_share_se(30, 100, 40), 1e-4);
    assert_close(found.log_likelihood, 70 * log(0.7) + 30 * log(0.3), 1e-10);
    /* later rates: the readings say nothing */
    assert_true(isinf(found.high[2]) && found.low[2] == 0.0);
    hn_chain_data_clear(&data);
}

/* The ends of a profile interval solve k ln p + (n-k) ln(1-p) = best - 1.9207. */
static void interval_ends_lie_at_the_level(void **state)
{
    hn_chain_data data = {0};
    hn_chain_fit found;

    (void)state;
    add_one(&data, 40, HN_GRADE_ONLY(1), 70);
    add_one(&data, 40, HN_GRADE_AT_LEAST(2), 30);
    found = fit(&data, 0);
    for (int side = 0; side < 2; side++) {
        const double rate = side ? found.high[0] : found.low[0], stay = exp(-40 * rate);

        assert_close(70 * log(stay) + 30 * log(1 - stay), found.log_likelihood - 1.9207294, 1e-6);
    }
    assert_true(found.low[0] < found.rate_per_year[0] && found.rate_per_year[0] < found.high[0]);
    hn_chain_data_clear(&data);
}

/* Counts, estimates and -ln L of an independent calculation (scipy, matrix
 * exponential): true rates 0.045, 0.030, 0.025, 0.020. */
static void counts_by_age_give_the_known_estimates(void **state)
{
    static const double rate[HN_CHAIN_RATES] = {0.045, 0.030, 0.025, 0.020};
    static const double age[] = {10, 30, 50, 70, 90};
    hn_chain_data data = {.grid_years = 0.1};
    hn_chain_fit found;

    (void)state;
    for (size_t i = 0; i < 5; i++) {
        double p[HN_GRADES][HN_GRADES];

        hn_chain_matrix(rate, age[i], p);
        for (int g = 0; g < HN_GRADES; g++)
            add_one(&data, age[i], HN_GRADE_ONLY(g + 1), round(1000 * p[0][g]));
    }
    found = fit(&data, 0);
    assert_true(found.has_converged);
    assert_close(found.rate_per_year[0], 0.045038, 2e-5);
    assert_close(found.rate_per_year[1], 0.029979129, 1e-6);
    assert_close(found.rate_per_year[2], 0.024943, 3e-5);
    assert_close(found.rate_per_year[3], 0.019990, 3e-5);
    assert_close(found.log_likelihood, -6386.36187, 1e-8);
    assert_close(found.aic, 2 * 4 + 2 * 6386.36187, 1e-8);
    hn_chain_data_clear(&data);
}

/* 30 pipes in grade 1, none beyond: the rate goes to its bound, and the upper end
 * solves -30 rate t = -1.9207. */
static void a_rate_never_seen_has_an_upper_end_only(void **state)
{
    hn_chain_data data = {0};
    hn_chain_fit found;

    (void)state;
    add_one(&data, 20, HN_GRADE_ONLY(1), 30);
    found = fit(&data, 0);
    assert_true(found.at_bound[0] && isnan(found.se_log_rate[0]));
    assert_true(found.low[0] == 0.0);
    assert_close(found.high[0], 1.9207294 / (30 * 20) + HN_CHAIN_RATE_LEAST, 1e-4);
    hn_chain_data_clear(&data);
}

/* Exactly known times in a grade give events / time; many short pairs come near. */
static void short_pairs_come_near_events_per_time(void **state)
{
    hn_chain_data data = {0};
    hn_chain_fit found;

    (void)state;
    add_pair(&data, 2, 0.01, 2, 99990);
    add_pair(&data, 2, 0.01, 3, 10);
    found = fit(&data, 0);
    assert_close(found.rate_per_year[1], 10 / (0.01 * 99995), 1e-4);
    assert_close(found.se_log_rate[1], 1 / sqrt(10), 1e-3); /* Poisson */
    hn_chain_data_clear(&data);
}

/* ---- readings simulated from known rates ---- */

static int draw_grade(draws *d, const double rate[HN_CHAIN_RATES], int from, double years)
{
    int g = from;

    for (double t = 0; g < HN_GRADES; g++) {
        t += -log(1 - draw(d, 0, 1)) / rate[g - 1];
        if (t > years)
            break;
    }
    return g;
}

static int draw_read(draws *d, const double read[HN_GRADES][HN_GRADES], int grade)
{
    double left = draw(d, 0, 1);
    int r = 0;

    while (r < HN_GRADES - 1 && (left -= read[grade - 1][r]) > 0)
        r++;
    return r + 1;
}

static void simulate(hn_chain_data *data, draws *d, const double rate[HN_CHAIN_RATES],
                     const double (*read)[HN_GRADES], double growth, size_t pipes)
{
    for (size_t i = 0; i < pipes; i++) {
        const double first = floor(draw(d, 1, 90) * 10) / 10;
        const double second = first + floor(draw(d, 5, 15) * 10) / 10;
        const int a = draw_grade(d, rate, 1, hn_chain_operational_years(growth, 0, first));
        const int b = draw_grade(d, rate, a, hn_chain_operational_years(growth, first, second));
        const hn_reading both[2] = {{first, HN_GRADE_ONLY(read ? draw_read(d, read, a) : a)},
                                    {second, HN_GRADE_ONLY(read ? draw_read(d, read, b) : b)}};

        assert_int_equal(hn_chain_data_add(data, both, i % 2 ? 2 : 1, 1, 1, NULL), HN_OK);
    }
}

/* 3.5 standard errors: for one of four rates once in 500 tries by chance; the
 * draws are seeded, so it is the same try every time. */
static void assert_near(const hn_chain_fit *found, const double rate[HN_CHAIN_RATES])
{
    for (int k = 0; k < HN_CHAIN_RATES; k++)
        assert_law(fabs(log(found->rate_per_year[k] / rate[k])) < 3.5 * found->se_log_rate[k],
                   "rate %d is %g (se of ln %g), true %g", k, found->rate_per_year[k],
                   found->se_log_rate[k], rate[k]);
}

static void simulated_rates_are_found_again(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 5; seed++) {
        draws d = {seed};
        double rate[HN_CHAIN_RATES];
        hn_chain_data data = {.grid_years = 0.1};
        hn_chain_fit found;

        for (int k = 0; k < HN_CHAIN_RATES; k++)
            rate[k] = draw_log(&d, 0.01, 0.1);
        simulate(&data, &d, rate, NULL, 0, 2000);
        found = fit(&data, 0);
        assert_near(&found, rate);
        assert_true(found.has_converged);
        for (int k = 0; k < HN_CHAIN_RATES; k++) {
            assert_true(found.se_log_rate[k] < 0.3);
            assert_true(found.low[k] < found.rate_per_year[k]);
            assert_true(found.high[k] > found.rate_per_year[k]);
        }
        hn_chain_data_clear(&data);
    }
}

static void misread_grades_are_seen_through(void **state)
{
    static const double rate[HN_CHAIN_RATES] = {0.05, 0.03, 0.03, 0.02};
    static const double read[HN_GRADES][HN_GRADES] = {{0.90, 0.10, 0, 0, 0},
                                                      {0.15, 0.75, 0.10, 0, 0},
                                                      {0, 0.15, 0.75, 0.10, 0},
                                                      {0, 0, 0.15, 0.75, 0.10},
                                                      {0, 0, 0, 0.10, 0.90}};
    hn_chain_data data = {.grid_years = 0.1, .whole = 1};
    hn_chain_fit_spec spec = {.data = &data, .read = read};
    hn_chain_fit found;
    draws d = {7};

    (void)state;
    memcpy(spec.start, rough_start, sizeof rough_start);
    simulate(&data, &d, rate, read, 0, 4000);
    assert_int_equal(hn_chain_data_pack(&data, NULL), HN_OK);
    assert_int_equal(hn_chain_fit_rates(&spec, &found, NULL), HN_OK);
    assert_near(&found, rate);
    hn_chain_data_clear(&data);
}

static void growth_with_age_is_found_again(void **state)
{
    static const double rate[HN_CHAIN_RATES] = {0.02, 0.012, 0.012, 0.01};
    hn_chain_data data = {.grid_years = 0.1, .by_age = 1}, plain = {.grid_years = 0.1};
    hn_chain_fit found, without;
    draws d = {11};

    (void)state;
    simulate(&data, &d, rate, NULL, 0.02, 3000);
    d.state = 11;
    simulate(&plain, &d, rate, NULL, 0.02, 3000);
    found = fit(&data, 1);
    without = fit(&plain, 0);
    assert_near(&found, rate);
    assert_true(fabs(found.growth_per_year - 0.02) < 3.5 * found.growth_se);
    assert_true(found.growth_se < 0.004);
    assert_true(found.aic < without.aic - 10);
    hn_chain_data_clear(&data);
    hn_chain_data_clear(&plain);
}

/* ---- laws ---- */

/* The integral of exp(growth x age) between two ages, by the midpoint rule. */
static void operational_years_are_the_integral_of_growth(void **state)
{
    draws d = {2};

    (void)state;
    for (int i = 0; i < 200; i++) {
        const double growth = i % 5 ? draw(&d, -0.05, 0.05) : 0, from = draw(&d, 0, 80);
        const double to = from + draw(&d, 0, 40), step = (to - from) / 2000;
        double sum = 0;

        for (int k = 0; k < 2000; k++)
            sum += exp(growth * (from + (k + 0.5) * step)) * step;
        assert_close(hn_chain_operational_years(growth, from, to), sum, 1e-6);
    }
    assert_close(hn_chain_operational_years(1e-14, 10, 30), 20, 1e-12);
}

static double log_likelihood(hn_chain_data *data, const hn_chain_model *model)
{
    static double move[3000][HN_GRADES][HN_GRADES];

    assert_int_equal(hn_chain_data_pack(data, NULL), HN_OK);
    assert_true(data->spans <= 3000);
    return hn_chain_log_likelihood(data, model, move);
}

/* Whole sequences, sequences cut at exact readings, and a misreading matrix that
 * misreads nothing are the same likelihood. */
static void ways_of_writing_one_likelihood_agree(void **state)
{
    static const double right[HN_GRADES][HN_GRADES] = {
        {1, 0, 0, 0, 0}, {0, 1, 0, 0, 0}, {0, 0, 1, 0, 0}, {0, 0, 0, 1, 0}, {0, 0, 0, 0, 1}};
    draws d = {3};

    (void)state;
    for (int i = 0; i < 50; i++) {
        hn_chain_data cut = {0}, whole = {.whole = 1}, aged = {.by_age = 1};
        hn_chain_model model = {.growth_per_year = 0}, reading;
        double a, b;
        draws again;

        for (int k = 0; k < HN_CHAIN_RATES; k++)
            model.rate_per_year[k] = draw_log(&d, 0.005, 0.2);
        reading = model;
        reading.read = right;
        again = d;
        simulate(&cut, &d, model.rate_per_year, NULL, 0, 30);
        d = again;
        simulate(&whole, &d, model.rate_per_year, NULL, 0, 30);
        d = again;
        simulate(&aged, &d, model.rate_per_year, NULL, 0, 30);
        a = log_likelihood(&cut, &model);
        b = log_likelihood(&whole, &reading);
        assert_true(a < 0);
        assert_close(b, a, 1e-11);
        assert_close(log_likelihood(&aged, &model), a, 1e-11);
        hn_chain_data_clear(&cut);
        hn_chain_data_clear(&whole);
        hn_chain_data_clear(&aged);
    }
}

/* All five grades at one age, or the parts of a set, add up. */
static void chances_of_a_set_are_sums(void **state)
{
    const hn_chain_model model = {{0.05, 0.04, 0.03, 0.02}, 0.01, NULL};
    double parts = 0;

    (void)state;
    for (int g = 1; g <= HN_GRADES; g++) {
        hn_chain_data one = {.by_age = 1};

        add_one(&one, 33, HN_GRADE_ONLY(g), 1);
        parts += g >= 3 ? exp(log_likelihood(&one, &model)) : 0;
        hn_chain_data_clear(&one);
    }
    hn_chain_data set = {.by_age = 1}, all = {.by_age = 1};

    add_one(&set, 33, HN_GRADE_AT_LEAST(3), 1);
    add_one(&all, 33, HN_GRADE_AT_MOST(5), 1);
    assert_close(exp(log_likelihood(&set, &model)), parts, 1e-12);
    assert_true(fabs(log_likelihood(&all, &model)) < 1e-12);
    hn_chain_data_clear(&set);
    hn_chain_data_clear(&all);
}

static void a_grade_that_improves_has_no_chance(void **state)
{
    hn_chain_data data = {0};
    hn_chain_fit_spec spec = {.data = &data, .start = {0.1, 0.1, 0.1, 0.1}};
    hn_chain_fit out;
    hn_error err = {0};

    (void)state;
    add_pair(&data, 3, 5, 2, 1);
    assert_int_equal(hn_chain_data_pack(&data, NULL), HN_OK);
    assert_int_equal(hn_chain_fit_rates(&spec, &out, &err), HN_ERR_INPUT);
    assert_non_null(strstr(err.hint, "misreading"));
    hn_chain_data_clear(&data);
}

/* A grade seen in the first days, or a week after another, must not make the whole
 * likelihood impossible because ages are put to a tenth of a year. */
static void a_worse_grade_within_days_has_a_chance(void **state)
{
    const hn_chain_model model = {{0.05, 0.04, 0.03, 0.02}, 0, NULL};

    (void)state;
    for (int by_age = 0; by_age < 2; by_age++) {
        const hn_reading readings[2] = {{0.0, HN_GRADE_ONLY(2)}, {0.01, HN_GRADE_ONLY(3)}};
        hn_chain_data data = {.grid_years = 0.1, .by_age = by_age};
        double found;

        assert_int_equal(hn_chain_data_add(&data, readings, 2, 1, 1, NULL), HN_OK);
        found = log_likelihood(&data, &model);
        assert_true(isfinite(found));
        assert_close(found, log(0.1 * 0.05) + log(0.1 * 0.04), 1e-2);
        hn_chain_data_clear(&data);
    }
}

static void equal_readings_are_one_cell_in_any_order(void **state)
{
    hn_chain_data a = {.grid_years = 0.1}, b = {.grid_years = 0.1};
    hn_chain_fit first, second;

    (void)state;
    for (int i = 0; i < 300; i++) {
        add_one(&a, 20 + i % 3 * 10, HN_GRADE_ONLY(1 + i % 5), 1);
        add_one(&b, 20 + (299 - i) % 3 * 10 + 0.01, HN_GRADE_ONLY(1 + (299 - i) % 5), 1);
    }
    first = fit(&a, 0);
    second = fit(&b, 0);
    assert_int_equal(a.cells, 15);
    assert_memory_equal(&first, &second, sizeof first);
    hn_chain_data_clear(&a);
    hn_chain_data_clear(&b);
}

/* A great weight leaves the prior, a small one the data. */
static void the_prior_pulls_by_its_weight(void **state)
{
    double last = 0;

    (void)state;
    for (double weight = 0.01; weight < 1e5; weight *= 10) {
        hn_chain_data data = {0};
        hn_chain_fit_spec spec = {.data = &data,
                                  .start = {0.1, 0.1, 0.1, 0.1},
                                  .prior = {0.2, 0.1, 0.1, 0.1},
                                  .prior_weight = weight};
        hn_chain_fit out;

        add_one(&data, 40, HN_GRADE_ONLY(1), 7);
        add_one(&data, 40, HN_GRADE_AT_LEAST(2), 3);
        assert_int_equal(hn_chain_data_pack(&data, NULL), HN_OK);
        assert_int_equal(hn_chain_fit_rates(&spec, &out, NULL), HN_OK);
        assert_true(out.rate_per_year[0] > last);
        assert_close(out.rate_per_year[3], 0.1, 1e-6); /* only the prior speaks */
        assert_close(out.se_log_rate[3], 1 / sqrt(weight), 1e-3);
        last = out.rate_per_year[0];
        hn_chain_data_clear(&data);
    }
    assert_close(last, 0.2, 1e-2);
}

/* Off a grid the tables of the likelihood come from a series; each cell by itself from the
 * exponential of its own time must give the same. Steps from 5e-6 to 1000, beyond
 * the tables; a set with a gap is not a plain cell. */
static void times_off_a_grid_give_the_exponential(void **state)
{
    const hn_chain_model model = {.rate_per_year = {0.7, 0.02, 5.0, 1e-4}, .growth_per_year = 0.01};
    static double move[600][HN_GRADES][HN_GRADES];
    hn_chain_data data = {.by_age = 1};
    double expected = 0.0, apart[HN_GRADES][HN_GRADES];

    (void)state;
    for (int i = 0; i < 500; i++) {
        const int is_long = i % 100 == 50;
        const int from = i % 5 + 1, to = is_long ? 5 : from + (i / 5) % (6 - from);
        const double begin = i % 37 * 1.37, years = is_long ? 150.0 : 1e-6 + 0.0002 * i * i;
        uint8_t set = (uint8_t)(HN_GRADE_ONLY(to) | (i % 7 == 0 ? HN_GRADE_ONLY(5) : 0));
        const hn_reading pair[2] = {{begin, HN_GRADE_ONLY(from)}, {begin + years, set}};
        double chance = 0.0;

        assert_int_equal(hn_chain_data_add(&data, pair, 2, 0, 1.0 + i % 3, NULL), HN_OK);
        hn_chain_matrix(model.rate_per_year, hn_chain_operational_years(0.01, begin, begin + years),
                        apart);
        for (int g = 0; g < HN_GRADES; g++)
            chance += set >> g & 1 ? apart[from - 1][g] : 0.0;
        expected += (1.0 + i % 3) * log(chance);
    }
    assert_int_equal(hn_chain_data_pack(&data, NULL), HN_OK);
    assert_true(data.spans <= 600 && data.spans > 400);
    assert_close(hn_chain_log_likelihood(&data, &model, move), expected, 1e-11);
    hn_chain_data_clear(&data);
}

/* Counted while they are added: a million pipes of few kinds need room for few. */
static void equal_readings_take_no_room(void **state)
{
    hn_chain_data data = {.grid_years = 0.1};

    (void)state;
    for (int i = 0; i < 100000; i++)
        add_pair(&data, 1 + i % 3, 1.0 + i % 50 * 0.1, 3 + i % 3, 1.0);
    assert_true(data.cells <= 3 * 50 && data.steps == data.cells);
    assert_true(data.cell_room < 1000 && data.step_room < 1000);
    assert_close(data.weight, 100000.0, 1e-12);
    hn_chain_data_clear(&data);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_threshold_is_the_closed_form),
        cmocka_unit_test(interval_ends_lie_at_the_level),
        cmocka_unit_test(counts_by_age_give_the_known_estimates),
        cmocka_unit_test(a_rate_never_seen_has_an_upper_end_only),
        cmocka_unit_test(short_pairs_come_near_events_per_time),
        cmocka_unit_test(simulated_rates_are_found_again),
        cmocka_unit_test(misread_grades_are_seen_through),
        cmocka_unit_test(growth_with_age_is_found_again),
        cmocka_unit_test(operational_years_are_the_integral_of_growth),
        cmocka_unit_test(ways_of_writing_one_likelihood_agree),
        cmocka_unit_test(chances_of_a_set_are_sums),
        cmocka_unit_test(a_grade_that_improves_has_no_chance),
        cmocka_unit_test(a_worse_grade_within_days_has_a_chance),
        cmocka_unit_test(equal_readings_are_one_cell_in_any_order),
        cmocka_unit_test(the_prior_pulls_by_its_weight),
        cmocka_unit_test(times_off_a_grid_give_the_exponential),
        cmocka_unit_test(equal_readings_take_no_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
