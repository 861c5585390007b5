/* plan/yaml_tree.c - libyaml's events, gathered into nodes. */
#include "plan/yaml_tree.h"

#include "base/alloc.h"
#include "base/hash.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include <yaml.h>

typedef struct builder {
    yaml_parser_t parser;
    yaml_event_t event; /* the current one; empty after drop_event */
    hn_arena *arena;
    const char *name;
    const unsigned char *bytes;
    size_t size, nodes;
    hn_error *err;
} builder;

static hn_status fail_at(builder *b, yaml_mark_t mark, const char *what)
{
    return hn_fail(b->err, HN_ERR_PLAN, "%s:%zu:%zu: %s", b->name, mark.line + 1, mark.column + 1,
                   what);
}

static hn_status refuse(builder *b, const char *what, const char *hint)
{
    hn_status rc = fail_at(b, b->event.start_mark, what);

    hn_hint(b->err, "%s", hint);
    return rc;
}

/* libyaml gives no mark for bytes that are no text, only their offset. */
static hn_status fail_bytes(builder *b)
{
    size_t end = b->parser.problem_offset < b->size ? b->parser.problem_offset : b->size;
    size_t line = 1;

    for (size_t i = 0; i < end; i++)
        line += b->bytes[i] == '\n';
    hn_fail(b->err, HN_ERR_PLAN, "%s:%zu: not a text file in UTF-8 (byte %zu of the file)", b->name,
            line, end + 1);
    hn_hint(b->err, "a plan is a YAML text; `haunch draft SOURCE` makes one from a dataset");
    return HN_ERR_PLAN;
}

static hn_status fail_syntax(builder *b)
{
    const yaml_parser_t *p = &b->parser;
    char what[256];

    snprintf(what, sizeof what, "not valid YAML: %s%s%s",
             p->problem ? p->problem : "cannot be parsed", p->context ? ", " : "",
             p->context ? p->context : "");
    fail_at(b, p->problem_mark, what);
    hn_hint(b->err,
            "indent with spaces, never tabs; put a space after each `key:`; put a text with "
            "`: `, ` #` or a bracket in quotes");
    return HN_ERR_PLAN;
}

static void drop_event(builder *b)
{
    yaml_event_delete(&b->event);
    memset(&b->event, 0, sizeof b->event);
}

static hn_status next_event(builder *b)
{
    drop_event(b);
    if (yaml_parser_parse(&b->parser, &b->event))
        return HN_OK;
    memset(&b->event, 0, sizeof b->event);
    if (b->parser.error == YAML_MEMORY_ERROR)
        return hn_fail(b->err, HN_ERR_MEMORY, "out of memory");
    return b->parser.error == YAML_READER_ERROR ? fail_bytes(b) : fail_syntax(b);
}

static hn_status new_node(builder *b, hn_yaml_kind kind, hn_yaml_node **out)
{
    hn_yaml_node *node;

    if (++b->nodes > HN_YAML_MAX_NODES)
        return refuse(b, "the plan has too many entries", "keep long lists in a config table");
    node = hn_arena_alloc(b->arena, 1, sizeof *node);
    if (!node)
        return hn_fail(b->err, HN_ERR_MEMORY, "out of memory");
    node->kind = kind;
    node->line = (int)b->event.start_mark.line + 1;
    node->column = (int)b->event.start_mark.column + 1;
    *out = node;
    return HN_OK;
}

static hn_status refuse_anchor(builder *b)
{
    return refuse(b, "anchors (&name) are not accepted in a plan",
                  "write the value out; quote a text that begins with &");
}

static hn_status refuse_tag(builder *b)
{
    return refuse(b, "tags (!name) are not accepted in a plan",
                  "leave the tag out; quote a text that begins with !");
}

static hn_status read_scalar(builder *b, hn_yaml_node **out)
{
    const yaml_char_t *value = b->event.data.scalar.value;
    size_t length = b->event.data.scalar.length;
    hn_yaml_node *node;
    hn_status rc;

    if (b->event.data.scalar.anchor)
        return refuse_anchor(b);
    if (b->event.data.scalar.tag)
        return refuse_tag(b);
    if (memchr(value, '\0', length))
        return refuse(b, "a text holds a zero byte", "remove the \\0 from the text");
    rc = new_node(b, HN_YAML_SCALAR, &node);
    if (rc != HN_OK)
        return rc;
    node->plain = b->event.data.scalar.style == YAML_PLAIN_SCALAR_STYLE;
    node->text = hn_arena_text_n(b->arena, (const char *)value, length);
    if (!node->text)
        return hn_fail(b->err, HN_ERR_MEMORY, "out of memory");
    node->hash = hn_hash_bytes(node->text, length);
    *out = node;
    return HN_OK;
}

static hn_status check_key(builder *b, const hn_yaml_node *map, const hn_yaml_node *key)
{
    if (key->plain && strcmp(key->text, "<<") == 0)
        return refuse(b, "merge keys (<<) are not accepted in a plan", "write the keys out");
    if (key->plain && key->text[0] == '\0')
        return refuse(b, "a value without a key", "write `key: value`");
    if (map->count >= HN_YAML_MAX_KEYS)
        return refuse(b, "too many keys in one block", "keep long lists in a config table");
    for (const hn_yaml_node *other = map->first; other; other = other->next)
        if (other->key->hash == key->hash && strcmp(other->key->text, key->text) == 0) {
            char what[200];

            snprintf(what, sizeof what, "key `%.100s` is given twice, first in line %d", key->text,
                     other->key->line);
            return refuse(b, what, "keep one of the two");
        }
    return HN_OK;
}

static hn_status read_node(builder *b, int depth, hn_yaml_node **out);

static void append(hn_yaml_node *parent, hn_yaml_node **last, hn_yaml_node *child)
{
    if (*last)
        (*last)->next = child;
    else
        parent->first = child;
    *last = child;
    parent->count++;
}

static hn_status read_list(builder *b, int depth, hn_yaml_node **out)
{
    hn_yaml_node *last = NULL, *child;
    hn_status rc;

    if (b->event.data.sequence_start.anchor)
        return refuse_anchor(b);
    if (b->event.data.sequence_start.tag)
        return refuse_tag(b);
    HN_TRY(new_node(b, HN_YAML_LIST, out));
    HN_TRY(next_event(b));
    while (b->event.type != YAML_SEQUENCE_END_EVENT) {
        HN_TRY(read_node(b, depth + 1, &child));
        append(*out, &last, child);
        HN_TRY(next_event(b));
    }
out:
    return rc;
}

static hn_status read_entry(builder *b, int depth, const hn_yaml_node *map, hn_yaml_node **out)
{
    hn_yaml_node *key;
    hn_status rc;

    if (b->event.type != YAML_SCALAR_EVENT)
        return b->event.type == YAML_ALIAS_EVENT
                   ? read_node(b, depth, out)
                   : refuse(b, "a key must be a plain text", "write `key: value`");
    HN_TRY(read_scalar(b, &key));
    HN_TRY(check_key(b, map, key));
    HN_TRY(next_event(b));
    HN_TRY(read_node(b, depth + 1, out));
    (*out)->key = key;
out:
    return rc;
}

static hn_status read_map(builder *b, int depth, hn_yaml_node **out)
{
    hn_yaml_node *last = NULL, *child;
    hn_status rc;

    if (b->event.data.mapping_start.anchor)
        return refuse_anchor(b);
    if (b->event.data.mapping_start.tag)
        return refuse_tag(b);
    HN_TRY(new_node(b, HN_YAML_MAP, out));
    HN_TRY(next_event(b));
    while (b->event.type != YAML_MAPPING_END_EVENT) {
        HN_TRY(read_entry(b, depth, *out, &child));
        append(*out, &last, child);
        HN_TRY(next_event(b));
    }
out:
    return rc;
}

/* Reads the node that the current event begins; recursion is bounded. */
static hn_status read_node(builder *b, int depth, hn_yaml_node **out)
{
    if (depth > HN_YAML_MAX_DEPTH)
        return refuse(b, "nested too deeply", "no key of a plan needs more than six levels");
    switch (b->event.type) {
    case YAML_SCALAR_EVENT:
        return read_scalar(b, out);
    case YAML_SEQUENCE_START_EVENT:
        return read_list(b, depth, out);
    case YAML_MAPPING_START_EVENT:
        return read_map(b, depth, out);
    case YAML_ALIAS_EVENT:
        return refuse(b, "aliases (*name) are not accepted in a plan",
                      "write the value out; quote a text that begins with *");
    default:
        return refuse(b, "a value is missing here", "write `key: value`");
    }
}

static hn_status read_root(builder *b, hn_yaml_node **root)
{
    if (b->event.type == YAML_STREAM_END_EVENT) {
        hn_fail(b->err, HN_ERR_PLAN, "%s:1: the plan is empty", b->name);
        hn_hint(b->err, "`haunch draft SOURCE` writes a first plan");
        return HN_ERR_PLAN;
    }
    if (b->event.type != YAML_MAPPING_START_EVENT)
        return refuse(b, "a plan must consist of `key: value` lines",
                      "begin with `title: ...`; `haunch draft SOURCE` writes a first plan");
    return read_node(b, 1, root);
}

static hn_status read_document(builder *b, const hn_yaml_node **root)
{
    hn_yaml_node *top = NULL;
    hn_status rc;

    HN_TRY(next_event(b)); /* stream start */
    HN_TRY(next_event(b));
    if (b->event.type == YAML_DOCUMENT_START_EVENT)
        HN_TRY(next_event(b));
    HN_TRY(read_root(b, &top));
    HN_TRY(next_event(b)); /* document end */
    HN_TRY(next_event(b));
    if (b->event.type != YAML_STREAM_END_EVENT)
        return refuse(b, "a second document begins here",
                      "one file holds one plan; remove the ---");
    *root = top;
out:
    return rc;
}

hn_status hn_yaml_read_bytes(const char *name, const unsigned char *bytes, size_t size,
                             hn_arena *arena, const hn_yaml_node **root, hn_error *err)
{
    builder b = {.arena = arena, .name = name, .bytes = bytes, .size = size, .err = err};
    hn_status rc;

    *root = NULL;
    if (!yaml_parser_initialize(&b.parser))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    yaml_parser_set_input_string(&b.parser, bytes, size);
    rc = read_document(&b, root);
    drop_event(&b);
    yaml_parser_delete(&b.parser);
    return rc;
}

static hn_status fail_file(const char *path, int code, hn_error *err)
{
    hn_fail(err, HN_ERR_INPUT, "cannot read the plan `%s`: %s", path, strerror(code));
    hn_hint(err, "give the path of a plan file; `haunch draft SOURCE` writes a first one");
    return HN_ERR_INPUT;
}

hn_status hn_yaml_read_file(const char *path, hn_arena *arena, const hn_yaml_node **root,
                            hn_error *err)
{
    unsigned char *bytes = NULL;
    FILE *file = fopen(path, "rb");
    size_t size;
    hn_status rc;

    if (!file)
        return fail_file(path, errno, err);
    bytes = hn_alloc(HN_YAML_MAX_BYTES + 1, 1);
    HN_TRY_ALLOC(bytes);
    size = fread(bytes, 1, HN_YAML_MAX_BYTES + 1, file);
    if (ferror(file)) {
        rc = fail_file(path, errno, err);
        goto out;
    }
    if (size > HN_YAML_MAX_BYTES) {
        rc = hn_fail(err, HN_ERR_PLAN, "%s:1: the plan is larger than %d MB", path,
                     HN_YAML_MAX_BYTES >> 20);
        hn_hint(err, "a plan names data files, it does not hold them; is this the right file?");
        goto out;
    }
    rc = hn_yaml_read_bytes(path, bytes, size, arena, root, err);
out:
    hn_free(bytes);
    fclose(file);
    return rc;
}

const hn_yaml_node *hn_yaml_get(const hn_yaml_node *map, const char *key)
{
    if (!map || map->kind != HN_YAML_MAP)
        return NULL;
    for (const hn_yaml_node *entry = map->first; entry; entry = entry->next)
        if (strcmp(entry->key->text, key) == 0)
            return entry;
    return NULL;
}

int hn_yaml_is_empty(const hn_yaml_node *node)
{
    if (node->kind != HN_YAML_SCALAR)
        return 0;
    return node->text[0] == '\0' ||
           (node->plain && (strcmp(node->text, "~") == 0 || strcasecmp(node->text, "null") == 0));
}

const char *hn_yaml_kind_name(const hn_yaml_node *node)
{
    static const char *const names[] = {"a text", "a list", "a block of keys"};

    return names[node->kind];
}
