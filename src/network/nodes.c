/* Which ends meet. Text ids of nodes are small numbers already, so naming a
 * node is one array look-up; only ends without a usable id are snapped. */
#include "base/alloc.h"
#include "network/network.h"
#include "network/snap.h"

#include <string.h>
#include <strings.h>

int hn_is_pseudo_node_id(const char *text)
{
    static const char *const pseudo[] = {"",     "NA",   "N/A",     "NAN", "NONE", "NULL",
                                         "NIL",  "END",  "UNKNOWN", "UNK", "X",    "-",
                                         "--",   "?",    "#N/A",    "TBD", "NODE", "NO NODE"};
    enum { LONGEST = 7 };
    size_t zeros = strspn(text, "0");

    if (zeros > 0 && (text[zeros] == '\0' || strcmp(text + zeros, ".0") == 0))
        return 1;
    if (strnlen(text, LONGEST + 1) > LONGEST)
        return 0;
    for (size_t i = 0; i < sizeof pseudo / sizeof pseudo[0]; i++)
        if (strcasecmp(text, pseudo[i]) == 0)
            return 1;
    return 0;
}

void hn_nodes_clear(hn_nodes *nodes)
{
    hn_free(nodes->x);
    hn_free(nodes->y);
    hn_free(nodes->text);
    memset(nodes, 0, sizeof *nodes);
}

enum { UNSEEN = -1, PSEUDO = -2, SURVEYED = 1 << 30 };

typedef struct naming {
    hn_table *table;
    hn_nodes *nodes;
    int32_t *of_text; /* per text id: node, UNSEEN or PSEUDO */
    uint32_t texts;
} naming;

static int32_t node_of_text(naming *n, uint32_t text)
{
    int32_t *node = &n->of_text[text];

    if (text == 0)
        return PSEUDO;
    if (*node == UNSEEN) {
        if (hn_is_pseudo_node_id(hn_text_pool_get(n->table->texts, text))) {
            *node = PSEUDO;
        } else {
            *node = (int32_t)n->nodes->count;
            n->nodes->text[n->nodes->count++] = text;
        }
    }
    return *node;
}

/* Manholes come first into the list, so that an end near one takes its id. */
static void name_manholes(naming *n, const hn_manholes *manholes)
{
    for (size_t i = 0; i < manholes->count; i++) {
        int32_t node = node_of_text(n, manholes->text[i]);

        if (node < 0 || !manholes->xy || isnan(manholes->xy[2 * i]))
            continue;
        n->nodes->x[node] = manholes->xy[2 * i];
        n->nodes->y[node] = manholes->xy[2 * i + 1];
    }
}

static hn_status name_ends(hn_table *table, const hn_manholes *manholes, hn_nodes *nodes,
                           hn_error *err)
{
    naming n = {table, nodes, NULL, hn_text_pool_count(table->texts)};
    hn_status rc = HN_OK;

    n.of_text = hn_alloc(n.texts, sizeof *n.of_text);
    HN_TRY_ALLOC(n.of_text);
    memset(n.of_text, 0xff, n.texts * sizeof *n.of_text);
    name_manholes(&n, manholes);
    for (size_t i = 0; i < table->rows; i++) {
        int32_t up = node_of_text(&n, hn_str(table, HN_COL_UP_NODE, i));
        int32_t down = node_of_text(&n, hn_str(table, HN_COL_DOWN_NODE, i));

        HN_I32(table, UP_INDEX)[i] = up >= 0 ? up : HN_I32_MISSING;
        HN_I32(table, DOWN_INDEX)[i] = down >= 0 ? down : HN_I32_MISSING;
    }
    nodes->named = nodes->count;
out:
    hn_free(n.of_text);
    return rc;
}

/* Majority vote over the ends that claim a node, so that one reversed line
 * does not move it. */
static void vote(hn_nodes *nodes, int32_t *votes, int32_t node, const double *xy,
                 const hn_plane *plane, double snap_m)
{
    double at[2];

    if (node == HN_I32_MISSING)
        return;
    at[0] = nodes->x[node];
    at[1] = nodes->y[node];
    if (votes[node] == 0) {
        nodes->x[node] = xy[0];
        nodes->y[node] = xy[1];
        votes[node] = 1;
    } else if (hn_plane_distance_m(plane, at, xy) <= snap_m) {
        votes[node]++;
    } else {
        votes[node]--;
    }
}

static hn_status place_named(const hn_table *table, hn_nodes *nodes, const hn_plane *plane,
                             double snap_m, hn_error *err)
{
    int32_t *votes = hn_alloc(nodes->count, sizeof *votes);
    const hn_lines *lines = &table->lines;

    if (!votes)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < nodes->count; i++)
        votes[i] = isnan(nodes->x[i]) ? 0 : SURVEYED;
    for (size_t i = 0; i < table->rows; i++) {
        size_t n = hn_line_points(lines, i);

        if (n == 0)
            continue;
        vote(nodes, votes, HN_I32(table, UP_INDEX)[i], lines->xy + 2 * lines->start[i], plane,
             snap_m);
        vote(nodes, votes, HN_I32(table, DOWN_INDEX)[i],
             lines->xy + 2 * (lines->start[i] + n - 1), plane, snap_m);
    }
    hn_free(votes);
    return HN_OK;
}

static int any_unnamed(const hn_table *table)
{
    for (size_t i = 0; i < table->rows; i++)
        if (HN_I32(table, UP_INDEX)[i] == HN_I32_MISSING ||
            HN_I32(table, DOWN_INDEX)[i] == HN_I32_MISSING)
            return 1;
    return 0;
}

hn_status hn_network_nodes(hn_table *table, const hn_plan *plan, const hn_plane *plane,
                           const hn_manholes *manholes, hn_nodes *nodes, hn_error *err)
{
    hn_status rc = HN_OK;
    size_t most = table->rows * 2 + manholes->count + 1;

    memset(nodes, 0, sizeof *nodes);
    nodes->x = hn_alloc(most, sizeof *nodes->x);
    nodes->y = hn_alloc(most, sizeof *nodes->y);
    nodes->text = hn_alloc(most, sizeof *nodes->text);
    HN_TRY_ALLOC(nodes->x);
    HN_TRY_ALLOC(nodes->y);
    HN_TRY_ALLOC(nodes->text);
    for (size_t i = 0; i < most; i++)
        nodes->x[i] = nodes->y[i] = (double)NAN;
    HN_TRY(hn_table_want(table, HN_COL_UP_INDEX, err));
    HN_TRY(hn_table_want(table, HN_COL_DOWN_INDEX, err));
    HN_TRY(name_ends(table, manholes, nodes, err));
    HN_TRY(place_named(table, nodes, plane, plan->snap_m, err));
    if (any_unnamed(table))
        HN_TRY(hn_snap_unnamed(table, nodes, plane, plan->snap_m, err));
out:
    if (rc != HN_OK)
        hn_nodes_clear(nodes);
    return rc;
}
