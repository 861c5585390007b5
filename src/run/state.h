/* run/state.h - everything a run holds between its stages. */
#ifndef HN_RUN_STATE_H
#define HN_RUN_STATE_H

#include "condition/condition.h"
#include "condition/observe.h"
#include "consequence/consequence.h"
#include "consequence/scheme.h"
#include "network/network.h"
#include "options/options.h"
#include "plan/plan.h"
#include "programme/programme.h"
#include "read/network_source.h"
#include "risk/risk.h"
#include "run/run.h"
#include "run/sensitivity_result.h"
#include "table/grid.h"

#include <pthread.h>

typedef struct hn_default_count {
    size_t used; /* rows that took the default */
} hn_default_count;

typedef struct hn_source_note {
    char key[64], shown[512], layer[128], driver[32], sha256[65];
    size_t rows_read, rows_kept, rows_rejected;
    /* run/source_hash.c */
    const char *hash_from;
    struct hn_source_note *hash_before;
    pthread_t hasher;
} hn_source_note;

enum { HN_SOURCES_MAX = 128, HN_SCENARIOS = 5 };

typedef struct hn_scenario {
    const char *name, *meaning;
    double budget_factor;
    hn_order_rule order;
    int does_nothing;
    hn_allocation allocation;
    hn_path_year *path;
} hn_scenario;

typedef struct hn_state {
    const hn_run_options *options;
    int threads;
    double share_done;     /* progress at the start of the running stage */
    double share_stage;    /* part of the whole that the stage takes */
    const char *stage_name;

    hn_plan *plan;
    char other_plan[256], other_title[256]; /* whose result this run replaces; "": none other's */
    hn_table *table;
    hn_issue_list issues;
    hn_crs_info crs;
    hn_plane plane;
    hn_nodes nodes;
    hn_inspections inspections;
    hn_observations observations;
    hn_observe_stats observed;
    hn_history *history; /* NULL, or haunch fit wants every inspection; borrowed */
    hn_source_note sources[HN_SOURCES_MAX];
    size_t source_count;
    hn_source_note *hashing; /* the last one whose hash is on its way, or NULL */

    hn_network_stats network;
    hn_join_stats join;
    hn_matches matches;
    hn_outlook outlook;
    hn_consequence_parts parts;
    hn_scheme_parts scheme;    /* empty unless the plan has a points scheme */
    hn_loss loss;
    hn_options *judged;
    hn_rank_stats ranks;
    struct hn_role_table *works; /* as read; kept for the variations only, else NULL */
    hn_commitment *commitments;
    size_t commitment_count;
    hn_scenario scenario[HN_SCENARIOS]; /* scenario 1 is the plan itself */
    size_t projects;
    size_t *default_used;      /* per plan default */
    uint64_t *default_taken;   /* NULL, or per row a bit for each of the first 64 defaults */
    uint8_t *default_watched;  /* NULL, or per plan default: 1 when watched_id took it */
    uint8_t **default_filled;  /* NULL, or per plan default: one bit a row that took it */
    int wants_sensitivity;     /* haunch run; what else runs stages does not vary */
    int varies_from;           /* in a variation: its first stage; else 0 */
    hn_sensitivity sensitivity;
    const char *watched_id;    /* segment that explain is about; NULL: none. Borrowed */
    uint8_t *override_state;   /* per override: see run/overrides.h */
    hn_summary *summary;
} hn_state;

/* A state with its plan read, nothing else (run.c). On failure *out may hold what
 * is to be freed. options may be NULL and must outlive the state. */
HN_MUST_CHECK hn_status hn_state_new(const char *plan_path, const hn_run_options *options,
                                     hn_state **out, hn_error *err);
/* The same of a plan that was read; it is the state's from now on, whatever is
 * returned. */
HN_MUST_CHECK hn_status hn_state_of_plan(hn_plan *plan, const hn_run_options *options,
                                         hn_state **out, hn_error *err);
void hn_state_free(hn_state *state); /* NULL is fine */
/* Stages from .. to - 1 of hn_run_stages. */
HN_MUST_CHECK hn_status hn_state_run(hn_state *state, size_t from, size_t to, hn_error *err);

/* Row of a segment id, -1: none (overrides.c). Rows are in the order of ids once
 * the network is built. */
int64_t hn_state_find_row(const hn_table *table, const char *segment_id);

/* Reports progress inside the running stage. */
void hn_state_progress(hn_state *state, double share_of_stage);

/* What haunch check prints (check_report.c). */
void hn_check_report(const hn_state *state, FILE *out);

/* A line of --timings for a part of a stage, of which only the processor time is
 * known. */
void hn_state_tell_part(const hn_state *state, const char *part, double processor_s);

/* Remembers a source and its hash for the run log. */
hn_source_note *hn_state_note_source(hn_state *state, const hn_source *source);

#endif
