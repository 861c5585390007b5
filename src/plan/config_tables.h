/* plan/config_tables.h - the reader of each config table; private to
 * config_*.c. Each fills its part of `out`; readers that resolve ids need the
 * tables named in their comment to be read before. */
#ifndef HN_PLAN_CONFIG_TABLES_H
#define HN_PLAN_CONFIG_TABLES_H

#include "base/arena.h"
#include "base/status.h"
#include "plan/config.h"

/* config_ageing.c */
hn_status hn_config_materials(const char *path, hn_arena *arena, hn_config *out, hn_error *err);
hn_status hn_config_deterioration(const char *path, hn_arena *arena, hn_config *out, hn_error *err);
hn_status hn_config_failure_rates(const char *path, hn_arena *arena, hn_config *out, hn_error *err);
/* Not part of a plan: shares read as 1 to 5 for each true grade, rows that add up to 1. */
hn_status hn_config_misreading(const char *path, hn_arena *arena, double out[5][5], hn_error *err);

/* config_methods.c; methods after deterioration, rules after methods and items */
hn_status hn_config_methods(const char *path, hn_arena *arena, hn_config *out, hn_error *err);
hn_status hn_config_method_rules(const char *path, hn_arena *arena, hn_config *out, hn_error *err);

/* config_money.c; items and rates after methods, rates after items */
hn_status hn_config_cost_items(const char *path, hn_arena *arena, hn_config *out, hn_error *err);
hn_status hn_config_markups(const char *path, hn_arena *arena, hn_config *out, hn_error *err);
/* config_rates.c */
hn_status hn_config_rates(const char *path, hn_arena *arena, hn_config *out, hn_error *err);

/* config_takeoff.c; carbon after methods */
hn_status hn_config_pipe_sizes(const char *path, hn_arena *arena, hn_config *out, hn_error *err);
hn_status hn_config_takeoff(const char *path, hn_arena *arena, hn_config *out, hn_error *err);
hn_status hn_config_carbon(const char *path, hn_arena *arena, hn_config *out, hn_error *err);
/* Those of the methods that have the quantity at all. */
uint32_t hn_config_with_quantity(const hn_config *config, uint32_t methods, hn_take quantity);
/* Names of hn_take in its order; room for HN_TAKE_COUNT. */
size_t hn_config_quantity_names(const char **names);

/* config_judgement.c; overrides after methods */
hn_status hn_config_consequence(const char *path, hn_arena *arena, hn_config *out, hn_error *err);
hn_status hn_config_act_now(const char *path, hn_arena *arena, hn_config *out, hn_error *err);
hn_status hn_config_quality_rules(const char *path, hn_arena *arena, hn_config *out, hn_error *err);
hn_status hn_config_overrides(const char *path, hn_arena *arena, hn_config *out, hn_error *err);

/* config_scoring.c */
hn_status hn_config_scoring(const char *path, hn_arena *arena, hn_config *out, hn_error *err);

/* config_grading.c; rules after roll-ups */
hn_status hn_config_observation_codes(const char *path, hn_arena *arena, hn_config *out,
                                      hn_error *err);
hn_status hn_config_roll_up(const char *path, hn_arena *arena, hn_config *out, hn_error *err);
hn_status hn_config_grading_rules(const char *path, hn_arena *arena, hn_config *out, hn_error *err);

/* config_sensitivity.c */
hn_status hn_config_sensitivity(const char *path, hn_arena *arena, hn_config *out, hn_error *err);

struct hn_config_input;
/* Adds the methods of the cell `methods` of record i: "all", a kind, or ids. */
hn_status hn_config_methods_of(const struct hn_config_input *in, size_t i, const hn_config *config,
                               uint32_t *bits, hn_error *err);

/* "structural", "service", "tightness", NULL: in the order of hn_driver. */
extern const char *const hn_config_drivers[HN_DRIVERS + 1];
/* "no", "yes", NULL. */
extern const char *const hn_config_no_yes[3];

/* Ids of the methods read so far; at most HN_MAX_METHODS. */
size_t hn_config_method_ids(const hn_config *config, const char *ids[HN_MAX_METHODS]);

#endif
