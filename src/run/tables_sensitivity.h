/* run/tables_sensitivity.h - the results of the variations beside the small table. */
#ifndef HN_RUN_TABLES_SENSITIVITY_H
#define HN_RUN_TABLES_SENSITIVITY_H

#include "run/tables.h"

/* Best and worst rank of each segment; borrows state and order. */
typedef struct hn_rank_view {
    const hn_state *state;
    const uint32_t *order; /* rows by priority */
    hn_view view;
} hn_rank_view;

void hn_rank_view_make(const hn_state *state, const uint32_t *by_priority, hn_rank_view *out);

/* tornado.svg in the folder; for write_more of hn_result_spec. */
HN_MUST_CHECK hn_status hn_tornado_write(void *state, const char *folder, hn_error *err);

#endif
