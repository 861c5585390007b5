/* unit/network_fixture.h - little networks made by hand, metres. */
#ifndef HN_UNIT_NETWORK_FIXTURE_H
#define HN_UNIT_NETWORK_FIXTURE_H

#include "test_util.h"

#include "base/alloc.h"
#include "network/network.h"

#include <string.h>

typedef struct pipe_row {
    const char *id, *up, *down;
    double x1, y1, x2, y2;
} pipe_row;

static inline void set_text(hn_table *t, hn_column_id id, size_t row, const char *text)
{
    ((uint32_t *)t->column[id])[row] = hn_text_pool_add(t->texts, text, strlen(text));
}

/* Straight pipes with drawn length, circular, 300 mm. */
static inline hn_table *table_of(const pipe_row *pipes, size_t count)
{
    hn_table *t;
    static const hn_column_id wanted[] = {HN_COL_SEGMENT_ID, HN_COL_UP_NODE, HN_COL_DOWN_NODE,
                                          HN_COL_LENGTH_GEOMETRY_M, HN_COL_WIDTH_MM,
                                          HN_COL_HEIGHT_MM, HN_COL_SHAPE};

    assert_int_equal(hn_table_new(&t, NULL), HN_OK);
    assert_int_equal(hn_table_reserve(t, count, NULL), HN_OK);
    t->rows = count;
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++)
        assert_int_equal(hn_table_want(t, wanted[i], NULL), HN_OK);
    t->lines.xy = hn_alloc(count * 4, sizeof(double));
    t->lines.points = t->lines.capacity = count * 2;
    for (size_t i = 0; i < count; i++) {
        const double xy[4] = {pipes[i].x1, pipes[i].y1, pipes[i].x2, pipes[i].y2};

        set_text(t, HN_COL_SEGMENT_ID, i, pipes[i].id);
        set_text(t, HN_COL_UP_NODE, i, pipes[i].up);
        set_text(t, HN_COL_DOWN_NODE, i, pipes[i].down);
        memcpy(t->lines.xy + 4 * i, xy, sizeof xy);
        t->lines.start[i + 1] = 2 * (i + 1);
        HN_F64(t, LENGTH_GEOMETRY_M)[i] = hypot(xy[2] - xy[0], xy[3] - xy[1]);
        HN_F64(t, WIDTH_MM)[i] = HN_F64(t, HEIGHT_MM)[i] = 300.0;
        HN_CODE(t, SHAPE)[i] = HN_SHAPE_CIRCLE;
    }
    for (size_t i = count + 1; i <= t->capacity; i++)
        t->lines.start[i] = 2 * count;
    return t;
}

typedef struct built {
    hn_table *table;
    hn_issue_list issues;
    hn_plane plane;
    hn_nodes nodes;
    hn_network_stats stats;
    hn_plan plan;
} built;

/* All network steps in the order of the run. */
static inline void build(built *b, const pipe_row *pipes, size_t count)
{
    const hn_manholes none = {0};

    memset(b, 0, sizeof *b);
    b->plan.snap_m = 0.5;
    b->plan.merge_fragments = 1;
    b->plan.fragment_m = 2.0;
    b->plan.length_tolerance_m = 2.0;
    b->plan.length_tolerance_pct = 10.0;
    b->table = table_of(pipes, count);
    assert_int_equal(hn_issue_list_init(&b->issues, NULL), HN_OK);
    b->plane = hn_plane_of(&b->table->lines, 0, 1.0);
    assert_int_equal(hn_network_order(b->table, &b->issues, NULL), HN_OK);
    assert_int_equal(hn_network_nodes(b->table, &b->plan, &b->plane, &none, &b->nodes, NULL), HN_OK);
    assert_int_equal(hn_network_merge(b->table, &b->plan, &b->plane, &b->nodes, &b->stats, &b->issues, NULL), HN_OK);
    assert_int_equal(hn_network_lengths(b->table, &b->plan, &b->stats, &b->issues, NULL), HN_OK);
    assert_int_equal(hn_network_upstream(b->table, &b->nodes, &b->stats, NULL), HN_OK);
}

static inline void drop(built *b)
{
    hn_nodes_clear(&b->nodes);
    hn_issue_list_clear(&b->issues);
    hn_table_free(b->table);
}

static inline size_t row_of(const built *b, const char *id)
{
    for (size_t i = 0; i < b->table->rows; i++)
        if (strcmp(hn_table_text(b->table, HN_COL_SEGMENT_ID, i), id) == 0)
            return i;
    fail_msg("no segment %s", id);
    return 0;
}

static inline size_t issues_of(const built *b, const char *rule)
{
    uint32_t id = hn_text_pool_find(b->issues.texts, rule, strlen(rule));
    size_t n = 0;

    for (size_t i = 0; id && i < b->issues.count; i++)
        n += b->issues.items[i].rule == id;
    return n;
}

#endif
