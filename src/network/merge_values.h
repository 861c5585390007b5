/* network/merge_values.h - what a reach knows from its pieces. */
#ifndef HN_NETWORK_MERGE_VALUES_H
#define HN_NETWORK_MERGE_VALUES_H

#include "base/status.h"
#include "table/issues.h"
#include "table/segment_table.h"

/* Gathers the chain head, next[head], ... into row `keeper`: ends from the
 * first and last piece, lengths and counts as sums, defects and grades as the
 * worst, other facts from the longest piece that knows them. */
HN_MUST_CHECK hn_status hn_merge_values(hn_table *table, size_t head, const int32_t *next,
                                        size_t keeper, hn_issue_list *issues, hn_error *err);

#endif
