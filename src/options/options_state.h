/* options/options_state.h - inside of hn_options; for the files of options/. */
#ifndef HN_OPTIONS_OPTIONS_STATE_H
#define HN_OPTIONS_OPTIONS_STATE_H

#include "options/options.h"
#include "options/prices.h"

struct hn_options {
    hn_table *table;
    const hn_plan *plan;
    const hn_outlook *outlook;
    const hn_loss *loss;
    hn_prices *prices;
    size_t words;          /* 64-bit words of rule bits a row */
    uint64_t *holds;       /* per row: rules that hold */
    uint64_t *unknown;     /* per row: rules whose condition is NULL, where that matters */
    size_t unknown_words;
    int16_t unknown_bit[HN_MAX_RULES]; /* rule -> its bit in `unknown`, -1 none */
    uint64_t *item_holds;  /* per row: cost items whose condition holds */
    uint32_t *place;       /* NULL, or row -> its place in the three arrays above */
    int rule_item[HN_MAX_RULES];  /* cost item a rule asks for, -1 none */
    size_t first_rule[HN_MAX_METHODS + 1]; /* rules by method, see rule_order */
    uint16_t rule_order[HN_MAX_RULES];
    double *material_n;    /* Manning n by text id of the material; NaN */
    uint32_t texts;        /* entries of material_n: up to the last known material */
    double n_unknown;      /* of the material "unknown" */
    uint32_t road_surfaces[2]; /* text ids of surfaces that carry traffic */
    double yearly[HN_MAX_METHODS];  /* cost now -> equivalent annual cost */
    double annuity;        /* present value of 1 a year over the horizon */
    double markup;         /* product of the chain without rounding; 0: step by step */
    size_t findings[HN_FINDING_COUNT];
    int watch;             /* index of the method "watch", -1 */
};

static inline size_t hn_option_place(const hn_options *o, size_t row)
{
    return o->place ? o->place[row] : row;
}

/* What all methods of a row share, worked out once. */
typedef struct hn_host {
    hn_section section;
    hn_section_measures full;
    double n;
    uint64_t is_counted;            /* items whose money is known already */
    double item_cost[HN_ITEMS_MAX]; /* without the price index */
    /* The batch only asks for methods that can be chosen: one that its rules
     * forbid gets its verdict and nothing else. */
    int skips_impossible;
} hn_host;

/* options/evaluate.c */
void hn_option_look_at_host(const hn_options *o, size_t row, hn_host *host);
void hn_option_evaluate_host(const hn_options *o, size_t row, int method, hn_host *host,
                             hn_option *out);
/* options/design.c */
double hn_option_host_n(const hn_options *o, size_t row);
void hn_option_design(const hn_options *o, size_t row, const hn_method *method,
                      const hn_host *host, hn_option *out);
/* options/cost.c */
void hn_option_price(const hn_options *o, size_t row, const hn_method *method, hn_host *host,
                     hn_option *out);

#endif
