/* table/issues.h - the list of doubtful data: what, where, and what was done.
 *
 * Shared by all stages that find fault with a row. Rows are known by segment
 * id text, since rows move when the table is put in order. Texts are interned
 * in the list's own pool.
 */
#ifndef HN_TABLE_ISSUES_H
#define HN_TABLE_ISSUES_H

#include "base/status.h"
#include "base/text_pool.h"

#include <stddef.h>
#include <stdint.h>

typedef enum hn_severity { HN_SEVERITY_ERROR, HN_SEVERITY_WARNING, HN_SEVERITY_NOTE } hn_severity;

typedef struct hn_issue {
    uint32_t segment;  /* text id of the segment id; 0: not about a segment */
    uint32_t rule, message, field, value, effect; /* text ids */
    uint8_t severity;  /* hn_severity */
    double x, y;       /* place in the network's CRS, NaN when unknown */
} hn_issue;

typedef struct hn_issue_list {
    hn_issue *items;
    size_t count, capacity;
    hn_text_pool *texts;
    size_t dropped; /* beyond the memory for the list; counted, not silent */
} hn_issue_list;

HN_MUST_CHECK hn_status hn_issue_list_init(hn_issue_list *list, hn_error *err);
void hn_issue_list_clear(hn_issue_list *list);

/* Adds one finding; NULL texts are "". Never fails: what does not fit is
 * counted in `dropped`. Not thread-safe. */
void hn_issue_add(hn_issue_list *list, hn_severity severity, const char *rule, const char *segment_id,
                  const char *field, const char *value, const char *message, const char *effect,
                  double x, double y);

#endif
