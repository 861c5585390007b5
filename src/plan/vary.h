/* plan/vary.h - which parameter of a plan is varied, and the values it takes.
 *
 * A variation changes one thing of a plan and nothing else. hn_plan_read makes the
 * list from sensitivity.csv; hn_vary_plan makes the changed plan, so that whatever
 * is worked out from it comes from the same functions as the run itself.
 */
#ifndef HN_PLAN_VARY_H
#define HN_PLAN_VARY_H

#include "plan/plan.h"

typedef enum hn_vary_what {
    HN_VARY_CONSEQUENCE, /* index: factor */
    HN_VARY_NOT_KNOWN,   /* index: class of a factor that stands in for unknown data */
    HN_VARY_FAILURE,     /* index: driver */
    HN_VARY_DETERIORATION,
    HN_VARY_DISCOUNT,
    HN_VARY_HORIZON,
    HN_VARY_PRICES, /* index: kind of method */
    HN_VARY_ITEMS,
    HN_VARY_LIFE, /* index: kind of method */
    HN_VARY_MARKUPS,
    HN_VARY_BUDGET,
    HN_VARY_DEFAULT, /* index: of plan->defaults */
    HN_VARY_DESIGN,  /* index: of hn_plan_keys */
    HN_VARY_PRIORITY
} hn_vary_what;

typedef struct hn_vary_side {
    int is_there;      /* 0: blank, or the plan's own value */
    double number;     /* factor or value, see hn_vary_what */
    const char *text;  /* of a default that is a text */
    const char *shown; /* "x0.5", "1.5", "sand" */
} hn_vary_side;

typedef struct hn_vary {
    hn_vary_what what;
    int index;
    const char *name; /* "consequence.rail" */
    const char *base_shown;
    const char *meaning, *source;
    hn_vary_side side[2]; /* low, high */
} hn_vary;

/* The plan with the change; its new parts lie in out->arena, all else is borrowed.
 * out->arena is the caller's to clear. A default is not in it: where gaps were
 * filled only the table knows (run/). Errors: HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_vary_plan(const hn_plan *plan, const hn_vary *vary, int side,
                                     hn_plan *out, hn_error *err);

#endif
