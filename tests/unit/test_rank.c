/* Ranks by risk and their bounds against plain counting, with equal and missing
 * losses, around the sizes at which the sampled search changes its steps. */
#include "property.h"

#include "base/alloc.h"
#include "risk/risk.h"

#include <string.h>

enum { COHORTS = 3, ROWS_MAX = 500 };

typedef struct town {
    hn_table *table;
    hn_outlook outlook;
    hn_plan plan;
} town;

static void want_columns(hn_table *t, size_t rows)
{
    static const hn_column_id wanted[] = {HN_COL_GRADE_STRUCTURAL,
                                          HN_COL_GRADE_SERVICE,
                                          HN_COL_GRADE_TIGHTNESS,
                                          HN_COL_CONDITION_BASIS,
                                          HN_COL_CONSEQUENCE_LOW,
                                          HN_COL_CONSEQUENCE_HIGH,
                                          HN_COL_LOSS_NOW,
                                          HN_COL_CONSEQUENCE_SERVICE,
                                          HN_COL_CONSEQUENCE_TIGHTNESS,
                                          HN_COL_LOSS_AVOIDED,
                                          HN_COL_COST};

    assert_int_equal(hn_table_reserve(t, rows, NULL), HN_OK);
    t->rows = rows;
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        assert_int_equal(hn_table_want(t, wanted[i], NULL), HN_OK);
}

/* Chances of failure in the one year that is looked at; worse grades fail more. */
static void fill_outlook(hn_outlook *o, size_t rows, draws *d)
{
    *o = (hn_outlook){.rows = rows, .cohorts = COHORTS, .years = 1};
    o->cohort = hn_alloc(rows, 1);
    o->annual = hn_alloc(COHORTS * HN_OUTLOOK_DRIVERS * HN_OUTLOOK_GRADES, sizeof(double));
    for (size_t i = 0; i < COHORTS * HN_OUTLOOK_DRIVERS * HN_OUTLOOK_GRADES; i++)
        o->annual[i] = draw(d, 0.01, 0.05) + (i % HN_OUTLOOK_GRADES ? o->annual[i - 1] : 0);
    for (int driver = 0; driver < HN_OUTLOOK_DRIVERS; driver++)
        for (int g = 0; g < HN_OUTLOOK_GRADES; g++)
            o->other[driver][g] = hn_alloc(rows, sizeof(uint16_t));
}

static void fill_shares(town *w, float *structural, size_t row, draws *d)
{
    for (int driver = 0; driver < HN_OUTLOOK_DRIVERS; driver++) {
        double part[HN_OUTLOOK_GRADES], sum = 0;
        uint32_t left = HN_SHARE_UNIT;

        for (int g = 0; g < HN_OUTLOOK_GRADES; g++)
            sum += part[g] = draw_below(d, 3) ? draw(d, 0.01, 1) : 0.001;
        for (int g = 0; g < HN_OUTLOOK_GRADES; g++) {
            const uint32_t units =
                g == HN_OUTLOOK_GRADES - 1 ? left : (uint32_t)(part[g] / sum * HN_SHARE_UNIT);

            w->outlook.other[driver][g][row] = (uint16_t)units;
            left -= units;
            if (driver == 0)
                structural[g * ROWS_MAX + (int)row] = (float)(part[g] / sum);
        }
    }
}

/* Losses from few values, so that many are equal; some are missing. */
static void fill_row(hn_table *t, size_t i, draws *d)
{
    const double few[] = {0, 10, 10, 50, 250, NAN};
    const double low = draw_below(d, 20) ? draw(d, 0, 2000) : NAN;

    HN_F32(t, GRADE_STRUCTURAL)[i] = draw_below(d, 2) ? 3 : NAN;
    HN_F32(t, GRADE_SERVICE)[i] = draw_below(d, 2) ? 2 : NAN;
    HN_F32(t, GRADE_TIGHTNESS)[i] = draw_below(d, 2) ? 4 : NAN;
    HN_CODE(t, CONDITION_BASIS)[i] = (uint8_t)draw_below(d, HN_BASIS_COUNT);
    HN_F32(t, CONSEQUENCE_LOW)[i] = (float)low;
    HN_F32(t, CONSEQUENCE_HIGH)[i] = (float)(low * draw(d, 1, 3));
    HN_F64(t, CONSEQUENCE_SERVICE)[i] = draw(d, 0, 300);
    HN_F64(t, CONSEQUENCE_TIGHTNESS)[i] = draw(d, 0, 100);
    HN_F64(t, LOSS_NOW)[i] = draw_below(d, 2) ? few[draw_below(d, 6)] : draw(d, 0, 400);
    HN_F64(t, LOSS_AVOIDED)[i] = few[draw_below(d, 6)];
    HN_F64(t, COST)[i] = draw_below(d, 3) ? 100 : NAN;
}

static void open_town(town *w, size_t rows, uint64_t seed, float *structural)
{
    draws d = {seed};

    memset(w, 0, sizeof *w);
    assert_int_equal(hn_table_new(&w->table, NULL), HN_OK);
    want_columns(w->table, rows);
    fill_outlook(&w->outlook, rows, &d);
    for (int g = 0; g < HN_OUTLOOK_GRADES; g++)
        w->outlook.structural[g] = structural + g * ROWS_MAX;
    for (size_t i = 0; i < rows; i++) {
        w->outlook.cohort[i] = (uint8_t)draw_below(&d, COHORTS);
        fill_shares(w, structural, i, &d);
        fill_row(w->table, i, &d);
    }
}

static void close_town(town *w)
{
    hn_outlook_clear(&w->outlook);
    hn_table_free(w->table);
}

/* Missing counts as least. */
static int is_greater(double a, double b)
{
    return !isnan(a) && (isnan(b) || a > b);
}

/* The chance at one grade: the row's own mix when the grade was seen; else the
 * grade below which 10 % or 90 % of the mix lies; 1 or 5 without any data. */
static double plain_bound(const town *w, size_t row, int worst)
{
    static const hn_column_id seen[] = {HN_COL_GRADE_STRUCTURAL, HN_COL_GRADE_SERVICE,
                                        HN_COL_GRADE_TIGHTNESS};
    const hn_table *t = w->table;
    const double now = HN_F64(t, LOSS_NOW)[row];
    const double cost[] = {
        worst ? HN_F32(t, CONSEQUENCE_HIGH)[row] : HN_F32(t, CONSEQUENCE_LOW)[row],
        HN_F64(t, CONSEQUENCE_SERVICE)[row], HN_F64(t, CONSEQUENCE_TIGHTNESS)[row]};
    double sum = 0;

    for (int d = 0; d < HN_OUTLOOK_DRIVERS; d++) {
        double chance = hn_outlook_chance(&w->outlook, row, d, 0), below = 0;
        int grade = worst ? 4 : 0;

        if (HN_CODE(t, CONDITION_BASIS)[row] != HN_BASIS_NONE)
            for (grade = 0; grade < 4; grade++) {
                below += hn_outlook_share(&w->outlook, d, grade, row);
                if (below >= (worst ? 0.9 : 0.1))
                    break;
            }
        if (isnan(((float *)t->column[seen[d]])[row]))
            chance = *hn_outlook_annual(&w->outlook, w->outlook.cohort[row], d, grade);
        sum += chance * cost[d];
    }
    if (isnan(now) && !worst)
        return now; /* an unknown loss stands last */
    if (isnan(sum) || isnan(now))
        return isnan(sum) ? now : sum;
    return worst == (sum > now) ? sum : now;
}

/* 1 + how many other rows come first: a greater loss, or the same and an earlier row. */
static int32_t plain_rank(const hn_table *t, size_t row, double loss)
{
    int32_t rank = 1;

    for (size_t i = 0; i < t->rows; i++) {
        const double other = HN_F64(t, LOSS_NOW)[i];

        rank += i != row && (is_greater(other, loss) || (!is_greater(loss, other) && i < row));
    }
    return rank;
}

static const size_t sizes[] = {1, 2, 63, 64, 65, 127, 128, 129, 300, 500};

static void rank_by_risk_is_a_plain_count(void **state)
{
    static float structural[HN_OUTLOOK_GRADES * ROWS_MAX];

    (void)state;
    for (size_t n = 0; n < sizeof sizes / sizeof *sizes; n++) {
        town w;
        hn_rank_stats stats;
        size_t ties = 0;

        open_town(&w, sizes[n], 7 + n, structural);
        assert_int_equal(hn_risk_rank(w.table, &w.outlook, &w.plan, 1 + (int)(n % 3), &stats, NULL),
                         HN_OK);
        const double *loss = HN_F64(w.table, LOSS_NOW);
        for (size_t i = 0; i < sizes[n]; i++) {
            int32_t rank = 1;
            int tied = 0;

            for (size_t k = 0; k < sizes[n]; k++) {
                const int equal = !is_greater(loss[k], loss[i]) && !is_greater(loss[i], loss[k]);

                rank += is_greater(loss[k], loss[i]) || (equal && k < i);
                tied |= equal && k != i;
            }
            ties += (size_t)tied;
            assert_int_equal(HN_I32(w.table, RANK_RISK)[i], rank);
            assert_int_equal(HN_I32(w.table, PRIORITY)[i], rank);
        }
        assert_int_equal(stats.ties, ties);
        close_town(&w);
    }
}

static void rank_bounds_are_plain_counts(void **state)
{
    static float structural[HN_OUTLOOK_GRADES * ROWS_MAX];

    (void)state;
    for (size_t n = 0; n < sizeof sizes / sizeof *sizes; n++) {
        town w;
        hn_rank_stats stats;

        open_town(&w, sizes[n], 70 + n, structural);
        assert_int_equal(hn_risk_rank(w.table, &w.outlook, &w.plan, 1 + (int)(n % 3), &stats, NULL),
                         HN_OK);
        for (size_t i = 0; i < sizes[n]; i++) {
            const int32_t low = HN_I32(w.table, RANK_LOW)[i], high = HN_I32(w.table, RANK_HIGH)[i];
            const int32_t risk = HN_I32(w.table, RANK_RISK)[i];

            assert_int_equal(low, plain_rank(w.table, i, plain_bound(&w, i, 0)));
            assert_int_equal(high, plain_rank(w.table, i, plain_bound(&w, i, 1)));
            assert_law(high <= low, "rows %zu, row %zu: worst case %d, best case %d", sizes[n], i,
                       high, low);
            assert_law(high <= risk, "rows %zu, row %zu: worst case %d, rank %d", sizes[n], i, high,
                       risk);
            assert_law(risk <= low,
                       "rows %zu, row %zu: rank %d, best case %d", sizes[n], i, risk, low);
        }
        close_town(&w);
    }
}

/* By value: loss avoided over cost, missing ones without a rank and then by risk. */
static void priority_by_value_goes_on_by_risk(void **state)
{
    static float structural[HN_OUTLOOK_GRADES * ROWS_MAX];
    town w;
    hn_rank_stats stats;
    enum { ROWS = 300 };

    (void)state;
    open_town(&w, ROWS, 5, structural);
    w.plan.priority = HN_PRIORITY_VALUE;
    assert_int_equal(hn_risk_rank(w.table, &w.outlook, &w.plan, 2, &stats, NULL), HN_OK);
    for (size_t i = 0; i < ROWS; i++) {
        const double mine = HN_F64(w.table, LOSS_AVOIDED)[i] / HN_F64(w.table, COST)[i];
        int32_t before = 1;

        for (size_t k = 0; k < ROWS; k++) {
            const double other = HN_F64(w.table, LOSS_AVOIDED)[k] / HN_F64(w.table, COST)[k];
            const int later =
                isnan(mine) ? HN_I32(w.table, RANK_RISK)[k] < HN_I32(w.table, RANK_RISK)[i] : k < i;

            before += is_greater(other, mine) || (!is_greater(mine, other) && later);
        }
        assert_int_equal(HN_I32(w.table, PRIORITY)[i], before);
        assert_int_equal(HN_I32(w.table, RANK_VALUE)[i], isnan(mine) ? HN_I32_MISSING : before);
    }
    close_town(&w);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rank_by_risk_is_a_plain_count),
        cmocka_unit_test(rank_bounds_are_plain_counts),
        cmocka_unit_test(priority_by_value_goes_on_by_risk),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
