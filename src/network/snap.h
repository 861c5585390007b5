/* network/snap.h - ends without an id meet by closeness. */
#ifndef HN_NETWORK_SNAP_H
#define HN_NETWORK_SNAP_H

#include "network/network.h"

/* Gives every end that has no node yet one: first ends at the same place share
 * a node, then nodes within snap_m become one, never the two ends of one short
 * piece and never two named nodes. */
HN_MUST_CHECK hn_status hn_snap_unnamed(hn_table *table, hn_nodes *nodes, const hn_plane *plane,
                                        double snap_m, hn_error *err);

#endif
