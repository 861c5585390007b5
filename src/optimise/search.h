/* optimise/search.h - the choice in work: its uses, its excess over the limits, and the items
 * near a tie, which are the only ones worth moving.
 */
#ifndef HN_OPTIMISE_SEARCH_H
#define HN_OPTIMISE_SEARCH_H

#include "optimise/dual.h"

/* One alternative of a pool item, or never (HN_CHOICE_NEVER). */
typedef struct hn_way {
    int32_t alternative;
    double regret; /* best reduced value of the item less this one's, >= 0 */
    double value;
} hn_way;

typedef struct hn_search {
    const hn_model *model;
    const hn_row_prices *prices;
    int32_t *choice;      /* [items] */
    double *used;         /* [rows] turned */
    double value, excess; /* excess is relative to the sizes of the rows */
    uint32_t *pool;       /* items with the least spread, nearest tie first */
    size_t pool_count;
    size_t *first_way; /* [pool_count + 1] */
    hn_way *ways;      /* by rising regret within an item */
    double *delta;     /* [rows] change in trial, zero between trials */
    uint32_t *touched;
    size_t touched_count;
    double bound;
    size_t nodes;
} hn_search;

HN_MUST_CHECK hn_status hn_search_new(hn_search *search, const hn_model *model,
                                      const hn_row_prices *prices, size_t pool_most, hn_error *err);
void hn_search_clear(hn_search *search);
/* Uses, value and excess of `choice` anew. */
void hn_search_recount(hn_search *search);
/* Excess if the uses were those plus delta. */
double hn_search_excess(const hn_search *search);
/* Trial moves: add the change of one item, ask, then take or drop them all. */
void hn_search_try(hn_search *search, size_t item, int32_t from, int32_t to);
void hn_search_drop(hn_search *search);
void hn_search_take(hn_search *search, size_t item, int32_t to); /* recounts its part */
int hn_search_fits(const hn_search *search);
/* What a limit has left after carrying, at its price, and what carrying leaves. */
double hn_search_priced_slack(const hn_search *search);
double hn_way_regret(const hn_search *search, size_t k, int32_t alternative);

HN_MUST_CHECK hn_status hn_search_repair(hn_search *search, hn_error *err);
HN_MUST_CHECK hn_status hn_search_fill(hn_search *search, hn_error *err);
HN_MUST_CHECK hn_status hn_search_exchange(hn_search *search, size_t width, hn_error *err);
HN_MUST_CHECK hn_status hn_search_polish(hn_search *search, size_t node_cap, double goal,
                                         hn_error *err);
/* Branch and bound over what the gap leaves open. *bound falls to the value when the search
 * ends by itself; returns through *complete whether it did. */
HN_MUST_CHECK hn_status hn_search_exact(hn_search *search, size_t node_cap, double *bound,
                                        size_t *open_items, int *complete, hn_dual *dual,
                                        hn_error *err);

#endif
