/* checkvalues/check_capacity.c - rows about full-flow capacity before and
 * after lining, by Manning and by Colebrook-White. */
#include "checkvalues.h"

#include "engineering/capacity.h"
#include "engineering/flow.h"

#include <math.h>
#include <string.h>

typedef check_state (*case_fn)(const check_row *row, check_result *result);

static double first_input_si(const check_row *row, const char *a, const char *b, const char *bare)
{
    const double first = check_input_si(row, a, bare);

    return isnan(first) ? check_input_si(row, b, bare) : first;
}

/* A number in SI to the unit of the row, or the reason why not. */
static check_state in_row_unit(const check_row *row, check_result *result, double number_si)
{
    const double factor = check_unit_factor(check_unit(row));

    if (isnan(number_si))
        return check_cannot(result, "an input is missing or not understood");
    if (isnan(factor))
        return check_cannot(result, "unit %s is not known", check_unit(row));
    return check_number(result, number_si / factor);
}

/* Ratios may be given as shares or, with "x100", in percent. */
static check_state ratio(const check_row *row, check_result *result, double number)
{
    const int percent = strcmp(check_unit(row), "%") == 0 || strstr(row->quantity, "x100");

    if (isnan(number))
        return check_cannot(result, "an input is missing or not understood");
    return check_number(result, percent ? 100.0 * number : number);
}

/* Finished section of a close-fit liner, from t or from D/t. */
static hn_section lined(const check_row *row, const hn_section *host)
{
    const double d_over_t = check_input(row, "D/t", NULL);
    const double t_m = isnan(d_over_t) ? check_input_si(row, "t", "m") : host->width_m / d_over_t;

    return hn_section_inset(host, t_m * 1e3);
}

static hn_section host_of(const check_row *row)
{
    const double d_m = check_input_si(row, "D", "m");

    return hn_section_circle(isnan(d_m) ? 1000.0 : d_m * 1e3);
}

static check_state close_fit(const check_row *row, check_result *result)
{
    const hn_section host = host_of(row), after = lined(row, &host);
    const hn_capacity_rules rules = {.law = HN_FLOW_MANNING, .slope_m_per_m = NAN};
    const hn_capacity_change change = hn_capacity_compare(
        &host, check_input(row, "n_host", NULL), &after, check_input(row, "n_liner", NULL), &rules);

    return ratio(row, result, change.ratio);
}

static check_state slip_lined(const check_row *row, check_result *result)
{
    const hn_section host = hn_section_circle(check_input_si(row, "D_host", "m") * 1e3);
    const hn_section liner = hn_section_circle(check_input_si(row, "D_liner_ID", "m") * 1e3);
    const hn_capacity_rules rules = {.law = HN_FLOW_MANNING, .slope_m_per_m = NAN};
    const hn_capacity_change change = hn_capacity_compare(
        &host, check_input(row, "n_host", NULL), &liner, check_input(row, "n_liner", NULL), &rules);

    return ratio(row, result, change.ratio);
}

static check_state lined_colebrook(const check_row *row, check_result *result)
{
    const hn_section host = host_of(row), after = lined(row, &host);
    const hn_capacity_rules rules = {.law = HN_FLOW_COLEBROOK,
                                     .slope_m_per_m = check_input(row, "S", NULL),
                                     .viscosity_m2_per_s = check_input(row, "nu", NULL)};
    const double k_host_mm = check_input_si(row, "k_host", "mm") * 1e3;
    const double k_liner_mm = check_input_si(row, "k_liner", "mm") * 1e3;
    const hn_capacity_change change =
        hn_capacity_compare(&host, k_host_mm, &after, k_liner_mm, &rules);

    if (strstr(row->quantity, "Q_after/Q_before"))
        return ratio(row, result, change.ratio);
    if (strstr(row->quantity, "Q_before"))
        return in_row_unit(row, result, change.before.flow_m3_per_s);
    if (strstr(row->quantity, "Q_after"))
        return in_row_unit(row, result, change.after.flow_m3_per_s);
    return check_cannot(result, "the quantity is not understood");
}

static check_state break_even(const check_row *row, check_result *result)
{
    const hn_section host = host_of(row), after = lined(row, &host);
    const hn_section_measures a = hn_section_full(&host), b = hn_section_full(&after);

    return ratio(row, result, hn_break_even_roughness(&a, &b));
}

static check_state full_flow(const check_row *row, check_result *result, hn_flow_model model)
{
    const hn_section section = host_of(row);

    switch (row->quantity[0]) {
    case 'A':
        return in_row_unit(row, result, hn_section_full(&section).area_m2);
    case 'R':
        return in_row_unit(row, result, hn_section_full(&section).hydraulic_radius_m);
    case 'V':
        return in_row_unit(row, result, hn_velocity_full_m_per_s(&section, &model));
    case 'Q':
        return in_row_unit(row, result, hn_flow_full_m3_per_s(&section, &model));
    default:
        return check_cannot(result, "the quantity is not understood");
    }
}

static check_state manning_full(const check_row *row, check_result *result)
{
    const hn_flow_model model = {.law = HN_FLOW_MANNING,
                                 .n = check_input(row, "n", NULL),
                                 .slope_m_per_m = first_input_si(row, "S", "slope", "m/m")};

    return full_flow(row, result, model);
}

static check_state colebrook_full(const check_row *row, check_result *result)
{
    const hn_flow_model model = {.law = HN_FLOW_COLEBROOK,
                                 .k_mm = first_input_si(row, "k", "ks", "mm") * 1e3,
                                 .viscosity_m2_per_s = check_input(row, "nu", NULL),
                                 .slope_m_per_m = first_input_si(row, "S", "slope", "m/m")};
    const double g = check_input(row, "g", NULL);

    if (!isnan(g) && g != HN_GRAVITY_M_PER_S2)
        return check_cannot(result, "the engine works with g = %g", HN_GRAVITY_M_PER_S2);
    return full_flow(row, result, model);
}

static const struct {
    const char *name;
    case_fn compute;
} cases[] = {
    {"close_fit_liner", close_fit},
    {"sliplining_ratio_Manning", slip_lined},
    {"lining_capacity_ratio_CW", lined_colebrook},
    {"break_even_roughness", break_even},
    {"manning_full", manning_full},
    {"colebrook_white_full", colebrook_full},
};

static case_fn case_of(const check_row *row)
{
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        if (strcmp(check_case(row), cases[i].name) == 0)
            return cases[i].compute;
    return NULL;
}

static int claims(const check_row *row)
{
    return case_of(row) != NULL;
}

static check_state compute(const check_row *row, check_result *result)
{
    return case_of(row)(row, result);
}

const check_family check_capacity = {"capacity", 6, claims, compute};
