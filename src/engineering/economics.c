/* engineering/economics.c - interest factors and the small rules of cost. */
#include "engineering/economics.h"

#include "engineering/range.h"

#include <math.h>

static int is_rate(double rate)
{
    return rate > -1 && isfinite(rate);
}

/* (1+i)^x and (1+i)^x - 1: each keeps its digits where the other loses them,
 * at long times and at small rates. */
static double growth(double rate, double years)
{
    return is_rate(rate) ? exp(years * log1p(rate)) : NAN;
}

static double growth_minus_1(double rate, double years)
{
    return is_rate(rate) ? expm1(years * log1p(rate)) : NAN;
}

double hn_factor_pf(double rate, double years)
{
    return hn_is_not_negative(years) ? growth(rate, -years) : NAN;
}

double hn_factor_fp(double rate, double years)
{
    return hn_is_not_negative(years) ? growth(rate, years) : NAN;
}

double hn_factor_pa(double rate, double years)
{
    if (!hn_is_not_negative(years) || !is_rate(rate))
        return NAN;
    return fabs(rate) < 1e-15 ? years : -growth_minus_1(rate, -years) / rate;
}

double hn_factor_ap(double rate, double years)
{
    return hn_is_positive(years) ? 1 / hn_factor_pa(rate, years) : NAN;
}

double hn_factor_fa(double rate, double years)
{
    if (!hn_is_not_negative(years) || !is_rate(rate))
        return NAN;
    return fabs(rate) < 1e-15 ? years : growth_minus_1(rate, years) / rate;
}

double hn_factor_af(double rate, double years)
{
    return hn_is_positive(years) ? 1 / hn_factor_fa(rate, years) : NAN;
}

double hn_factor_pg(double rate, double years)
{
    if (!hn_is_not_negative(years) || !is_rate(rate))
        return NAN;
    const double n = years;
    if (fabs(rate) * n > 1e-5)
        return (hn_factor_pa(rate, n) - n * hn_factor_pf(rate, n)) / rate;
    /* Near 0 the difference above loses its digits: the sum of (k-1)(1 - k i). */
    return n * (n - 1) / 2 - rate * (n - 1) * n * (n + 1) / 3;
}

double hn_factor_ag(double rate, double years)
{
    return hn_factor_pg(rate, years) * hn_factor_ap(rate, years);
}

double hn_present_value(double cost, double rate, double years, int mid_year)
{
    const double end = cost * hn_factor_pf(rate, years);
    return mid_year ? end * sqrt(1 + rate) : end;
}

double hn_factor_escalating_pf(double rate, double escalation, double years)
{
    if (!is_rate(escalation))
        return NAN;
    return hn_factor_pf(rate, years) * hn_factor_fp(escalation, years);
}

double hn_factor_escalating_pa(double rate, double escalation, double years)
{
    if (!is_rate(rate) || !is_rate(escalation))
        return NAN;
    /* Discounting at (1+i)/(1+e) - 1 is the same sum. */
    return hn_factor_pa((rate - escalation) / (1 + escalation), years);
}

double hn_nominal_rate(double real, double inflation)
{
    return is_rate(real) && is_rate(inflation) ? real + inflation + real * inflation : NAN;
}

double hn_real_rate(double nominal, double inflation)
{
    return is_rate(nominal) && is_rate(inflation) ? (nominal - inflation) / (1 + inflation) : NAN;
}

double hn_implied_inflation(double nominal, double real)
{
    return hn_real_rate(nominal, real);
}

double hn_escalate_by_index(double cost, double index_base, double index_target)
{
    return hn_is_positive(index_base) && hn_is_positive(index_target)
               ? cost * index_target / index_base
               : NAN;
}

double hn_residual_value(double cost, double life_years, double age_years)
{
    if (!hn_is_positive(life_years) || !hn_is_not_negative(age_years))
        return NAN;
    return age_years < life_years ? cost * (life_years - age_years) / life_years : 0 * cost;
}

double hn_equivalent_annual_cost(double first_cost, double salvage, double yearly_cost, double rate,
                                 double life_years)
{
    return first_cost * hn_factor_ap(rate, life_years) - salvage * hn_factor_af(rate, life_years) +
           yearly_cost;
}

/* A price times a length that makes exactly a half comes out a few bits less or
 * more, by the units and logarithms on its way: a half within 1e-14 of the value
 * counts as one, else it would round down at random. */
static const double HALF_SLACK = 1e-14;

double hn_round_money(double value, double step)
{
    if (!hn_is_not_negative(step))
        return NAN;
    return step > 0 ? round(value / step * (1 + HALF_SLACK)) * step : value;
}

double hn_add_markups(double base, const hn_percent_step *steps, size_t count, double each_step,
                      double *amounts)
{
    double total = base;
    for (size_t i = 0; i < count; i++) {
        const double on = steps[i].compound ? total : base;
        const double next = hn_round_money(total + on * steps[i].percent / 100, each_step);
        if (amounts)
            amounts[i] = next - total;
        total = next;
    }
    return total;
}

static double report_fit(hn_rate_fit *fit, hn_rate_fit found, double value)
{
    if (fit)
        *fit = found;
    return value;
}

double hn_interpolate_rate(const double *sizes, const double *rates, size_t count, double size,
                           hn_rate_fit *fit)
{
    if (count == 0 || !hn_is_positive(size))
        return report_fit(fit, HN_RATE_NONE, NAN);
    size_t i = 0;
    while (i < count && sizes[i] < size)
        i++;
    if (i < count && sizes[i] <= size)
        return report_fit(fit, HN_RATE_EXACT, rates[i]);
    if (i == 0 || i == count)
        return report_fit(fit, HN_RATE_BEYOND, rates[i == 0 ? 0 : count - 1]);
    const double share = log(size / sizes[i - 1]) / log(sizes[i] / sizes[i - 1]);
    return report_fit(fit, HN_RATE_INTERPOLATED,
                      rates[i - 1] * pow(rates[i] / rates[i - 1], share));
}
