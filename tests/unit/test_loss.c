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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(doing_nothing_avoids_nothing),
        cmocka_unit_test(later_is_never_better),
        cmocka_unit_test(a_worse_pipe_gains_more),
        cmocka_unit_test(avoided_is_the_discounted_sum_of_the_years),
        cmocka_unit_test(loss_by_hand),
        cmocka_unit_test(unknown_cost_gives_an_unknown_loss),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
