/* plan/plan_parts.h - the readers of the blocks that are more than keys.
 *
 * Inside of plan/ only. Each takes the reader, the node of its block (NULL:
 * the plan does not have it) and fills its part of r->plan.
 */
#ifndef HN_PLAN_PLAN_PARTS_H
#define HN_PLAN_PLAN_PARTS_H

#include "base/units.h"
#include "plan/config_read.h"
#include "plan/plan_value.h"

/* ---- which roles a source can fill (field_role.c) ---- */
typedef enum hn_source_kind {
    HN_SOURCE_NETWORK,
    HN_SOURCE_NODES,
    HN_SOURCE_INSPECTIONS,
    HN_SOURCE_OBSERVATIONS,
    HN_SOURCE_WORKS,
    HN_SOURCE_KINDS
} hn_source_kind;

typedef enum hn_role_kind {
    HN_ROLE_TEXT,
    HN_ROLE_NUMBER,
    HN_ROLE_YEAR,
    HN_ROLE_DATE,
    HN_ROLE_GRADE,
    HN_ROLE_FLAG,
    HN_ROLE_SHAPE
} hn_role_kind;

typedef struct hn_field_role {
    const char *key;
    hn_dimension dimension;
    hn_role_kind kind;
} hn_field_role;

const hn_field_role *hn_field_role_list(hn_source_kind kind, size_t *count);
const hn_field_role *hn_field_role_find(hn_source_kind kind, const char *key);
/* 1 when a number of the role means nothing without its unit. */
int hn_field_role_needs_unit(const hn_field_role *role);

/* ---- fields (plan_field.c) ---- */
/* `fields:` of a source. `key` is the source's name in messages. */
HN_MUST_CHECK hn_status hn_plan_read_fields(hn_plan_reader *r, hn_source_kind kind, const char *key,
                                            const hn_yaml_node *fields, hn_source *out);

/* ---- sources (plan_source.c) ---- */
HN_MUST_CHECK hn_status hn_plan_read_sources(hn_plan_reader *r, const hn_yaml_node *root);

/* ---- programme, estimate range (plan_programme.c); defaults (plan_defaults.c) ---- */
HN_MUST_CHECK hn_status hn_plan_read_programme(hn_plan_reader *r, const hn_yaml_node *map);
HN_MUST_CHECK hn_status hn_plan_set_estimate(hn_plan_reader *r, const hn_yaml_node *map);

/* ---- points scheme (plan_risk.c); after the programme ---- */
HN_MUST_CHECK hn_status hn_plan_read_risk(hn_plan_reader *r, const hn_yaml_node *root);
/* What scheme and table must agree on; after the config tables. */
HN_MUST_CHECK hn_status hn_plan_check_scheme(const hn_plan_reader *r, const hn_yaml_node *root);

typedef struct hn_default_text {
    const char *value, *source;
} hn_default_text;

HN_MUST_CHECK hn_status hn_plan_read_defaults(hn_plan_reader *r, const hn_yaml_node *map);

/* ---- paths and config tables (plan_paths.c, plan_config.c) ---- */
/* A path against `folder`; a connection string, an absolute path and /vsi...
 * stay as they are. In the arena; NULL when out of memory. */
const char *hn_plan_resolve(hn_arena *arena, const char *folder, const char *path);
/* 1 for PG:..., /vsi..., http://... : nothing to look for on this disk. */
int hn_plan_is_connection(const char *path);
/* Folder part of a path, "." when it has none. */
const char *hn_plan_folder_of(hn_arena *arena, const char *path);

typedef struct hn_config_keys {
    const char *folder;
    hn_config_paths paths;
} hn_config_keys;

/* Where every table lies. Fails with HN_ERR_PLAN when the folder or a table
 * that the plan names is not there. */
HN_MUST_CHECK hn_status hn_plan_config_paths(hn_plan_reader *r, const hn_yaml_node *map,
                                             hn_config_paths *out);
/* Materials that the plan names must be in the table of materials. */
HN_MUST_CHECK hn_status hn_plan_check_materials(hn_plan_reader *r);

/* ---- what is varied (vary.c); after the config tables ---- */
HN_MUST_CHECK hn_status hn_plan_read_vary(hn_plan_reader *r);

/* ---- the plan without its config tables (plan_file.c) ---- */
HN_MUST_CHECK hn_status hn_plan_read_keys(hn_plan_reader *r, const hn_yaml_node *root);
/* From memory, for tests and fuzzing; config tables are not read. */
HN_MUST_CHECK hn_status hn_plan_read_bytes(const char *name, const unsigned char *bytes,
                                           size_t size, hn_plan **out, hn_error *err);

#endif
