#include "read/role_map.h"

#include <stdio.h>
#include <string.h>

static const hn_role_spec *find_spec(const hn_role_spec *specs, size_t count, const char *key)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(specs[i].key, key) == 0)
            return &specs[i];
    return NULL;
}

static hn_status add_role(hn_role_map *map, hn_role role, const hn_opened *opened, hn_error *err)
{
    hn_status rc = hn_opened_field(opened, role.map, &role.field, err);

    if (rc != HN_OK)
        return rc;
    if (role.field == HN_FIELD_CONSTANT && strcmp(role.spec->key, "segment_id") == 0)
        return hn_fail(err, HN_ERR_PLAN, "line %d: %s: segment_id cannot be one value for all rows",
                       role.map->place.line, opened->key);
    if (role.field == HN_FIELD_CONSTANT) {
        map->constants[map->constant_count++] = role;
        return HN_OK;
    }
    if (role.field >= 0)
        role.type =
            OGR_Fld_GetType(OGR_FD_GetFieldDefn(OGR_L_GetLayerDefn(opened->layer), role.field));
    map->roles[map->count++] = role;
    return HN_OK;
}

hn_status hn_role_map_init(hn_role_map *map, const hn_source *source, const hn_opened *opened,
                           const hn_role_spec *specs, size_t spec_count, hn_error *err)
{
    hn_status rc = HN_OK;

    memset(map, 0, sizeof *map);
    if (source->field_count > HN_ROLES_MAX)
        return hn_fail(err, HN_ERR_PLAN, "%s: too many fields are mapped", opened->key);
    for (size_t i = 0; i < source->field_count; i++) {
        const hn_field_map *field = &source->fields[i];
        hn_role role = {.map = field, .spec = find_spec(specs, spec_count, field->role)};

        if (!role.spec)
            return hn_fail(err, HN_ERR_PLAN, "line %d: %s: there is no role \"%s\" here",
                           field->place.line, opened->key, field->role);
        role.number = (size_t)(role.spec - specs);
        HN_TRY(add_role(map, role, opened, err));
    }
out:
    return rc;
}

int hn_role_map_find(const hn_role_map *map, const char *key)
{
    for (size_t i = 0; i < map->count; i++)
        if (strcmp(map->roles[i].spec->key, key) == 0)
            return (int)i;
    return -1;
}

int hn_role_map_has(const hn_role_map *map, const char *key)
{
    for (size_t i = 0; i < map->constant_count; i++)
        if (strcmp(map->constants[i].spec->key, key) == 0)
            return 1;
    return hn_role_map_find(map, key) >= 0;
}

hn_status hn_role_constant(const hn_role *role, hn_value *out, char *text, size_t size,
                           hn_error *err)
{
    hn_field_reader *reader = NULL;
    hn_status rc = HN_OK;

    HN_TRY(hn_field_reader_new(role->map, role->spec->kind, role->spec->sense, &reader, err));
    hn_field_read_constant(reader, out);
    snprintf(text, size, "%.*s", (int)out->text.length, out->text.text);
    if (out->fault != HN_FAULT_NONE)
        rc = hn_fail(err, HN_ERR_PLAN, "line %d: %s: value \"%s\": %s", role->map->place.line,
                     role->map->role, role->map->constant, hn_fault_message(out->fault));
out:
    hn_field_reader_free(reader);
    return rc;
}

hn_status hn_reader_set_init(hn_reader_set *set, const hn_role_map *map, hn_error *err)
{
    hn_status rc = HN_OK;

    memset(set, 0, sizeof *set);
    for (size_t i = 0; i < map->count; i++) {
        const hn_role *role = &map->roles[i];

        HN_TRY(hn_field_reader_new(role->map, role->spec->kind, role->spec->sense, &set->readers[i],
                                   err));
        set->count++;
    }
out:
    if (rc != HN_OK)
        hn_reader_set_clear(set);
    return rc;
}

void hn_reader_set_clear(hn_reader_set *set)
{
    for (size_t i = 0; i < set->count; i++)
        hn_field_reader_free(set->readers[i]);
    set->count = 0;
}
