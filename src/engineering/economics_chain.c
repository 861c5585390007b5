/* engineering/economics_chain.c - replacement chains over a horizon. */
#include "engineering/economics_chain.h"

#include "engineering/economics.h"
#include "engineering/range.h"

#include <math.h>

enum { MAX_WORKS = 10000 };

/* Lives such as 100/3 sum with rounding: a work due this close to the horizon is
 * due at the horizon. */
static const double year_slack = 1e-9;

static int chain_allowed(const hn_chain_plan *plan)
{
    return hn_is_positive(plan->horizon_years) && plan->rate > -1;
}

/* Yearly payments at year ends from start to end, today. A part of a year at the
 * end counts by the continuous form of P/A. */
static double yearly_between(double yearly_cost, double rate, double start, double end)
{
    return yearly_cost * hn_factor_pa(rate, end - start) * hn_factor_pf(rate, start);
}

/* Books one work; returns the year its life ends, NaN when it cannot be booked. */
static double book_work(const hn_chain_plan *plan, const hn_chain_work *work, double start,
                        hn_chain *chain)
{
    if (!hn_is_positive(work->life_years))
        return NAN;
    const double horizon = plan->horizon_years, end = start + work->life_years;
    const double stop = end < horizon ? end : horizon;
    chain->works++;
    chain->works_value += hn_present_value(work->cost, plan->rate, start, 0);
    chain->yearly_value += yearly_between(work->yearly_cost, plan->rate, start, stop);
    if (plan->keep_residual && end > horizon + year_slack) {
        const double left = hn_residual_value(work->cost, work->life_years, horizon - start);
        chain->residual_value += hn_present_value(left, plan->rate, horizon, 0);
    }
    return end;
}

static int repeat_allowed(const hn_chain_plan *plan, const hn_chain *chain)
{
    return plan->repeat_max == 0 || chain->repeats < plan->repeat_max;
}

static void close_chain(const hn_chain_plan *plan, double year, hn_chain *chain)
{
    const int complete = year >= plan->horizon_years - year_slack; /* false for NaN */
    chain->present_value =
        complete ? chain->works_value + chain->yearly_value - chain->residual_value : NAN;
    chain->annual_cost = chain->present_value * hn_factor_ap(plan->rate, plan->horizon_years);
}

hn_chain hn_replacement_chain(const hn_chain_plan *plan)
{
    hn_chain chain = {0};
    double year = NAN;
    if (chain_allowed(plan))
        year = book_work(plan, &plan->first, 0, &chain);
    while (year < plan->horizon_years - year_slack && chain.works < MAX_WORKS) {
        if (!chain.turned && repeat_allowed(plan, &chain)) {
            chain.repeats++;
            year = book_work(plan, &plan->first, year, &chain);
        } else {
            chain.turned = 1;
            year = book_work(plan, &plan->then, year, &chain);
        }
    }
    close_chain(plan, year, &chain);
    return chain;
}

double hn_break_even_ratio(double life_a_years, double life_b_years, double rate)
{
    return hn_factor_ap(rate, life_b_years) / hn_factor_ap(rate, life_a_years);
}

static double value_at(const hn_chain_plan *plan, int horizon_years)
{
    hn_chain_plan copy = *plan;
    copy.horizon_years = horizon_years;
    return hn_replacement_chain(&copy).present_value;
}

/* -1 when a is cheaper, 1 when b is, 0 when equal or unknown. */
static int cheaper(const hn_chain_plan *a, const hn_chain_plan *b, int horizon_years)
{
    const double value_a = value_at(a, horizon_years), value_b = value_at(b, horizon_years);
    const double tie = 1e-9 * (fabs(value_a) + fabs(value_b));
    if (value_a < value_b - tie)
        return -1;
    return value_a > value_b + tie ? 1 : 0;
}

size_t hn_flip_horizons(const hn_chain_plan *a, const hn_chain_plan *b, int from, int to,
                        int *years, size_t room)
{
    size_t count = 0;
    int last = 0;
    for (int year = from < 1 ? 1 : from; year <= to; year++) {
        const int now = cheaper(a, b, year);
        if (now != 0 && last != 0 && now != last) {
            if (count < room)
                years[count] = year;
            count++;
        }
        if (now != 0)
            last = now;
    }
    return count;
}
