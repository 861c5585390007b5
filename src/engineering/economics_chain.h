/* engineering/economics_chain.h - works that follow each other on one pipe over
 * a horizon, with a limit on how often the first kind may be repeated.
 */
#ifndef HN_ENGINEERING_ECONOMICS_CHAIN_H
#define HN_ENGINEERING_ECONOMICS_CHAIN_H

#include <stddef.h>

/* One kind of work: bought at the start of its life, then a yearly cost (at year
 * ends) while it lasts. */
typedef struct hn_chain_work {
    double cost;
    double life_years;  /* > 0 */
    double yearly_cost; /* operation and maintenance; 0 when none */
} hn_chain_work;

typedef struct hn_chain_plan {
    hn_chain_work first;
    int repeat_max;       /* `first` may be repeated this often; 0: no limit, -1: never */
    hn_chain_work then;   /* what follows when no repeat is left; cost NaN: not known */
    double rate;          /* real discount rate, share a year */
    double horizon_years; /* > 0 */
    int keep_residual;    /* 1: straight-line value of unused life is credited */
} hn_chain_plan;

typedef struct hn_chain {
    double present_value;  /* works + yearly costs - residual, today */
    double annual_cost;    /* the same as an equal yearly sum over the horizon */
    double works_value;    /* part: works */
    double yearly_value;   /* part: yearly costs */
    double residual_value; /* part: credited, >= 0 */
    int works;             /* works bought within the horizon, the first included */
    int repeats;           /* of them, repeats of the first kind */
    int turned;            /* 1 when `then` was needed */
} hn_chain;

/* Buys `first` at year 0 and the next work at the end of each life, until the
 * horizon. A work that would begin at the horizon is not bought. Present values
 * are NaN when an input that counts is NaN or out of range, or when more than
 * 10,000 works would be needed.
 * Source: common practice (replacement chain, straight-line residual), no source;
 * over a common multiple of lives it equals the equivalent annual cost. */
hn_chain hn_replacement_chain(const hn_chain_plan *plan);

/* Price ratio a/b at which two works without yearly cost, repeated for ever, cost
 * the same: (A/P of b's life) / (A/P of a's life). */
double hn_break_even_ratio(double life_a_years, double life_b_years, double rate);

/* Horizons in whole years from..to at which the cheaper of two chains changes;
 * years[] gets at most `room` of them, the year from which the other one is
 * cheaper. The horizon fields of the plans are not used. Returns how many
 * changes there are, which can be more than `room`. Equal present values are
 * no change. */
size_t hn_flip_horizons(const hn_chain_plan *a, const hn_chain_plan *b, int from, int to,
                        int *years, size_t room);

#endif
