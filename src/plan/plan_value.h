/* plan/plan_value.h - one text of a plan turned into a number, a date, a
 * yes or no; and the one way in which a plan's reader complains. */
#ifndef HN_PLAN_PLAN_VALUE_H
#define HN_PLAN_PLAN_VALUE_H

#include "plan/plan.h"
#include "plan/yaml_tree.h"

/* What the parts of the plan reader hand to each other. */
typedef struct hn_plan_reader {
    hn_plan *plan;
    const char *file; /* as the user gave it, for messages */
    hn_error *err;
    size_t assumption_capacity;
} hn_plan_reader;

/* HN_ERR_PLAN with "file:line:column: " before the message. */
hn_status hn_plan_fail(const hn_plan_reader *r, const hn_yaml_node *at, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
hn_status hn_plan_no_memory(const hn_plan_reader *r);

/* "`text`" for messages: shortened, on one line; or what kind of thing it is. */
enum { HN_PLAN_SHOWN_MAX = 64 };
const char *hn_plan_shown(const hn_yaml_node *node, char room[HN_PLAN_SHOWN_MAX]);

/* Adds to plan->assumptions. The texts are copied. */
HN_MUST_CHECK hn_status hn_plan_assume(hn_plan_reader *r, const char *what, const char *value,
                                       const char *source);

/* Each gives 1 and fills *out when the whole text is one. A number has a point
 * for the decimals and no separators; no hex, infinity or "nan". A date is
 * YYYY-MM-DD and nothing after it; days since 1970-01-01. */
int hn_parse_number(const char *text, double *out);
int hn_parse_yes_no(const char *text, int *out);
int hn_parse_date(const char *text, int32_t *out);

#endif
