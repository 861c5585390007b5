/* run/compare_parts.h - what the files of haunch compare hand to each other.
 *
 * The idea: a chain of states of one network. The first is the stored first
 * result, the last the stored second one; between them stand runs of plans that
 * turn from the first into the second part by part. Each step of the chain has one
 * cause, and the steps add up because each begins where the one before it ended.
 */
#ifndef HN_RUN_COMPARE_PARTS_H
#define HN_RUN_COMPARE_PARTS_H

#include "base/text_pool.h"
#include "plan/plan_diff.h"
#include "read/result_store.h"
#include "report/sheet.h"
#include "run/compare.h"
#include "run/state.h"
#include "table/grid.h"

typedef enum hn_total {
    HN_TOTAL_SEGMENTS,
    HN_TOTAL_LENGTH,
    HN_TOTAL_OBSERVED,
    HN_TOTAL_OBSERVED_SHARE,
    HN_TOTAL_LOSS,
    HN_TOTAL_ACT_NOW,
    HN_TOTAL_FUNDED,
    HN_TOTAL_FUNDED_LENGTH,
    HN_TOTAL_LINED,
    HN_TOTAL_REPLACED,
    HN_TOTAL_OTHER,
    HN_TOTAL_SPENT,
    HN_TOTAL_UNFUNDED,
    HN_TOTAL_UNFUNDED_COST,
    HN_TOTAL_BACKLOG_FIRST,
    HN_TOTAL_BACKLOG_LAST,
    HN_TOTAL_COUNT
} hn_total;

/* What one state says of one segment; texts are numbers of the pool. */
typedef struct hn_compare_row {
    double length_m, loss, cost, grade; /* NaN: unknown */
    uint32_t method, act_now, programme, basis;
    int32_t year, priority, rank_risk, rank_value; /* HN_I32_MISSING: none */
} hn_compare_row;

enum { HN_NO_ROW = -1, HN_SNAPSHOTS_MAX = HN_PART_COUNT + 3 };

typedef struct hn_snapshot {
    hn_compare_row *rows;
    size_t count, room;
    int32_t *row_of; /* by number of the segment's id in the pool; HN_NO_ROW */
    size_t ids;      /* length of row_of */
    double total[HN_TOTAL_COUNT];
} hn_snapshot;

typedef struct hn_compare_step {
    const char *cause;
    const char *note; /* "" or what is to be known of it */
    unsigned parts;
} hn_compare_step;

typedef struct hn_compare_side {
    hn_result_store *store;
    hn_plan *plan; /* NULL when it cannot be had any more */
    const char *currency, *as_of, *version;
    int is_us;
} hn_compare_side;

enum {
    HN_COMPARE_STEPS,
    HN_COMPARE_TOTALS,
    HN_COMPARE_BY_CAUSE,
    HN_COMPARE_COUNTS,
    HN_COMPARE_CHANGES,
    HN_COMPARE_INPUTS,
    HN_COMPARE_CHECKS,
    HN_COMPARE_GRIDS
};

typedef struct hn_comparison {
    const hn_compare_spec *spec;
    hn_arena arena;
    hn_text_pool *texts;
    uint32_t programme_funded, programme_committed, programme_unfunded; /* text numbers */
    hn_compare_side side[2];
    hn_snapshot snap[HN_SNAPSHOTS_MAX]; /* 0: stored first; last: stored second */
    size_t snaps;
    hn_compare_step step[HN_SNAPSHOTS_MAX]; /* step i leads from snap i to i + 1 */
    const char *no_split;                   /* NULL, or why there are no causes */
    hn_plan_changes keys;
    unsigned differing; /* bit per part */
    int holds;
    hn_grid grid[HN_COMPARE_GRIDS];
    size_t runs_done, runs; /* for the progress */
    hn_run_options run_options;
} hn_comparison;

/* compare_snapshot.c */
HN_MUST_CHECK hn_status hn_snapshot_of_store(hn_comparison *c, const hn_compare_side *side,
                                             hn_snapshot *out, hn_error *err);
HN_MUST_CHECK hn_status hn_snapshot_of_state(hn_comparison *c, const hn_state *state,
                                             hn_snapshot *out, hn_error *err);
void hn_snapshot_clear(hn_snapshot *snapshot);
const hn_compare_row *hn_snapshot_row(const hn_snapshot *snapshot, uint32_t id);

/* compare_inputs.c: what differs between the inputs of the two; fills keys,
 * differing and the grid of inputs. */
HN_MUST_CHECK hn_status hn_compare_inputs(hn_comparison *c, hn_error *err);

/* compare_chain.c: fills side, snap, step, no_split. */
HN_MUST_CHECK hn_status hn_compare_chain(hn_comparison *c, hn_error *err);

/* compare_changes.c, compare_totals.c */
HN_MUST_CHECK hn_status hn_compare_changes(hn_comparison *c, hn_error *err);
HN_MUST_CHECK hn_status hn_compare_totals(hn_comparison *c, hn_error *err);
/* 1 when the segment's work is paid for in this state. */
int hn_compare_in_programme(const hn_comparison *c, const hn_compare_row *row);

/* compare_sheet.c: most: rows of a table that are shown. */
HN_MUST_CHECK hn_status hn_compare_sheet(hn_comparison *c, size_t most, hn_sheet *sheet,
                                         hn_error *err);
/* compare_write.c */
HN_MUST_CHECK hn_status hn_compare_write(hn_comparison *c, const char *folder, hn_error *err);

#endif
