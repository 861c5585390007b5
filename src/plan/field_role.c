/* plan/field_role.c - the roles of table/field_roles.h, by source. */
#include "plan/plan_parts.h"
#include "table/field_roles.h"

#include <string.h>

#define FIELD_ROLE(ROLE, key, COLUMN, dimension, kind) {key, HN_DIM_##dimension, HN_ROLE_##kind},
#define OTHER_ROLE(ROLE, key, dimension, kind)         {key, HN_DIM_##dimension, HN_ROLE_##kind},

static const hn_field_role network_roles[] = {HN_FIELD_ROLE_LIST(FIELD_ROLE)};
static const hn_field_role node_roles[] = {HN_NODE_ROLE_LIST(OTHER_ROLE)};
static const hn_field_role observation_roles[] = {HN_OBSERVATION_ROLE_LIST(OTHER_ROLE)};
static const hn_field_role works_roles[] = {HN_WORKS_ROLE_LIST(OTHER_ROLE)};

/* What a camera run can tell beside its own roles. */
static const hn_field_role inspection_roles[] = {
    HN_INSPECTION_ROLE_LIST(OTHER_ROLE){"segment_id", HN_DIM_NONE, HN_ROLE_TEXT},
    {"up_node", HN_DIM_NONE, HN_ROLE_TEXT},
    {"down_node", HN_DIM_NONE, HN_ROLE_TEXT},
    {"inspected_on", HN_DIM_NONE, HN_ROLE_DATE},
    {"grade_structural", HN_DIM_NONE, HN_ROLE_GRADE},
    {"grade_service", HN_DIM_NONE, HN_ROLE_GRADE},
    {"grade_tightness", HN_DIM_NONE, HN_ROLE_GRADE},
    {"joint_offset", HN_DIM_PERCENT, HN_ROLE_NUMBER},
    {"ovality", HN_DIM_PERCENT, HN_ROLE_NUMBER},
    {"sag", HN_DIM_PERCENT, HN_ROLE_NUMBER},
    {"deposits", HN_DIM_PERCENT, HN_ROLE_NUMBER},
    {"laterals", HN_DIM_COUNT, HN_ROLE_NUMBER},
    {"spot_defects", HN_DIM_COUNT, HN_ROLE_NUMBER},
    {"infiltration", HN_DIM_NONE, HN_ROLE_TEXT},
    {"roots", HN_DIM_NONE, HN_ROLE_TEXT},
    {"collapsed", HN_DIM_NONE, HN_ROLE_FLAG},
};

#define ROLES(array)                          \
    {                                         \
        array, sizeof array / sizeof array[0] \
    }

static const struct {
    const hn_field_role *roles;
    size_t count;
} lists[HN_SOURCE_KINDS] = {
    [HN_SOURCE_NETWORK] = ROLES(network_roles),
    [HN_SOURCE_NODES] = ROLES(node_roles),
    [HN_SOURCE_INSPECTIONS] = ROLES(inspection_roles),
    [HN_SOURCE_OBSERVATIONS] = ROLES(observation_roles),
    [HN_SOURCE_WORKS] = ROLES(works_roles),
};

const hn_field_role *hn_field_role_list(hn_source_kind kind, size_t *count)
{
    *count = lists[kind].count;
    return lists[kind].roles;
}

const hn_field_role *hn_field_role_find(hn_source_kind kind, const char *key)
{
    for (size_t i = 0; i < lists[kind].count; i++)
        if (strcmp(lists[kind].roles[i].key, key) == 0)
            return &lists[kind].roles[i];
    return NULL;
}

int hn_field_role_needs_unit(const hn_field_role *role)
{
    return role->dimension != HN_DIM_NONE && role->dimension != HN_DIM_COUNT;
}
