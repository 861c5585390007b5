/* plan/config_read.c - all config tables in the order in which they refer to
 * each other. */
#include "plan/config_read.h"

#include "plan/config_tables.h"

#include <string.h>

enum { MAX_FILES = 32 };

const char *const hn_config_drivers[HN_DRIVERS + 1] = {"structural", "service", "tightness", NULL};
const char *const hn_config_no_yes[3] = {"no", "yes", NULL};

size_t hn_config_method_ids(const hn_config *config, const char *ids[HN_MAX_METHODS])
{
    for (size_t m = 0; m < config->method_count; m++)
        ids[m] = config->methods[m].id;
    return config->method_count;
}

int hn_config_is_optional(const char *table)
{
    return hn_config_is_plans_own(table) || hn_config_is_for_observations(table) ||
           hn_config_is_for_scheme(table) || strcmp(table, "sensitivity") == 0;
}

int hn_config_is_plans_own(const char *table)
{
    return strcmp(table, "overrides") == 0 || strcmp(table, "carbon") == 0;
}

int hn_config_is_for_scheme(const char *table)
{
    return strcmp(table, "scoring") == 0;
}

int hn_config_is_for_observations(const char *table)
{
    return strcmp(table, "observation_codes") == 0 || strcmp(table, "roll_up") == 0 ||
           strcmp(table, "grading_rules") == 0;
}

hn_status hn_config_read(const hn_config_paths *paths, hn_arena *arena, hn_config *out,
                         hn_error *err)
{
    hn_status rc = HN_OK;
    memset(out, 0, sizeof *out);
    out->files = hn_arena_alloc(arena, MAX_FILES, sizeof *out->files);
    HN_TRY_ALLOC(out->files);

#define READ_TABLE(name)                                                          \
    if (paths->name) {                                                            \
        HN_TRY(hn_config_##name(paths->name, arena, out, err));                   \
        out->files[out->file_count++] = paths->name;                              \
    } else if (!hn_config_is_optional(#name)) {                                   \
        rc = hn_fail(err, HN_ERR_PLAN, "no path for the config table %s", #name); \
        goto out;                                                                 \
    }
    HN_CONFIG_TABLE_LIST(READ_TABLE)
#undef READ_TABLE
out:
    return rc;
}
