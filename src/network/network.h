/* network/network.h - from drawn lines to a sewer network.
 *
 *   hn_network_order      canonical row order, unique ids
 *   hn_network_nodes      which ends meet
 *   hn_network_merge      fragments become manhole-to-manhole reaches
 *   hn_network_lengths    the length that counts
 *   hn_network_derive     depth, cover, slope, bend
 *   hn_network_upstream   what drains through each segment
 *   hn_network_cut_off    what has no other way out when a segment fails
 *   hn_network_quality    the rules of config/quality_rules.csv
 *
 * All are whole-table steps, n or n log n, and give the same for any row
 * order of the source and any number of threads.
 */
#ifndef HN_NETWORK_NETWORK_H
#define HN_NETWORK_NETWORK_H

#include "base/status.h"
#include "plan/plan.h"
#include "table/issues.h"
#include "table/plane.h"
#include "table/segment_table.h"

typedef struct hn_network_stats {
    size_t rows_read;       /* rows before merging */
    size_t rows_merged;     /* rows absorbed into another one */
    size_t nodes, named_nodes, outlets, loops;
    double length_m;
} hn_network_stats;

/* Where a node lies, layer units; NaN when no line reaches it. */
typedef struct hn_nodes {
    size_t count, named;
    double *x, *y;
    uint32_t *text;   /* text id of the node, 0 when it has none */
} hn_nodes;

void hn_nodes_clear(hn_nodes *nodes);

/* Sorts rows by segment id, then by content; renames later holders of an id
 * to "id~2", "id~3" with an issue each. */
HN_MUST_CHECK hn_status hn_network_order(hn_table *table, hn_issue_list *issues, hn_error *err);

/* Manholes of a layer of their own: id (text of the table's pool) and place. */
typedef struct hn_manholes {
    size_t count;
    const uint32_t *text;
    const double *xy; /* two each; NULL: places are not known */
} hn_manholes;

/* Fills up_index and down_index. Ends with a usable node id meet by id; the
 * others by closeness (snap_m), to a manhole where there is one. `nodes` is the
 * caller's (hn_nodes_clear). manholes->count may be 0. */
HN_MUST_CHECK hn_status hn_network_nodes(hn_table *table, const hn_plan *plan,
                                         const hn_plane *plane, const hn_manholes *manholes,
                                         hn_nodes *nodes, hn_error *err);

/* Joins rows that are pieces of one reach; fills source_rows and merged_from. */
HN_MUST_CHECK hn_status hn_network_merge(hn_table *table, const hn_plan *plan,
                                         const hn_plane *plane, const hn_nodes *nodes,
                                         hn_network_stats *stats, hn_issue_list *issues,
                                         hn_error *err);

HN_MUST_CHECK hn_status hn_network_lengths(hn_table *table, const hn_plan *plan,
                                           hn_network_stats *stats, hn_issue_list *issues,
                                           hn_error *err);
HN_MUST_CHECK hn_status hn_network_derive(hn_table *table, const hn_plane *plane, int threads,
                                          hn_error *err);
HN_MUST_CHECK hn_status hn_network_upstream(hn_table *table, const hn_nodes *nodes,
                                            hn_network_stats *stats, hn_error *err);
/* Fills cut_off_length_m, and the people and the flow cut off where the plan maps
 * them. After lengths; the columns up_index and down_index must be there. */
HN_MUST_CHECK hn_status hn_network_cut_off(hn_table *table, const hn_nodes *nodes, hn_error *err);
HN_MUST_CHECK hn_status hn_network_quality(const hn_table *table, const hn_plan *plan,
                                           const hn_plane *plane, const hn_nodes *nodes,
                                           int threads, hn_issue_list *issues, hn_error *err);

/* Lists dates that cannot be (after the date of the plan, inspected before it was
 * built) by the named checks; years of construction and inspection dates after
 * the date of the plan become missing. Before the other rules. */
void hn_network_dates(hn_table *table, const hn_plan *plan, hn_issue_list *issues);

/* 1 when a node id means "no node": NA, END, 0 and the like (local rule). */
int hn_is_pseudo_node_id(const char *text);

#endif
