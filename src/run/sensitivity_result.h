/* run/sensitivity_result.h - what the variations changed; kept in the state. */
#ifndef HN_RUN_SENSITIVITY_RESULT_H
#define HN_RUN_SENSITIVITY_RESULT_H

#include <stddef.h>
#include <stdint.h>

/* What a variation changed, against the run. Sums leave out what is not known. */
typedef struct hn_vary_effect {
    double correlation_risk, correlation_priority; /* NaN: there is no order */
    size_t entering, leaving;                      /* segments of the first years */
    double entering_m, leaving_m;
    double loss_change;    /* expected loss of the next year, money a year */
    double cost_change;    /* of the programme, money */
    double avoided_change; /* by the programme, money */
    size_t methods_changed;
} hn_vary_effect;

typedef struct hn_vary_case {
    size_t vary; /* of plan->vary */
    int side;    /* 0 low, 1 high */
    hn_vary_effect effect;
} hn_vary_case;

typedef struct hn_sensitivity {
    size_t count;
    hn_vary_case *cases; /* in the order of the plan */
    uint16_t *by_effect; /* parameters of plan->vary, the greatest effect first */
    size_t parameters;
    double first_years_m;       /* length in the first years of the run itself */
    double loss, cost, avoided; /* of the run itself */
    /* per row, by the column priority */
    int32_t *best, *worst;
    uint16_t *best_case, *worst_case; /* UINT16_MAX: the run itself */
    uint16_t *in_first_years;         /* cases in which it is there */
} hn_sensitivity;

#endif
