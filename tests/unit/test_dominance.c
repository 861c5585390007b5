/* Worse on everything and ranked after: against plain pairs, on random towns. */
#include "property.h"

#include "base/alloc.h"
#include "risk/risk.h"

#include <stdio.h>
#include <string.h>

enum { ROWS = 60, PARTS = 6 };

static const hn_column_id chances[3] = {HN_COL_CHANCE_STRUCTURAL, HN_COL_CHANCE_SERVICE,
                                        HN_COL_CHANCE_TIGHTNESS};
static const hn_column_id costs[3] = {HN_COL_CONSEQUENCE_MONEY, HN_COL_CONSEQUENCE_SERVICE,
                                      HN_COL_CONSEQUENCE_TIGHTNESS};

typedef struct town {
    hn_table *table;
    hn_issue_list issues;
    size_t found;
} town;

/* Few values, so that many parts are equal; by falling loss, then by row. */
static void open_town(town *w, draws *d, int has_gaps)
{
    hn_table *t;

    assert_int_equal(hn_table_new(&w->table, NULL), HN_OK);
    assert_int_equal(hn_issue_list_init(&w->issues, NULL), HN_OK);
    t = w->table;
    assert_int_equal(hn_table_reserve(t, ROWS, NULL), HN_OK);
    t->rows = ROWS;
    for (int i = 0; i < 3; i++) {
        assert_int_equal(hn_table_want(t, chances[i], NULL), HN_OK);
        assert_int_equal(hn_table_want(t, costs[i], NULL), HN_OK);
    }
    assert_int_equal(hn_table_want(t, HN_COL_LOSS_NOW, NULL), HN_OK);
    assert_int_equal(hn_table_want(t, HN_COL_PRIORITY, NULL), HN_OK);
    assert_int_equal(hn_table_want(t, HN_COL_SEGMENT_ID, NULL), HN_OK);
    for (size_t row = 0; row < ROWS; row++) {
        char id[8];

        snprintf(id, sizeof id, "S%02zu", row);
        HN_STR(t, SEGMENT_ID)[row] = hn_text_pool_add(t->texts, id, strlen(id));
        HN_F64(t, LOSS_NOW)[row] = 0.0;
        for (int i = 0; i < 3; i++) {
            const float chance = (float)draw_below(d, 4) / 8.0f;
            const double cost =
                has_gaps && !draw_below(d, 20) ? NAN : 100.0 * (double)draw_below(d, 5);

            hn_table_set_number(t, chances[i], row, (double)chance);
            hn_table_set_number(t, costs[i], row, cost);
            HN_F64(t, LOSS_NOW)[row] += (double)chance * cost;
        }
    }
    for (size_t row = 0; row < ROWS; row++) {
        int32_t place = 1;

        for (size_t k = 0; k < ROWS; k++) {
            const double mine = HN_F64(t, LOSS_NOW)[row], other = HN_F64(t, LOSS_NOW)[k];

            place +=
                isnan(mine) ? !isnan(other) || k < row : other > mine || (other == mine && k < row);
        }
        HN_I32(t, PRIORITY)[row] = place;
    }
}

static void close_town(town *w)
{
    hn_issue_list_clear(&w->issues);
    hn_table_free(w->table);
}

static size_t by_pairs(const hn_table *t)
{
    size_t count = 0;

    for (size_t a = 0; a < ROWS; a++)
        for (size_t b = 0; b < ROWS; b++)
            if (HN_I32(t, PRIORITY)[a] > HN_I32(t, PRIORITY)[b] &&
                HN_F64(t, LOSS_NOW)[a] > HN_F64(t, LOSS_NOW)[b] && hn_risk_dominates(t, a, b)) {
                count++;
                break;
            }
    return count;
}

static void an_order_by_loss_has_none(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 100; seed++) {
        town w = {0};
        draws d = {seed};

        open_town(&w, &d, seed % 2 == 0);
        assert_int_equal(hn_risk_dominance(w.table, &w.issues, &w.found, NULL), HN_OK);
        assert_int_equal(w.found, 0);
        assert_int_equal(w.issues.count, 0);
        close_town(&w);
    }
}

static void a_shuffled_order_has_those_that_pairs_give(void **state)
{
    size_t all = 0;

    (void)state;
    for (uint64_t seed = 1; seed <= 100; seed++) {
        town w = {0};
        draws d = {seed};

        open_town(&w, &d, seed % 2 == 0);
        for (size_t row = ROWS - 1; row > 0; row--) {
            const size_t k = (size_t)draw_below(&d, (uint32_t)row + 1);
            const int32_t place = HN_I32(w.table, PRIORITY)[row];

            HN_I32(w.table, PRIORITY)[row] = HN_I32(w.table, PRIORITY)[k];
            HN_I32(w.table, PRIORITY)[k] = place;
        }
        assert_int_equal(hn_risk_dominance(w.table, &w.issues, &w.found, NULL), HN_OK);
        assert_int_equal(w.found, by_pairs(w.table));
        assert_int_equal(w.issues.count, w.found);
        all += w.found;
        close_town(&w);
    }
    assert_true(all > 1000);
}

static void equal_and_unknown_parts_dominate_nothing(void **state)
{
    town w = {0};
    draws d = {5};

    (void)state;
    open_town(&w, &d, 0);
    for (int i = 0; i < 3; i++)
        for (size_t row = 0; row < 2; row++) {
            hn_table_set_number(w.table, chances[i], row, 0.5);
            hn_table_set_number(w.table, costs[i], row, 10.0);
        }
    assert_false(hn_risk_dominates(w.table, 0, 1));
    hn_table_set_number(w.table, costs[2], 0, 11.0);
    assert_true(hn_risk_dominates(w.table, 0, 1));
    assert_false(hn_risk_dominates(w.table, 1, 0));
    hn_table_set_number(w.table, costs[1], 1, (double)NAN);
    assert_false(hn_risk_dominates(w.table, 0, 1));
    close_town(&w);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_order_by_loss_has_none),
        cmocka_unit_test(a_shuffled_order_has_those_that_pairs_give),
        cmocka_unit_test(equal_and_unknown_parts_dominate_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
