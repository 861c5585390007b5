/* plan/plan_block.c - the table of keys applied to one block of a plan. */
#include "base/nearest.h"
#include "plan/plan_keys.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

enum { NAME_ROOM = 160, ACCEPTED_ROOM = 256, LABEL_MAX = 200, TEXT_MAX = 4000 };

static void full_name(char room[NAME_ROOM], const char *prefix, const char *name)
{
    snprintf(room, NAME_ROOM, "%s%s%s", prefix, *prefix ? "." : "", name);
}

static const hn_plan_key *find_key(const char *block, const char *name)
{
    size_t count;
    const hn_plan_key *keys = hn_plan_keys(&count);

    for (size_t i = 0; i < count; i++)
        if (strcmp(keys[i].block, block) == 0 && strcmp(keys[i].name, name) == 0)
            return &keys[i];
    return NULL;
}

static const char *key_name(size_t i, const void *block)
{
    size_t count;
    const hn_plan_key *key = &hn_plan_keys(&count)[i];

    return strcmp(key->block, block) == 0 ? key->name : "";
}

static const char *nearest_key(const char *block, const char *name)
{
    size_t count;

    (void)hn_plan_keys(&count);
    name = hn_nearest(name, key_name, count, block);
    return name && *name ? name : NULL;
}

/* A block of the plan's top level that knows the key, or NULL. */
static const hn_plan_key *key_elsewhere(const char *name)
{
    size_t count;
    const hn_plan_key *keys = hn_plan_keys(&count);

    for (size_t i = 0; i < count; i++)
        if (strcmp(keys[i].name, name) == 0 &&
            (keys[i].block[0] == '\0' || find_key("", keys[i].block)))
            return &keys[i];
    return NULL;
}

static void list_keys(char *room, size_t size, const char *block)
{
    size_t count, used = 0;
    const hn_plan_key *keys = hn_plan_keys(&count);

    room[0] = '\0';
    for (size_t i = 0; i < count && used < size; i++)
        if (strcmp(keys[i].block, block) == 0)
            used +=
                (size_t)snprintf(room + used, size - used, "%s%s", used ? ", " : "", keys[i].name);
}

static hn_status fail_unknown(const hn_plan_reader *r, const char *block, const char *prefix,
                              const hn_yaml_node *entry)
{
    const char *name = entry->key->text, *nearest = nearest_key(block, name);
    const hn_plan_key *elsewhere = key_elsewhere(name);
    char all[HN_ERROR_TEXT_MAX / 2], room[HN_PLAN_SHOWN_MAX];
    hn_status rc = hn_plan_fail(r, entry->key, "unknown key %s%s%s",
                                hn_plan_shown(entry->key, room), *prefix ? " in " : "", prefix);

    list_keys(all, sizeof all, block);
    if (nearest)
        hn_hint(r->err, "did you mean `%s`? accepted here: %s", nearest, all);
    else if (elsewhere && elsewhere->block[0])
        hn_hint(r->err, "`%s` belongs under `%s:`; accepted here: %s", name, elsewhere->block, all);
    else if (elsewhere)
        hn_hint(r->err, "`%s:` belongs at the left margin, under no other key", name);
    else
        hn_hint(r->err, "accepted here: %s", all);
    return rc;
}

/* "number from 0 to 30, in % a year". */
static void describe_accepted(const hn_plan_key *key, char room[ACCEPTED_ROOM])
{
    static const char *const names[] = {"a text",         "a text of one line, up to 200 letters",
                                        "a number",       "a whole number",
                                        "yes or no",      "a date such as 2026-01-31",
                                        "one of ",        "one of ",
                                        "a block of keys"};
    int used = snprintf(room, ACCEPTED_ROOM, "%s", names[key->type]);

    if (key->choices)
        snprintf(room + used, ACCEPTED_ROOM - (size_t)used, "%s", key->choices);
    for (char *c = room + used; key->choices && *c; c++)
        if (*c == '|')
            *c = ' ';
    if (key->type == HN_KEY_NUMBER || key->type == HN_KEY_INT)
        snprintf(room + used, ACCEPTED_ROOM - (size_t)used, " from %.10g to %.10g%s%s", key->low,
                 key->high, key->unit ? ", in " : "", key->unit ? key->unit : "");
}

static hn_status fail_value(const hn_plan_reader *r, const hn_plan_key *key, const char *prefix,
                            const hn_yaml_node *node, const char *why)
{
    char name[NAME_ROOM], accepted[ACCEPTED_ROOM], room[HN_PLAN_SHOWN_MAX];
    hn_status rc;

    full_name(name, prefix, key->name);
    describe_accepted(key, accepted);
    rc = hn_plan_fail(r, node, "%s is %s%s%s", name, hn_plan_shown(node, room), *why ? ": " : "",
                      why);
    if (hn_yaml_is_empty(node) && !key->required)
        hn_hint(r->err, "give %s, or remove the line", accepted);
    else
        hn_hint(r->err, "accepted: %s", accepted);
    return rc;
}

/* Number of the choice, or -1. */
static int choice_of(const char *choices, const char *text)
{
    size_t length = strlen(text);

    for (int number = 0;; number++) {
        const char *end = strchrnul(choices, '|');

        if ((size_t)(end - choices) == length && memcmp(choices, text, length) == 0)
            return number;
        if (*end == '\0')
            return -1;
        choices = end + 1;
    }
}

static const char *why_not_text(const hn_plan_key *key, const char *text)
{
    if (strlen(text) > (key->type == HN_KEY_LABEL ? LABEL_MAX : TEXT_MAX))
        return "the text is too long";
    for (const char *c = text; *c; c++)
        if (iscntrl((unsigned char)*c) &&
            (key->type == HN_KEY_LABEL || !isspace((unsigned char)*c)))
            return "line breaks and control characters are not accepted";
    return NULL;
}

static const char *set_number(const hn_plan_key *key, const char *text, void *at)
{
    double value = 0;
    int whole;

    if (!hn_parse_number(text, &value))
        return strpbrk(text, ",_' ") ? "not a number; write it without separators, with a point"
                                     : "not a number";
    if (value < key->low || value > key->high)
        return "out of range";
    if (key->type == HN_KEY_INT && value != floor(value))
        return "not a whole number";
    whole = (int)(key->type == HN_KEY_INT ? value : 0);
    if (at && key->type == HN_KEY_INT)
        memcpy(at, &whole, sizeof whole);
    else if (at)
        memcpy(at, &value, sizeof value);
    return NULL;
}

static const char *set_text(const hn_plan_key *key, const char *text, void *at)
{
    const char *why = key->type == HN_KEY_WORD && choice_of(key->choices, text) < 0
                          ? "not one of the choices"
                          : why_not_text(key, text);

    if (!why && at)
        memcpy(at, &text, sizeof text);
    return why;
}

/* Stores the value of a text at `at`; NULL, or why it cannot be. */
static const char *set_value(const hn_plan_key *key, const char *text, void *at)
{
    int number = 0;
    int32_t days = 0;

    switch (key->type) {
    case HN_KEY_NUMBER:
    case HN_KEY_INT:
        return set_number(key, text, at);
    case HN_KEY_TEXT:
    case HN_KEY_LABEL:
    case HN_KEY_WORD:
        return set_text(key, text, at);
    case HN_KEY_YES_NO:
        if (!hn_parse_yes_no(text, &number))
            return "neither yes nor no";
        break;
    case HN_KEY_DATE:
        if (!hn_parse_date(text, &days))
            return "not a date of the calendar";
        memcpy(at, &days, sizeof days);
        return NULL;
    default:
        number = choice_of(key->choices, text);
        if (number < 0)
            return "not one of the choices";
    }
    memcpy(at, &number, sizeof number);
    return NULL;
}

static void *place_of(const hn_plan_key *key, void *base)
{
    return key->offset == SIZE_MAX ? NULL : (char *)base + key->offset;
}

static hn_status read_value(const hn_plan_reader *r, const hn_plan_key *key, const char *prefix,
                            const hn_yaml_node *node, void *base)
{
    const char *why;

    if (key->type == HN_KEY_BLOCK)
        return HN_OK;
    if (node->kind != HN_YAML_SCALAR || hn_yaml_is_empty(node))
        return fail_value(r, key, prefix, node, "");
    why = set_value(key, node->text, place_of(key, base));
    return why ? fail_value(r, key, prefix, node, why) : HN_OK;
}

static hn_status fill_default(hn_plan_reader *r, const hn_plan_key *key, const char *prefix,
                              void *base)
{
    char name[NAME_ROOM], value[NAME_ROOM];

    if (!key->default_text)
        return HN_OK;
    if (set_value(key, key->default_text, place_of(key, base)))
        return hn_fail(r->err, HN_ERR_INTERNAL, "the default of `%s` is out of its range",
                       key->name);
    if (!key->source)
        return HN_OK;
    full_name(name, prefix, key->name);
    snprintf(value, sizeof value, "%s%s%s", key->default_text, key->unit ? " " : "",
             key->unit ? key->unit : "");
    return hn_plan_assume(r, name, value, key->source);
}

static hn_status fail_missing(const hn_plan_reader *r, const hn_plan_key *key, const char *prefix,
                              const hn_yaml_node *place)
{
    char name[NAME_ROOM], accepted[ACCEPTED_ROOM];
    hn_status rc;

    full_name(name, prefix, key->name);
    describe_accepted(key, accepted);
    rc = hn_plan_fail(r, place, "%s is missing: %s", name, key->meaning);
    hn_hint(r->err, "add `%s:` with %s", key->name, accepted);
    return rc;
}

hn_status hn_plan_read_block(hn_plan_reader *r, const char *block, const char *prefix,
                             const hn_yaml_node *map, const hn_yaml_node *place, void *base)
{
    size_t count;
    const hn_plan_key *keys = hn_plan_keys(&count);
    hn_status rc = HN_OK;

    if (map)
        HN_TRY(hn_plan_need_map(r, *prefix ? prefix : "the plan", map));
    for (const hn_yaml_node *entry = map ? map->first : NULL; entry; entry = entry->next)
        if (!find_key(block, entry->key->text))
            return fail_unknown(r, block, prefix, entry);
    for (size_t i = 0; i < count; i++) {
        const hn_plan_key *key = &keys[i];
        const hn_yaml_node *entry = map ? hn_yaml_get(map, key->name) : NULL;

        if (strcmp(key->block, block) != 0)
            continue;
        if (entry)
            HN_TRY(read_value(r, key, prefix, entry, base));
        else if (key->required)
            return fail_missing(r, key, prefix, map ? map : place);
        else
            HN_TRY(fill_default(r, key, prefix, base));
    }
out:
    return rc;
}

hn_status hn_plan_need_map(const hn_plan_reader *r, const char *what, const hn_yaml_node *node)
{
    char room[HN_PLAN_SHOWN_MAX];
    hn_status rc;

    if (node->kind == HN_YAML_MAP)
        return HN_OK;
    rc = hn_plan_fail(r, node, "%s is %s", what, hn_plan_shown(node, room));
    hn_hint(r->err, "accepted: a block of `key: value` lines, indented under it");
    return rc;
}
