/* plan/plan_keys.h - every key of a plan, declared once.
 *
 * The table drives reading, range checks, hints, the list of assumptions and
 * the manual: a key that is not in it does not exist.
 */
#ifndef HN_PLAN_PLAN_KEYS_H
#define HN_PLAN_PLAN_KEYS_H

#include "plan/plan_value.h"

typedef enum hn_key_type {
    HN_KEY_TEXT,   /* one line or more -> const char * */
    HN_KEY_LABEL,  /* one short line -> const char * */
    HN_KEY_NUMBER, /* -> double */
    HN_KEY_INT,    /* -> int */
    HN_KEY_YES_NO, /* -> int */
    HN_KEY_DATE,   /* -> int32_t, days since 1970-01-01 */
    HN_KEY_CHOICE, /* one of `choices` -> int, its number */
    HN_KEY_WORD,   /* one of `choices` -> const char * */
    HN_KEY_BLOCK   /* has a reader of its own */
} hn_key_type;

typedef struct hn_plan_key {
    const char *block; /* "": top level; "source", "context", "field": as often as needed */
    const char *name;
    hn_key_type type;
    int required;
    double low, high;         /* accepted, both included */
    const char *choices;      /* "risk|value" */
    const char *default_text; /* as a user would write it; NULL: none */
    const char *unit;
    const char *source; /* of the default; NULL: no figure a result relies on */
    const char *meaning;
    size_t offset; /* in the struct of the block; SIZE_MAX: nowhere */
} hn_plan_key;

const hn_plan_key *hn_plan_keys(size_t *count);

/* Reads all keys of `block` from `map` (NULL: the plan does not have the
 * block) into `base`, and fills the defaults. `prefix` is the block's name
 * in messages, "" at the top. `place` is where a missing key is reported. */
HN_MUST_CHECK hn_status hn_plan_read_block(hn_plan_reader *r, const char *block, const char *prefix,
                                           const hn_yaml_node *map, const hn_yaml_node *place,
                                           void *base);

/* Fails unless the node is a map, with `what` as its name. */
HN_MUST_CHECK hn_status hn_plan_need_map(const hn_plan_reader *r, const char *what,
                                         const hn_yaml_node *node);

#endif
