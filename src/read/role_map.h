/* read/role_map.h - a plan's field maps resolved against a layer, once: which
 * field feeds which role, and how its values are read. */
#ifndef HN_READ_ROLE_MAP_H
#define HN_READ_ROLE_MAP_H

#include "read/field_value.h"
#include "read/open_source.h"
#include "read/role_lists.h"

enum { HN_ROLES_MAX = 96 };

typedef struct hn_role {
    const hn_field_map *map;
    const hn_role_spec *spec;
    size_t number; /* of the spec in its list */
    int field;     /* of the layer, or HN_FIELD_FID */
    OGRFieldType type;
} hn_role;

typedef struct hn_role_map {
    hn_role roles[HN_ROLES_MAX]; /* fed by a field */
    size_t count;
    hn_role constants[HN_ROLES_MAX];
    size_t constant_count;
} hn_role_map;

/* Errors: HN_ERR_INPUT (no such field), HN_ERR_PLAN (a role that is not in the
 * list, a constant segment id). */
HN_MUST_CHECK hn_status hn_role_map_init(hn_role_map *map, const hn_source *source,
                                         const hn_opened *opened, const hn_role_spec *specs,
                                         size_t spec_count, hn_error *err);

/* Number in map->roles of the role that a field feeds, or -1. */
int hn_role_map_find(const hn_role_map *map, const char *key);
/* 1 when a field or a constant feeds the role. */
int hn_role_map_has(const hn_role_map *map, const char *key);

/* The value of a constant role; a text is copied to `text`. */
enum { HN_CONSTANT_MAX = 1024 };
HN_MUST_CHECK hn_status hn_role_constant(const hn_role *role, hn_value *out, char *text,
                                         size_t size, hn_error *err);

/* One reader per role of a map; one set per thread. */
typedef struct hn_reader_set {
    hn_field_reader *readers[HN_ROLES_MAX];
    size_t count;
} hn_reader_set;

HN_MUST_CHECK hn_status hn_reader_set_init(hn_reader_set *set, const hn_role_map *map,
                                           hn_error *err);
void hn_reader_set_clear(hn_reader_set *set);

#endif
