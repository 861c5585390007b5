/* options/options_state.h - inside of hn_options; for the files of options/. */
#ifndef HN_OPTIONS_OPTIONS_STATE_H
#define HN_OPTIONS_OPTIONS_STATE_H

#include "options/options.h"
#include "options/prices.h"
#include "options/takeoff.h"

/* Bits of rules, in short words: there are some for every row. */
typedef uint16_t hn_rule_word;

struct hn_options {
    hn_table *table;
    const hn_plan *plan;
    const hn_outlook *outlook;
    const hn_loss *loss;
    hn_prices *prices;
    size_t words;          /* words of rule bits a row */
    hn_rule_word *holds;      /* per row: rules that hold */
    hn_rule_word *unknown;    /* per row: rules whose condition is NULL, where that matters */
    size_t unknown_words;
    int16_t unknown_bit[HN_MAX_RULES]; /* rule -> its bit in `unknown`, -1 none */
    uint64_t *item_holds;  /* per row: cost items whose condition holds */
    uint32_t *place;       /* NULL, or row -> its place in the three arrays above */
    int rule_item[HN_MAX_RULES];  /* cost item a rule asks for, -1 none */
    /* Rules of a method that decide, as masks over `holds` and `unknown`. */
    hn_rule_word ruled_out[HN_MAX_METHODS][HN_RULE_WORDS];
    hn_rule_word after_works[HN_MAX_METHODS][HN_RULE_WORDS];
    hn_rule_word cannot_tell[HN_MAX_METHODS][HN_RULE_WORDS];
    uint64_t items_of[HN_MAX_METHODS]; /* cost items that a method may have */
    uint64_t works_items;              /* of them, those that a rule asks for */
    size_t first_rule[HN_MAX_METHODS + 1]; /* rules by method, see rule_order */
    uint16_t rule_order[HN_MAX_RULES];
    double *material_n;    /* Manning n by text id of the material; NaN */
    uint32_t texts;        /* entries of material_n: up to the last known material */
    uint8_t *material_face; /* hn_host_surface by text id of the material */
    double n_unknown;      /* of the material "unknown" */
    double n_new_pipe;     /* roughest among the replacements that have a surface of their own */
    int new_pipe_as_host;  /* a replacement has none: it counts as rough as the host */
    uint32_t road_surfaces[2]; /* text ids of surfaces that carry traffic */
    uint32_t footway;
    double yearly[HN_MAX_METHODS];  /* cost now -> equivalent annual cost */
    /* Cost to the horizon of the chain of works that begins with a method: its
     * own cost x own, or, where repeats are limited and a replacement is
     * possible, own cost x own_limited + cost of the replacement x then. */
    double own[HN_MAX_METHODS], own_limited[HN_MAX_METHODS];
    double then[HN_MAX_METHODS][HN_MAX_METHODS];
    double markup;         /* product of the chain without rounding; 0: step by step */
    size_t findings[HN_FINDING_COUNT];
    double design_s;       /* see hn_options_design_s */
    int watch;             /* index of the method "watch", -1 */
};

static inline void hn_set_bit(hn_rule_word *words, size_t bit)
{
    words[bit / HN_WORD_BITS] |= (hn_rule_word)(1U << bit % HN_WORD_BITS);
}

/* Number of the lowest bit of a mask that is not 0. */
static inline int hn_lowest_bit(uint64_t mask)
{
    return __builtin_ctzll(mask);
}

static inline size_t hn_option_place(const hn_options *o, size_t row)
{
    return o->place ? o->place[row] : row;
}

/* What all methods of a row share, worked out once. */
typedef struct hn_host {
    hn_section section;
    hn_section_measures full;
    double n;
    hn_capacity_rules flow;
    hn_capacity_side flow_before; /* while nothing is done */
    /* The new pipe, the same for every replacement. */
    int is_sized;
    double new_inside_mm, new_outside_mm;
    hn_section new_pipe;
    hn_section_measures new_full;
    double new_n; /* roughness that `new_change` is for; 0: not known yet */
    hn_capacity_change new_change;
    uint64_t is_counted;            /* items whose money is known already */
    double item_cost[HN_ITEMS_MAX]; /* without the price index */
    /* The batch only asks for methods that can be chosen: one that its rules
     * forbid gets its verdict and nothing else. */
    int skips_impossible;
    /* The replacement that follows when a method may not be repeated. */
    int is_followed; /* 1 when `follower` is settled */
    int follower;    /* -1: none is possible */
    double follower_cost;
    int amounts_of; /* method of `amount`, -1: none yet */
    double amount[HN_TAKE_COUNT];
} hn_host;

/* options/evaluate.c */
void hn_option_look_at_host(const hn_options *o, size_t row, hn_host *host);
void hn_option_evaluate_host(const hn_options *o, size_t row, int method, hn_host *host,
                             hn_option *out);
/* options/design.c */
double hn_option_host_n(const hn_options *o, size_t row);
void hn_option_look_at_flow(const hn_options *o, size_t row, hn_host *host);
void hn_option_design(const hn_options *o, size_t row, const hn_method *method, hn_host *host,
                      hn_option *out);
double hn_option_groundwater_m(const hn_options *o, size_t row, double depth_m, int *is_assumed);
double hn_option_live_load_mpa(const hn_options *o, size_t row, double width_mm, double cover_m);
int hn_option_is_worn_out(const hn_options *o, size_t row);
/* options/sizing.c: new pipes and the required flow, before the rules. */
void hn_options_size(hn_options *o, int threads);
/* options/takeoff.c */
void hn_option_amounts(const hn_options *o, size_t row, const hn_option *option,
                       double amount[HN_TAKE_COUNT]);
/* options/grouting.c */
void hn_option_grouting(const hn_options *o, size_t row, const hn_option *option,
                        hn_grouting *out);
/* A round grouted tube that the pump alone would crush. */
int hn_option_is_weak_in_grout(const hn_options *o, const hn_option *option);
/* options/life_cycle.c */
void hn_options_prepare_chains(hn_options *o);
double hn_option_chain_cost(const hn_options *o, size_t row, const hn_option *option,
                            hn_host *host);
/* options/cost.c */
void hn_option_price(const hn_options *o, size_t row, const hn_method *method, hn_host *host,
                     hn_option *out);

#endif
