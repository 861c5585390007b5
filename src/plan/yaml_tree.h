/* plan/yaml_tree.h - a YAML file as a small tree that remembers its places.
 *
 * The idea: take only the part of YAML that a person writes by hand (keys,
 * lists, texts) and refuse the rest (anchors, aliases, merge keys, tags,
 * several documents) with a clear message. Size and nesting are bounded, so a
 * hostile file costs little. Texts stay texts: what `yes` or `0.50` means is
 * decided by the key it stands under.
 */
#ifndef HN_PLAN_YAML_TREE_H
#define HN_PLAN_YAML_TREE_H

#include "base/arena.h"
#include "base/status.h"

#include <stddef.h>
#include <stdint.h>

enum {
    HN_YAML_MAX_BYTES = 4 << 20,
    HN_YAML_MAX_DEPTH = 16,
    HN_YAML_MAX_NODES = 100000,
    HN_YAML_MAX_KEYS = 5000 /* in one block */
};

typedef enum hn_yaml_kind { HN_YAML_SCALAR, HN_YAML_LIST, HN_YAML_MAP } hn_yaml_kind;

typedef struct hn_yaml_node {
    hn_yaml_kind kind;
    int line, column;               /* from 1 */
    int plain;                      /* scalar without quotes */
    const char *text;               /* scalar; NULL for lists and maps */
    const struct hn_yaml_node *key; /* of an entry of a map, else NULL */
    struct hn_yaml_node *first;     /* entries in file order */
    struct hn_yaml_node *next;      /* of the same list or map */
    size_t count;                   /* entries */
    uint64_t hash;                  /* of a key's text */
} hn_yaml_node;

/* Reads a file into *root, a map. Nodes and texts lie in `arena`. Errors:
 * HN_ERR_INPUT when the file cannot be read; HN_ERR_PLAN, with `path:line:
 * column`, when it is no YAML, is empty, is too large or too deep, repeats a
 * key, or uses a refused feature; HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_yaml_read_file(const char *path, hn_arena *arena,
                                          const hn_yaml_node **root, hn_error *err);
/* The same from memory; `name` stands for the path in messages. */
HN_MUST_CHECK hn_status hn_yaml_read_bytes(const char *name, const unsigned char *bytes,
                                           size_t size, hn_arena *arena, const hn_yaml_node **root,
                                           hn_error *err);

/* Value of a key of a map, or NULL. */
const hn_yaml_node *hn_yaml_get(const hn_yaml_node *map, const char *key);
/* 1 for a scalar that says nothing: `key:`, `key: ~`, `key: null`, `key: ""`. */
int hn_yaml_is_empty(const hn_yaml_node *node);
/* "a text", "a list", "a block of keys". */
const char *hn_yaml_kind_name(const hn_yaml_node *node);

#endif
