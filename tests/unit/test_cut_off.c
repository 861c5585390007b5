/* Dominators, and what a failed segment cuts off: networks made by hand, and random
 * ones against removing each segment in turn. */
#include "network_fixture.h"
#include "property.h"

#include "network/dominators.h"

typedef struct edge {
    int up, down;
    double length, people;
} edge;

/* A table with node numbers, lengths and people; without drawn lines. */
static hn_table *network_of(const edge *edges, size_t count)
{
    static const hn_column_id wanted[] = {HN_COL_UP_INDEX, HN_COL_DOWN_INDEX, HN_COL_LENGTH_M,
                                          HN_COL_PEOPLE};
    hn_table *t;

    assert_int_equal(hn_table_new(&t, NULL), HN_OK);
    assert_int_equal(hn_table_reserve(t, count, NULL), HN_OK);
    t->rows = count;
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++)
        assert_int_equal(hn_table_want(t, wanted[i], NULL), HN_OK);
    for (size_t i = 0; i < count; i++) {
        HN_I32(t, UP_INDEX)[i] = edges[i].up;
        HN_I32(t, DOWN_INDEX)[i] = edges[i].down;
        HN_F64(t, LENGTH_M)[i] = edges[i].length;
        HN_F32(t, PEOPLE)[i] = (float)edges[i].people;
    }
    return t;
}

static void expect_cut_off(const edge *edges, size_t count, size_t nodes, const double *length)
{
    hn_table *t = network_of(edges, count);
    const hn_nodes n = {.count = nodes};

    assert_int_equal(hn_network_cut_off(t, &n, NULL), HN_OK);
    for (size_t i = 0; i < count; i++) {
        const double found = (double)HN_F32(t, CUT_OFF_LENGTH_M)[i];

        if (isnan(length[i]) ? !isnan(found) : !(fabs(found - length[i]) <= 1e-9))
            fail_msg("segment %zu cuts off %g, not %g", i, found, length[i]);
    }
    hn_table_free(t);
}

static void in_a_tree_all_above_is_cut_off(void **state)
{
    static const edge e[] = {{0, 2, 10, 0}, {1, 2, 20, 0}, {2, 3, 5, 0}};

    (void)state;
    expect_cut_off(e, 3, 4, (double[]){10, 20, 35});
}

static void either_arm_of_a_diamond_is_spared_and_its_neck_is_not(void **state)
{
    /* 0 > 1, 1 > 2 > 4 and 1 > 3 > 4, 4 > 5 */
    static const edge e[] = {{0, 1, 1, 0}, {1, 2, 2, 0},  {2, 4, 4, 0},
                             {1, 3, 8, 0}, {3, 4, 16, 0}, {4, 5, 32, 0}};

    (void)state;
    /* 2 > 4 cuts off node 2, and with it the segment that ends there */
    expect_cut_off(e, 6, 6, (double[]){1, 2, 6, 8, 24, 63});
}

static void two_outlets_spare_what_can_go_to_either(void **state)
{
    static const edge e[] = {{0, 1, 1, 0}, {1, 2, 2, 0}, {1, 3, 4, 0}};

    (void)state;
    expect_cut_off(e, 3, 4, (double[]){1, 2, 4});
}

static void parallel_segments_stand_in_for_each_other(void **state)
{
    static const edge e[] = {{0, 1, 1, 0}, {1, 2, 2, 0}, {1, 2, 4, 0}};

    (void)state;
    expect_cut_off(e, 3, 3, (double[]){1, 2, 4});
}

static void a_loop_goes_with_its_only_way_out(void **state)
{
    /* 0 > 1 > 2 > 0 goes round; 2 > 3 leads out */
    static const edge e[] = {{0, 1, 1, 0}, {1, 2, 2, 0}, {2, 0, 4, 0}, {2, 3, 8, 0}, {2, 2, 16, 0}};

    (void)state;
    /* 1 > 2 cuts off nodes 0 and 1, which have no other way on */
    expect_cut_off(e, 5, 4, (double[]){5, 7, 4, 31, 16});
}

static void without_an_outlet_nothing_can_be_told(void **state)
{
    static const edge e[] = {{0, 1, 1, 0}, {1, 0, 2, 0}, {2, 3, 4, 0}, {2, 0, 8, 0}};

    (void)state;
    /* 2 > 0 leads to the loop 0 > 1 > 0 and is no other way out for node 2 */
    expect_cut_off(e, 4, 4, (double[]){NAN, NAN, 4, NAN});
}

static void people_count_where_the_plan_maps_them(void **state)
{
    static const edge e[] = {{0, 1, 1, 100}, {1, 2, 2, NAN}, {2, 3, 4, 7}, {4, 5, 3, NAN}};
    const hn_nodes n = {.count = 6};
    hn_network_stats stats = {0};
    hn_table *t = network_of(e, 4);

    (void)state;
    assert_int_equal(hn_network_upstream(t, &n, &stats, NULL), HN_OK);
    assert_int_equal(hn_network_cut_off(t, &n, NULL), HN_OK);
    assert_close(HN_F32(t, CUT_OFF_PEOPLE)[2], 107, 0);
    assert_close(HN_F32(t, CUT_OFF_PEOPLE)[1], 100, 0);
    assert_true(isnan(HN_F32(t, CUT_OFF_PEOPLE)[3])); /* no number above: not known, not 0 */
    assert_close(HN_F32(t, UPSTREAM_PEOPLE)[2], 107, 0);
    assert_close(HN_F64(t, UPSTREAM_LENGTH_M)[2], 7, 0);
    assert_null(t->column[HN_COL_CUT_OFF_FLOW]);
    hn_table_free(t);
}

/* ---- against removing each segment ---- */

enum { NODES_MAX = 14, EDGES_MAX = 30 };

/* Nodes that reach an outlet of the whole network without segment `without`. */
static void mark_safe(const edge *e, size_t edges, size_t nodes, size_t without, int *safe)
{
    int changed = 1;

    for (size_t v = 0; v < nodes; v++) {
        safe[v] = 1;
        for (size_t i = 0; i < edges; i++)
            if ((size_t)e[i].up == v)
                safe[v] = 0;
    }
    while (changed) {
        changed = 0;
        for (size_t i = 0; i < edges; i++)
            if (i != without && safe[e[i].down] && !safe[e[i].up])
                safe[e[i].up] = changed = 1;
    }
}

static void any_network_cuts_off_what_removal_does(void **state)
{
    draws d = {20260102};

    (void)state;
    for (int round = 0; round < 3000; round++) {
        const size_t nodes = 2 + draw_below(&d, NODES_MAX - 1);
        const size_t edges = 1 + draw_below(&d, EDGES_MAX);
        edge e[EDGES_MAX];
        double expected[EDGES_MAX];
        int before[NODES_MAX + 1], after[NODES_MAX + 1];

        for (size_t i = 0; i < edges; i++)
            e[i] = (edge){(int)draw_below(&d, nodes), (int)draw_below(&d, nodes),
                          (double)(1 + draw_below(&d, 1000)), 0};
        mark_safe(e, edges, nodes, SIZE_MAX, before);
        for (size_t i = 0; i < edges; i++) {
            expected[i] = before[e[i].down] ? e[i].length : NAN;
            mark_safe(e, edges, nodes, i, after);
            for (size_t k = 0; k < edges; k++)
                if (k != i && before[e[k].down] && !after[e[k].down])
                    expected[i] += e[k].length;
        }
        expect_cut_off(e, edges, nodes, expected);
    }
}

/* The nearest dominator is the one of them that all others dominate: so many lie on
 * every way. */
static void any_graph_has_the_dominators_that_removal_shows(void **state)
{
    draws d = {7};

    (void)state;
    for (int round = 0; round < 2000; round++) {
        const size_t nodes = 2 + draw_below(&d, NODES_MAX - 1), edges = draw_below(&d, EDGES_MAX);
        uint32_t from[EDGES_MAX], to[EDGES_MAX];
        const hn_flow_graph g = {nodes, edges, from, to, 0};
        hn_dominators found;

        for (size_t i = 0; i < edges; i++) {
            from[i] = (uint32_t)draw_below(&d, nodes);
            to[i] = (uint32_t)draw_below(&d, nodes);
        }
        assert_int_equal(hn_dominators_find(&g, &found, NULL), HN_OK);
        for (uint32_t w = 0; w < nodes; w++) { /* without node w, who is reached? */
            int reached[NODES_MAX + 1] = {0}, changed = 1;

            reached[0] = w != 0;
            while (changed) {
                changed = 0;
                for (size_t i = 0; i < edges; i++)
                    if (reached[from[i]] && to[i] != w && !reached[to[i]])
                        reached[to[i]] = changed = 1;
            }
            for (size_t i = 0; i < found.reached; i++) {
                const uint32_t v = found.order[i];
                uint32_t up = v;

                while (up != HN_NO_NODE && up != w)
                    up = found.idom[up];
                assert_law((up == w) == !reached[v], "node %u is dominated by %u: %d", v, w,
                           up == w);
            }
        }
        hn_dominators_clear(&found);
    }
}

static void a_million_nodes_in_a_row_need_no_deep_stack(void **state)
{
    enum { MANY = 1000000 };
    edge *e = hn_alloc(MANY, sizeof *e);
    const hn_nodes n = {.count = MANY + 1};
    hn_table *t;

    (void)state;
    for (int i = 0; i < MANY; i++)
        e[i] = (edge){i, i + 1, 1, 0};
    t = network_of(e, MANY);
    assert_int_equal(hn_network_cut_off(t, &n, NULL), HN_OK);
    assert_close(HN_F32(t, CUT_OFF_LENGTH_M)[MANY - 1], MANY, 0);
    assert_close(HN_F32(t, CUT_OFF_LENGTH_M)[0], 1, 0);
    hn_table_free(t);
    hn_free(e);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(in_a_tree_all_above_is_cut_off),
        cmocka_unit_test(either_arm_of_a_diamond_is_spared_and_its_neck_is_not),
        cmocka_unit_test(two_outlets_spare_what_can_go_to_either),
        cmocka_unit_test(parallel_segments_stand_in_for_each_other),
        cmocka_unit_test(a_loop_goes_with_its_only_way_out),
        cmocka_unit_test(without_an_outlet_nothing_can_be_told),
        cmocka_unit_test(people_count_where_the_plan_maps_them),
        cmocka_unit_test(any_network_cuts_off_what_removal_does),
        cmocka_unit_test(any_graph_has_the_dominators_that_removal_shows),
        cmocka_unit_test(a_million_nodes_in_a_row_need_no_deep_stack),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
