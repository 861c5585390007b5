/* options/options.h - which methods fit a segment, how thick, how dear.
 *
 * hn_option_evaluate is the one path: the batch that fills the table, the
 * options table and the explanation sheet all call it, so they cannot differ.
 */
#ifndef HN_OPTIONS_OPTIONS_H
#define HN_OPTIONS_OPTIONS_H

#include "base/status.h"
#include "engineering/capacity.h"
#include "engineering/liner_wall.h"
#include "engineering/load_traffic.h"
#include "engineering/section.h"
#include "plan/plan.h"
#include "table/loss.h"
#include "table/segment_table.h"

/* Reasons that the engine finds beside the rules of method_rules.csv. */
typedef enum hn_finding {
    HN_FIND_WALL_TOO_THICK = 1 << 0,   /* ruled out: beyond the method's largest wall */
    HN_FIND_WALL_UNKNOWN = 1 << 1,     /* cannot tell: depth, size or shape missing */
    HN_FIND_OVAL = 1 << 2,             /* ruled out: ovality beyond the design method */
    HN_FIND_BORE_GONE = 1 << 3,        /* ruled out: the lining fills the section */
    HN_FIND_NO_SCREENING_RULE = 1 << 4, /* cannot tell: not circular, no screening share */
    HN_FIND_SPECIAL_DESIGN = 1 << 5,   /* warning */
    HN_FIND_CAPACITY_SHORT = 1 << 6,   /* ruled out: does not carry the required flow */
    HN_FIND_CAPACITY_LOSS = 1 << 7,    /* warning: loses more than the plan's limit */
    HN_FIND_PRICE_UNKNOWN = 1 << 8,    /* cannot tell: no price or no size for it */
    HN_FIND_PRICE_BEYOND = 1 << 9,     /* warning: outside the sizes of the price table */
    HN_FIND_QUANTITY_UNKNOWN = 1 << 10, /* warning: an item could not be counted */
    HN_FIND_OVALITY_ASSUMED = 1 << 11, /* note: default ovality used */
    HN_FIND_WATER_ASSUMED = 1 << 12,   /* note: default groundwater used */
    HN_FIND_NO_PIPE = 1 << 13,         /* ruled out: no standard pipe is large enough */
    HN_FIND_SIZE_UNKNOWN = 1 << 14,    /* cannot tell: the size of the host is not known */
    HN_FIND_WEAK_IN_GROUT = 1 << 15    /* warning: brace or fill the lining while it is grouted */
} hn_finding;

enum { HN_FINDING_COUNT = 16, HN_ITEMS_MAX = 64, HN_WORD_BITS = 16, HN_RULE_WORDS = HN_MAX_RULES / HN_WORD_BITS };

/* One method on one segment, every intermediate kept. Money in plan currency. */
typedef struct hn_option {
    int method;
    hn_verdict verdict;
    unsigned findings;
    uint64_t works;          /* cost items that must come first */
    uint64_t items;          /* cost items priced, works included */
    hn_section before, after;
    hn_section_measures full_before, full_after;
    double n_before, n_after;
    double live_load_mpa;
    hn_liner_wall_input wall_input; /* flexible linings of circular hosts */
    hn_liner_wall wall;
    double wall_mm;          /* finished wall; NaN when the method has none */
    double annulus_mm;
    double bore_after_mm;    /* clear width */
    hn_capacity_change capacity; /* full flow before and after, with what decided it */
    double capacity_ratio;   /* after / before */
    double capacity_m3_per_s; /* after, less the allowance; NaN without slope */
    double new_inside_mm, new_outside_mm; /* replacements; else NaN */
    double price_width_mm;   /* equivalent size used in the price table */
    double rate_per_m;
    double main_cost, works_cost, items_cost, base_cost, cost, cost_low, cost_high;
    double yearly_cost;      /* equivalent annual cost over the method's life */
    double horizon_cost;     /* present value of the chain of works to the horizon, less the
                                straight-line value of unused life */
    double loss_avoided;     /* present value, done in the first year */
    double net_benefit;      /* loss avoided - horizon cost */
} hn_option;

typedef struct hn_options hn_options; /* rules, prices and findings, ready to use */

/* Prepares the catalogue against the table's columns. Borrows table, plan,
 * outlook and loss; free before them. */
HN_MUST_CHECK hn_status hn_options_new(hn_table *table, const hn_plan *plan,
                                       const hn_outlook *outlook, const hn_loss *loss,
                                       hn_options **out, hn_error *err);
void hn_options_free(hn_options *options);

/* What each method changes, for hn_loss_init; out has method_count entries.
 * Errors: HN_ERR_PLAN when a method names a cohort that does not exist. */
HN_MUST_CHECK hn_status hn_options_treatments(const hn_plan *plan, hn_treatment *out,
                                              hn_error *err);

/* Evaluates every method on every segment and fills the option columns. */
HN_MUST_CHECK hn_status hn_options_run(hn_options *options, int threads, hn_error *err);

/* Processor time that design, cost and choice of all methods took in the run,
 * without the rules of the tables; all threads together. */
double hn_options_design_s(const hn_options *options);

/* Puts a method in place of the chosen one, as a person asked; the columns of
 * the choice are filled from its calculation. Not thread-safe. */
void hn_options_force(hn_options *options, size_t row, int method);

/* Keeps what is needed to evaluate the asked rows again and gives the memory of
 * the others back. keep[row] != 0: may be asked for later. */
HN_MUST_CHECK hn_status hn_options_keep(hn_options *options, const uint8_t *keep, hn_error *err);

/* The whole calculation of one method on one row. After hn_options_run. */
void hn_option_evaluate(const hn_options *options, size_t row, int method, hn_option *out);

/* Depth and velocity of the required flow in the finished section; unknown
 * without a flow or a slope, and for methods that leave the bore as it is. */
hn_normal_flow hn_option_flow_after(const hn_options *options, size_t row,
                                    const hn_option *option);

/* Rules of method_rules.csv that hold (or are unknown) for a row. */
int hn_option_rule_holds(const hn_options *options, size_t row, size_t rule);
int hn_option_rule_unknown(const hn_options *options, size_t row, size_t rule);

/* All reasons of a verdict as one text, "; " between them, worst first. */
const char *hn_option_reason(const hn_options *options, const hn_option *option, size_t row,
                             char *out, size_t size);

/* Methods that decide for a row: chosen, best lining, best replacement,
 * runner-up, each once; returns how many (at most 4). */
int hn_option_deciding(const hn_table *table, size_t row, int methods[4]);

/* How the cost to the horizon is made up: cost x own, and where repeats are limited
 * follower_cost x then. Factors are present values of a chain of works of price 1,
 * less the value of unused life. */
typedef struct hn_chain_parts {
    double own;
    int follower; /* method that follows, -1: none does before the horizon */
    double follower_cost, then;
} hn_chain_parts;

hn_chain_parts hn_option_chain(const hn_options *options, size_t row, const hn_option *option);

/* The replacement that follows where a method may not be repeated, -1: none is
 * possible; *cost is what it costs now. */
int hn_option_follower(const hn_options *options, size_t row, double *cost);

/* Quantity and money of one cost item for a row under a method, before the price
 * index; NaN when it cannot be counted. */
double hn_option_item_quantity(const hn_options *options, size_t row, size_t item,
                               const hn_option *option);
double hn_option_item_cost(const hn_options *options, size_t row, size_t item,
                           const hn_option *option);

/* The wheel above a row: all zero when the surface is no road, NaN when the cover
 * is unknown. The wheel and its effective length are those of the design. */
hn_wheel_load hn_option_wheel_load(const hn_options *options, size_t row, double width_mm,
                                   double cover_m);
double hn_option_wheel_kn(void);
double hn_option_wheel_length_m(void);

/* How many segments have each finding in their chosen method, by bit. */
const size_t *hn_option_finding_counts(const hn_options *options);

#endif
