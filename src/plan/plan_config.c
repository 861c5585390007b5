/* plan/plan_config.c - where the config tables lie. */
#include "base/nearest.h"
#include "plan/plan_keys.h"
#include "plan/plan_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { EXE_ROOM = 4096, PLACES = 3 };

/* Against the folder of the program: installed, or in a build tree. */
static const char *const beside_program[PLACES] = {"../share/haunch/config", "../config",
                                                   "../../config"};

static int is_folder(const char *path)
{
    struct stat st;

    return stat(path, &st) == 0 && S_ISDIR(st.st_mode);
}

/* A file; what follows # names a sheet, unless the file itself has the #. */
static int is_file(const char *path)
{
    char room[EXE_ROOM];
    const char *hash = strrchr(path, '#');
    struct stat st;

    if (stat(path, &st) == 0)
        return !S_ISDIR(st.st_mode);
    if (!hash || (size_t)(hash - path) >= sizeof room)
        return 0;
    memcpy(room, path, (size_t)(hash - path));
    room[hash - path] = '\0';
    return stat(room, &st) == 0 && !S_ISDIR(st.st_mode);
}

static hn_status fail_no_folder(const hn_plan_reader *r, const char *program_folder)
{
    hn_status rc =
        hn_fail(r->err, HN_ERR_PLAN,
                "the config tables shipped with haunch are not found: no folder %s, %s or %s "
                "beside %s",
                beside_program[0], beside_program[1], beside_program[2], program_folder);

    hn_hint(r->err, "set the environment variable HAUNCH_CONFIG to their folder, or give `config: "
                    "{folder: ...}` in the plan");
    return rc;
}

static hn_status folder_of_environment(const hn_plan_reader *r, const char *path, const char **out)
{
    if (is_folder(path)) {
        *out = hn_arena_text(&r->plan->arena, path);
        return *out ? HN_OK : hn_plan_no_memory(r);
    }
    hn_fail(r->err, HN_ERR_PLAN,
            "the environment variable HAUNCH_CONFIG is `%s`, which is no folder", path);
    hn_hint(r->err, "set it to the folder of the config tables, or unset it");
    return HN_ERR_PLAN;
}

static hn_status shipped_folder(const hn_plan_reader *r, const char **out)
{
    const char *environment = getenv("HAUNCH_CONFIG"), *program;
    hn_arena *arena = &r->plan->arena;
    char exe[EXE_ROOM];
    ssize_t length;

    if (environment && *environment)
        return folder_of_environment(r, environment, out);
    length = readlink("/proc/self/exe", exe, sizeof exe - 1);
    exe[length > 0 ? length : 0] = '\0';
    program = hn_plan_folder_of(arena, exe);
    if (!program)
        return hn_plan_no_memory(r);
    for (int i = 0; i < PLACES; i++) {
        *out = hn_plan_resolve(arena, program, beside_program[i]);
        if (!*out)
            return hn_plan_no_memory(r);
        if (is_folder(*out))
            return HN_OK;
    }
    return fail_no_folder(r, program);
}

static hn_status check_there(const hn_plan_reader *r, const hn_yaml_node *map, const char *table,
                             const char *path)
{
    const hn_yaml_node *said = hn_yaml_get(map, table);
    hn_status rc;

    if (hn_plan_is_connection(path) || is_file(path))
        return HN_OK;
    rc = hn_plan_fail(r, said ? said : map, "config.%s: there is no file `%s`", table, path);
    if (strcmp(table, "overrides") == 0) {
        hn_hint(r->err, "give its path, relative to the folder of the plan; or remove the line to "
                        "use no overrides");
        return rc;
    }
    hn_hint(r->err,
            "give the table's path, relative to %s; or remove the line to use the one "
            "shipped with haunch",
            hn_yaml_get(map, "folder") ? "config.folder" : "the folder of the plan");
    return rc;
}

/* The table of variations is younger than the others: a folder of tables that has
 * none goes with the shipped one, and without that nothing is varied. */
static hn_status settle_variations(const hn_plan_reader *r, const hn_config_keys *said,
                                   const char **shipped, const char **path)
{
    hn_arena *arena = &r->plan->arena;
    hn_error unused;

    if (r->plan->sensitivity == HN_SENSITIVITY_NO)
        return HN_OK;
    if (said->folder) {
        *path = hn_arena_printf(arena, "%s/sensitivity.csv", said->folder);
        if (!*path)
            return hn_plan_no_memory(r);
        if (is_file(*path))
            return HN_OK;
        *path = NULL;
    }
    if (!*shipped) {
        hn_plan_reader quiet = *r;

        quiet.err = &unused;
        if (shipped_folder(&quiet, shipped) != HN_OK)
            return HN_OK;
    }
    *path = hn_arena_printf(arena, "%s/sensitivity.csv", *shipped);
    if (*path && !is_file(*path))
        *path = NULL;
    return HN_OK;
}

/* Settles one table: where the plan says, else in the folder, else shipped. */
static hn_status settle(const hn_plan_reader *r, const hn_yaml_node *map, const char *table,
                        const hn_config_keys *said, const char **shipped, const char **path)
{
    hn_arena *arena = &r->plan->arena;
    const int is_optional =
        hn_config_is_optional(table) &&
        !(hn_config_is_for_observations(table) && r->plan->observation_count) &&
        !(hn_config_is_for_scheme(table) && r->plan->risk_scheme != HN_SCHEME_MONEY);
    hn_status rc = HN_OK;

    if (!*path && strcmp(table, "sensitivity") == 0)
        return settle_variations(r, said, shipped, path);
    if (*path && hn_config_is_plans_own(table)) {
        /* the plan's own, not one of the set of tables */
        *path = hn_plan_resolve(arena, r->plan->folder, *path);
    } else if (*path) {
        *path = hn_plan_resolve(arena, said->folder ? said->folder : r->plan->folder, *path);
    } else if (is_optional) {
        return HN_OK;
    } else {
        if (!said->folder && !*shipped)
            HN_TRY(shipped_folder(r, shipped));
        *path = hn_arena_printf(arena, "%s/%s.csv", said->folder ? said->folder : *shipped, table);
    }
    if (!*path)
        return hn_plan_no_memory(r);
    HN_TRY(check_there(r, map, table, *path));
out:
    return rc;
}

hn_status hn_plan_config_paths(hn_plan_reader *r, const hn_yaml_node *map, hn_config_paths *out)
{
    hn_config_keys said;
    const char *shipped = NULL;
    hn_status rc;

    memset(&said, 0, sizeof said);
    HN_TRY(hn_plan_read_block(r, "config", "config", map, NULL, &said));
    if (said.folder) {
        said.folder = hn_plan_resolve(&r->plan->arena, r->plan->folder, said.folder);
        if (!said.folder)
            return hn_plan_no_memory(r);
        if (!is_folder(said.folder)) {
            rc = hn_plan_fail(r, hn_yaml_get(map, "folder"),
                              "config.folder: there is no folder `%s`", said.folder);
            hn_hint(r->err, "give a folder relative to that of the plan; or remove the line to use "
                            "the tables shipped with haunch");
            return rc;
        }
    }
#define SETTLE(table) HN_TRY(settle(r, map, #table, &said, &shipped, &said.paths.table));
    HN_CONFIG_TABLE_LIST(SETTLE)
#undef SETTLE
    *out = said.paths;
out:
    return rc;
}

hn_status hn_plan_shipped_config(hn_arena *arena, hn_config_paths *out, hn_error *err)
{
    hn_plan plan = {.arena = *arena};
    hn_plan_reader reader = {.plan = &plan, .err = err};
    const char *folder = NULL;
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out);
    HN_TRY(shipped_folder(&reader, &folder));
#define SHIPPED(table)                                                          \
    if (!hn_config_is_optional(#table)) {                                       \
        out->table = hn_arena_printf(&plan.arena, "%s/%s.csv", folder, #table); \
        if (!out->table)                                                        \
            HN_TRY(hn_plan_no_memory(&reader));                                 \
    }
    HN_CONFIG_TABLE_LIST(SHIPPED)
#undef SHIPPED
out:
    *arena = plan.arena;
    return rc;
}

/* ---- materials ---- */

static const char *material_id(size_t i, const void *config)
{
    return ((const hn_config *)config)->materials[i].id;
}

static int is_material(const hn_config *config, const char *text)
{
    if (!text || text[0] == '\0')
        return 1;
    for (size_t i = 0; i < config->material_count; i++)
        if (strcmp(config->materials[i].id, text) == 0)
            return 1;
    return 0;
}

static hn_status fail_material(const hn_plan_reader *r, hn_place place, const char *text)
{
    const hn_config *config = &r->plan->config;
    const hn_yaml_node at = {.line = place.line, .column = place.column};
    const char *nearest = hn_nearest(text, material_id, config->material_count, config);
    char all[HN_ERROR_TEXT_MAX - 120];
    size_t used = 0;

    all[0] = '\0';
    for (size_t i = 0; i < config->material_count && used < sizeof all; i++)
        if (strcmp(config->materials[i].id, "unknown") != 0)
            used += (size_t)snprintf(all + used, sizeof all - used, "%s%s", used ? ", " : "",
                                     config->materials[i].id);
    hn_plan_fail(r, &at, "material `%.60s` is not in the table of materials", text);
    hn_hint(r->err, "%s%s%saccepted: %s, unknown; or add it to the table",
            nearest ? "did you mean `" : "", nearest ? nearest : "", nearest ? "`? " : "", all);
    return HN_ERR_PLAN;
}

hn_status hn_plan_check_materials(hn_plan_reader *r)
{
    const hn_plan *plan = r->plan;

    for (size_t f = 0; f < plan->network.field_count; f++) {
        const hn_field_map *map = &plan->network.fields[f];

        if (strcmp(map->role, "material") != 0)
            continue;
        if (!is_material(&plan->config, map->constant))
            return fail_material(r, map->place, map->constant);
        if (!is_material(&plan->config, map->other))
            return fail_material(r, map->place, map->other);
        for (size_t i = 0; i < map->value_count; i++)
            if (!is_material(&plan->config, map->values[i].to))
                return fail_material(r, map->place, map->values[i].to);
    }
    for (size_t i = 0; i < plan->default_count; i++)
        if (plan->defaults[i].column == HN_COL_MATERIAL &&
            !is_material(&plan->config, plan->defaults[i].text))
            return fail_material(r, plan->defaults[i].place, plan->defaults[i].text);
    return HN_OK;
}
