/* report/match_view.h - table `inspection_matches`: how each record found its segment. */
#ifndef HN_REPORT_MATCH_VIEW_H
#define HN_REPORT_MATCH_VIEW_H

#include "table/matches.h"
#include "table/segment_table.h"
#include "table/view.h"

typedef struct hn_match_view {
    const hn_table *table;
    const hn_matches *matches;
    hn_view view;
} hn_match_view;

/* Both must outlive the view. */
void hn_match_view_make(const hn_table *table, const hn_matches *matches, hn_match_view *out);

enum { HN_EVIDENCE_BYTES = 128 };
/* "nodes agree, length differs"; "" for nothing. */
const char *hn_match_evidence_text(uint8_t evidence, char room[HN_EVIDENCE_BYTES]);

#endif
