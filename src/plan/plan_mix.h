/* plan/plan_mix.h - a plan that takes some of its parts from another one.
 *
 * Every key and every table of a plan belongs to one part. Two plans can so be
 * turned into each other part by part, and what a part changes can be seen.
 */
#ifndef HN_PLAN_PLAN_MIX_H
#define HN_PLAN_PLAN_MIX_H

#include "plan/plan.h"

/* In the order in which haunch compare changes them. */
typedef enum hn_plan_part {
    HN_PART_DAY,    /* as_of */
    HN_PART_DATA,   /* all sources with their keys; overrides */
    HN_PART_RULES,  /* network_rules, grading, design, defaults; all tables that are no prices */
    HN_PART_PRICES, /* money; rates, cost_items, markups */
    HN_PART_BUDGET, /* programme */
    HN_PART_COUNT,
    HN_PART_NONE = HN_PART_COUNT /* changes no number: title, units, output */
} hn_plan_part;

/* "day", "data" ... */
extern const char *const hn_plan_part_names[HN_PART_COUNT];

/* Part of a key by its path, such as "money.discount_pct". */
hn_plan_part hn_plan_part_of_key(const char *path);
/* Part of a config table by its name in HN_CONFIG_TABLE_LIST. */
hn_plan_part hn_plan_part_of_table(const char *table);

/* The first plan with the parts whose bits are set taken from the second. The
 * config tables are read anew, since they point into each other; all else is
 * borrowed, so both plans must outlive *out. Errors: HN_ERR_PLAN when the parts
 * do not go together (a table names a method that another does not have, the
 * programme begins before the day); HN_ERR_INPUT, HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_plan_mix(const hn_plan *first, const hn_plan *second, unsigned parts,
                                    hn_plan **out, hn_error *err);

#endif
