/* Laws that expected losses must keep, and one exact sum by hand. */
#include "test_util.h"

#include "base/alloc.h"
#include "table/loss.h"

#include <string.h>

enum { YEARS = 40, COHORTS = 2 };

typedef struct world {
    hn_outlook outlook;
    hn_loss loss;
    float structural[HN_OUTLOOK_GRADES][2];
} world;

/* Cohort 0 worsens, cohort 1 (after work) is ten times better. Row 0 is bad,
 * row 1 good. */
static void make_world(world *w, double rate, double life_years)
{
    static const hn_treatment methods[2] = {{{1, 0, 0}, 1, 1, 0}, {{0, 0, 0}, HN_NO_WORK, 1, 0}};
    hn_treatment treatments[2];
    hn_outlook *o = &w->outlook;

    memset(w, 0, sizeof *w);
    memcpy(treatments, methods, sizeof treatments);
    treatments[0].life_years = life_years;
    o->rows = 2;
    o->cohorts = COHORTS;
    o->years = YEARS;
    o->cohort = hn_alloc(2, 1);
    o->annual = hn_alloc((size_t)COHORTS * 3 * 5 * YEARS, sizeof(double));
    o->worse = hn_alloc((size_t)COHORTS * 5 * YEARS, sizeof(double));
    for (size_t c = 0; c < COHORTS; c++)
        for (int d = 0; d < 3; d++)
            for (int g = 0; g < 5; g++)
                for (size_t k = 0; k < YEARS; k++)
                    o->annual[((c * 3 + (size_t)d) * 5 + (size_t)g) * YEARS + k] =
                        0.001 * (g + 1) * (1.0 + 0.05 * (double)k) * (c ? 0.1 : 1.0);
    for (int g = 0; g < 5; g++)
        o->structural[g] = w->structural[g];
    w->structural[4][0] = 1.0f;
    w->structural[0][1] = 1.0f;
    for (int d = 1; d < 3; d++)
        for (int g = 0; g < 5; g++) {
            o->other[d][g] = hn_alloc(2, sizeof(uint16_t));
            o->other[d][g][0] = o->other[d][g][1] = g == 0 ? HN_SHARE_UNIT : 0;
        }
    assert_int_equal(hn_loss_init(&w->loss, o, treatments, 2, rate, NULL), HN_OK);
}

static void drop_world(world *w)
{
    hn_loss_clear(&w->loss);
    hn_outlook_clear(&w->outlook);
}

static const double cost[3] = {1000.0, 10.0, 1.0};

static void doing_nothing_avoids_nothing(void **state)
{
    world w;

    (void)state;
    make_world(&w, 0.03, 0);
    assert_true(hn_loss_avoided(&w.loss, &w.outlook, 0, 1, 0, cost) == 0.0);
    drop_world(&w);
}

static void later_is_never_better(void **state)
{
    world w;

    (void)state;
    make_world(&w, 0.03, 0);
    for (size_t t = 1; t < YEARS; t++)
        assert_true(hn_loss_avoided(&w.loss, &w.outlook, 0, 0, t, cost) <=
                    hn_loss_avoided(&w.loss, &w.outlook, 0, 0, t - 1, cost));
    assert_true(hn_loss_avoided(&w.loss, &w.outlook, 0, 0, YEARS, cost) == 0.0);
    drop_world(&w);
}

static void a_worse_pipe_gains_more(void **state)
{
    world w;

    (void)state;
    make_world(&w, 0.03, 0);
    assert_true(hn_loss_avoided(&w.loss, &w.outlook, 0, 0, 0, cost) >
                hn_loss_avoided(&w.loss, &w.outlook, 1, 0, 0, cost));
    drop_world(&w);
}

/* The tabulated sum against year-by-year addition, with a life of 12 years. */
static void avoided_is_the_discounted_sum_of_the_years(void **state)
{
    world w;
    const size_t t = 5;
    double sum = 0.0;

    (void)state;
    make_world(&w, 0.04, 12);
    for (size_t k = t; k < YEARS; k++)
        sum += (hn_loss_of_year(&w.loss, &w.outlook, 0, SIZE_MAX, 0, k, cost) -
                hn_loss_of_year(&w.loss, &w.outlook, 0, 0, t, k, cost)) /
               pow(1.04, (double)(k + 1));
    assert_close(hn_loss_avoided(&w.loss, &w.outlook, 0, 0, t, cost), sum, 1e-12);
    drop_world(&w);
}

static void loss_by_hand(void **state)
{
    world w;

    (void)state;
    make_world(&w, 0.0, 0);
    /* year 2, grade 5 structural, grade 1 else: 0.005 x 1.1 x 1000 + 0.001 x 1.1 x 11 */
    assert_close(hn_loss_of_year(&w.loss, &w.outlook, 0, SIZE_MAX, 0, 2, cost),
                 0.005 * 1.1 * 1000.0 + 0.001 * 1.1 * 11.0, 1e-12);
    /* structural treated in year 1: cohort 1, grade 1, one year old */
    assert_close(hn_loss_of_year(&w.loss, &w.outlook, 0, 0, 1, 2, cost),
                 0.0001 * 1.05 * 1000.0 + 0.001 * 1.1 * 11.0, 1e-12);
    drop_world(&w);
}

static void unknown_cost_gives_an_unknown_loss(void **state)
{
    static const double unknown[3] = {NAN, 1, 1};
    world w;

    (void)state;
    make_world(&w, 0.03, 0);
    assert_true(isnan(hn_loss_avoided(&w.loss, &w.outlook, 0, 0, 0, unknown)));
    drop_world(&w);
}

/* ---- the same laws on rates drawn at random ---- */

static uint64_t drawn = 20260101;

static double draw(void) /* 0 .. 1, the same in every run (SplitMix64) */
{
    uint64_t z = drawn += 0x9e3779b97f4a7c15u;

    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return (double)((z ^ (z >> 31)) >> 11) / 9007199254740992.0;
}

/* Risks that rise with the years; untreated ones begin at 0.1 or more, treated ones
 * (cohort 1) stay below 0.1: then waiting can never pay. All drivers are treated. */
static void make_random_world(world *w, double rate, double life_years)
{
    static const hn_treatment nothing = {{0, 0, 0}, HN_NO_WORK, 1, 0};
    const hn_treatment treatments[2] = {
        {{1, draw() < 0.5, 1}, 1, 1 + (int)(draw() * 5), life_years}, nothing};

    make_world(w, rate, life_years);
    hn_loss_clear(&w->loss);
    for (size_t c = 0; c < COHORTS; c++)
        for (size_t line = 0; line < 15; line++) {
            double *annual = w->outlook.annual + (c * 15 + line) * YEARS, level = draw();

            for (size_t k = 0; k < YEARS; k++) {
                level += draw() * (1.0 - level) * 0.1;
                annual[k] = c ? 0.1 * level : 0.1 + 0.9 * level;
            }
        }
    for (int g = 0; g < 5; g++)
        w->structural[g][0] = g == 1 ? 0.25f : g == 4 ? 0.75f : 0.0f;
    assert_int_equal(hn_loss_init(&w->loss, &w->outlook, treatments, 2, rate, NULL), HN_OK);
}

static double present_value(const world *w, size_t method, size_t t, double rate,
                            const double price[3])
{
    double sum = 0.0;

    for (size_t k = 0; k < YEARS; k++)
        sum += hn_loss_of_year(&w->loss, &w->outlook, 0, method, t, k, price) /
               pow(1.0 + rate, (double)(k + 1));
    return sum;
}

static const double lives[] = {0.0, 0.5, 1.0, 3.0, 12.9, YEARS, 1000.0};

static void waiting_never_pays_under_rising_risk(void **state)
{
    (void)state;
    for (int i = 0; i < 200; i++) {
        world w;
        double before = INFINITY;

        make_random_world(&w, 0.08 * draw(), lives[i % 7]);
        assert_true(hn_loss_avoided(&w.loss, &w.outlook, 0, 1, (size_t)(i % YEARS), cost) == 0.0);
        for (size_t t = 0; t <= YEARS; t++) {
            double avoided = hn_loss_avoided(&w.loss, &w.outlook, 0, 0, t, cost);

            assert_true(avoided >= 0.0 && avoided <= before * (1.0 + 1e-12));
            before = avoided;
        }
        assert_true(before == 0.0);
        drop_world(&w);
    }
}

/* Two sums made apart: tables by grade, and year by year from the chances. */
static void what_is_avoided_is_the_difference_of_two_futures(void **state)
{
    (void)state;
    for (int i = 0; i < 200; i++) {
        world w;
        const double rate = i % 4 ? 0.08 * draw() : 0.0;
        const size_t t = (size_t)(draw() * YEARS);
        double nothing;

        make_random_world(&w, rate, lives[i % 7]);
        nothing = present_value(&w, SIZE_MAX, 0, rate, cost);
        assert_close(hn_loss_avoided(&w.loss, &w.outlook, 0, 0, t, cost),
                     nothing - present_value(&w, 0, t, rate, cost), 1e-9);
        drop_world(&w);
    }
}

static void the_parts_by_driver_add_up(void **state)
{
    (void)state;
    for (int i = 0; i < 100; i++) {
        world w;
        const size_t t = (size_t)(draw() * YEARS), k = (size_t)(draw() * YEARS);
        double avoided = 0.0, lost = 0.0;

        make_random_world(&w, 0.03, lives[i % 7]);
        for (int d = 0; d < 3; d++) {
            double one[3] = {0.0, 0.0, 0.0};

            one[d] = cost[d];
            avoided += hn_loss_avoided(&w.loss, &w.outlook, 0, 0, t, one);
            lost += hn_loss_of_year(&w.loss, &w.outlook, 0, 0, t, k, one);
        }
        assert_close(hn_loss_avoided(&w.loss, &w.outlook, 0, 0, t, cost), avoided, 1e-9);
        assert_close(hn_loss_of_year(&w.loss, &w.outlook, 0, 0, t, k, cost), lost, 1e-9);
        drop_world(&w);
    }
}

static void without_discount_a_horizon_is_a_plain_sum(void **state)
{
    (void)state;
    for (int i = 0; i < 50; i++) {
        world w;

        make_random_world(&w, 0.0, 0.0);
        for (int d = 0; d < 3; d++) {
            double sum = 0.0;

            for (size_t k = 0; k < YEARS; k++)
                sum += hn_outlook_chance(&w.outlook, 0, d, k);
            assert_close(hn_loss_keep(&w.loss, &w.outlook, 0, d, 0), sum, 1e-12 * sum);
        }
        drop_world(&w);
    }
}

/* Done again every year it never ages; a life beyond the horizon is one without end. */
static void a_short_life_keeps_the_first_year_and_a_long_one_never_ends(void **state)
{
    world w, endless;

    (void)state;
    make_random_world(&w, 0.03, 1.0);
    for (size_t k = 1; k < YEARS; k++)
        assert_true(hn_loss_of_year(&w.loss, &w.outlook, 0, 0, 0, k, (double[3]){1, 0, 0}) ==
                    hn_loss_of_year(&w.loss, &w.outlook, 0, 0, 0, 0, (double[3]){1, 0, 0}));
    drop_world(&w);
    drawn = 7;
    make_random_world(&w, 0.03, 1000.0);
    drawn = 7;
    make_random_world(&endless, 0.03, 0.0);
    for (size_t t = 0; t < YEARS; t++)
        assert_true(hn_loss_avoided(&w.loss, &w.outlook, 0, 0, t, cost) ==
                    hn_loss_avoided(&endless.loss, &endless.outlook, 0, 0, t, cost));
    drop_world(&w);
    drop_world(&endless);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(doing_nothing_avoids_nothing),
        cmocka_unit_test(later_is_never_better),
        cmocka_unit_test(a_worse_pipe_gains_more),
        cmocka_unit_test(avoided_is_the_discounted_sum_of_the_years),
        cmocka_unit_test(loss_by_hand),
        cmocka_unit_test(unknown_cost_gives_an_unknown_loss),
        cmocka_unit_test(waiting_never_pays_under_rising_risk),
        cmocka_unit_test(what_is_avoided_is_the_difference_of_two_futures),
        cmocka_unit_test(the_parts_by_driver_add_up),
        cmocka_unit_test(without_discount_a_horizon_is_a_plain_sum),
        cmocka_unit_test(a_short_life_keeps_the_first_year_and_a_long_one_never_ends),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
