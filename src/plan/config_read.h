/* plan/config_read.h - the config tables read and checked, as one hn_config. */
#ifndef HN_PLAN_CONFIG_READ_H
#define HN_PLAN_CONFIG_READ_H

#include "base/arena.h"
#include "base/status.h"
#include "plan/config.h"

/* One path a table, in the order in which they are read. X(name): the key in
 * a plan's `config:`, and the file shipped as config/<name>.csv. Overrides
 * have no shipped file. */
#define HN_CONFIG_TABLE_LIST(X) \
    X(materials)                \
    X(deterioration)            \
    X(methods)                  \
    X(cost_items)               \
    X(method_rules)             \
    X(rates)                    \
    X(markups)                  \
    X(pipe_sizes)               \
    X(takeoff)                  \
    X(carbon)                   \
    X(failure_rates)            \
    X(consequence)              \
    X(scoring)                  \
    X(act_now)                  \
    X(quality_rules)            \
    X(observation_codes)        \
    X(roll_up)                  \
    X(grading_rules)            \
    X(sensitivity)              \
    X(overrides)

/* What hn_text_table_read takes: a file, or "file#layer". NULL overrides
 * or carbon: none; no other may be NULL. */
typedef struct hn_config_paths {
#define HN_CONFIG_PATH_FIELD(name) const char *name;
    HN_CONFIG_TABLE_LIST(HN_CONFIG_PATH_FIELD)
#undef HN_CONFIG_PATH_FIELD
} hn_config_paths;

/* 1 for the tables that a plan may do without. */
int hn_config_is_optional(const char *table);
/* 1 for those of them that belong to the plan and not to the set of tables. */
int hn_config_is_plans_own(const char *table);
/* 1 for those of them that are shipped, and read when the plan has observations. */
int hn_config_is_for_observations(const char *table);
/* The same for a plan with a points scheme. */
int hn_config_is_for_scheme(const char *table);

/* Reads all tables, checks every cell, and resolves ids between tables. All
 * texts and arrays lie in `arena`; `*out` needs no free of its own. Conditions
 * and money expressions are copied, not checked (table/condition_sql does).
 * Errors: HN_ERR_PLAN with file, row as a spreadsheet shows it (the header is
 * row 1), column, value and what is accepted; HN_ERR_INPUT when a file cannot
 * be opened; HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_config_read(const hn_config_paths *paths, hn_arena *arena,
                                       hn_config *out, hn_error *err);

/* Paths of the tables shipped with haunch, in `arena`. Errors: HN_ERR_PLAN when
 * their folder is not found (hint: the environment variable HAUNCH_CONFIG). */
HN_MUST_CHECK hn_status hn_plan_shipped_config(hn_arena *arena, hn_config_paths *out,
                                               hn_error *err);

#endif
