/* plan/plan_diff.h - which keys of two plan files say something else. */
#ifndef HN_PLAN_PLAN_DIFF_H
#define HN_PLAN_PLAN_DIFF_H

#include "plan/plan_mix.h"

typedef struct hn_plan_change {
    const char *path;           /* "programme.budgets.2026", "context.rail.search_m" */
    const char *before, *after; /* as written; "" when not given and without default */
    hn_plan_part part;
} hn_plan_change;

typedef struct hn_plan_changes {
    hn_plan_change *items;
    size_t count, room;
} hn_plan_changes;

/* Reads both files as YAML and lists the keys that differ, those of the first in
 * the order of its file, then those that only the second has. Numbers are compared
 * as numbers; a key that is not given stands for its built-in default. All lies in
 * `arena`. Errors: as hn_yaml_read_file. */
HN_MUST_CHECK hn_status hn_plan_diff(const char *first, const char *second, hn_arena *arena,
                                     hn_plan_changes *out, hn_error *err);

#endif
