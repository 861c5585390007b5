/* checkvalues/check_economics.c - rows of interest factors, life cycle, mark-ups
 * and programme totals. */
#include "loose_rows.h"

#include "engineering/economics.h"
#include "engineering/economics_chain.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static double rate_of(const check_row *row)
{
    return row_si(row, "i", "%");
}

static check_state number_or_missing(check_result *result, double number)
{
    if (isnan(number))
        return check_cannot(result, "an input is not in the row");
    return check_number(result, number);
}

static check_state factor_row(const check_row *row, check_result *result)
{
    static const struct {
        const char *name;
        double (*factor)(double rate, double years);
    } known[] = {
        {"P/F", hn_factor_pf}, {"F/P", hn_factor_fp}, {"A/P", hn_factor_ap}, {"P/A", hn_factor_pa},
        {"A/F", hn_factor_af}, {"F/A", hn_factor_fa}, {"P/G", hn_factor_pg}, {"A/G", hn_factor_ag},
    };
    const double i = rate_of(row), n = row_plain(row, "n");

    if (row_says(row, "mid-year"))
        return number_or_missing(result, hn_present_value(1, i, n, 1));
    for (size_t k = 0; k < sizeof known / sizeof *known; k++)
        if (row_is(row, known[k].name))
            return number_or_missing(result, known[k].factor(i, n));
    return check_cannot(result, "factor %s is not known", row->quantity);
}

static check_state annual_cost_row(const check_row *row, check_result *result)
{
    double a[4], b[4], percent;

    if (sscanf(check_inputs(row), "A: P=%lf,S=%lf,OM=%lf,n=%lf; B: P=%lf,S=%lf,OM=%lf,n=%lf; i=%lf",
               &a[0], &a[1], &a[2], &a[3], &b[0], &b[1], &b[2], &b[3], &percent) == 9) {
        const double cost_a = hn_equivalent_annual_cost(a[0], a[1], a[2], percent / 100, a[3]);
        const double cost_b = hn_equivalent_annual_cost(b[0], b[1], b[2], percent / 100, b[3]);
        return check_word(result, cost_a < cost_b ? "A preferred" : "B preferred");
    }
    return number_or_missing(result, hn_equivalent_annual_cost(
                                         row_plain(row, "P"), row_plain(row, "S"),
                                         row_plain(row, "O&M"), rate_of(row), row_plain(row, "n")));
}

/* Data of the published example: L. Blank and A. Tarquin, Engineering Economy,
 * Example 11.2: first cost 13,000 at 10 %; the rows give only the year. */
static check_state service_life_row(const check_row *row, check_result *result)
{
    static const double market[] = {9000, 8000, 6000, 2000, 0};
    static const double yearly[] = {2500, 2700, 3000, 3500, 4500};
    const double n = row_plain(row, "n"), rate = 0.10;
    double value = 0;

    if (!(n >= 1) || !(n <= 5))
        return check_cannot(result, "the example has 5 years");
    const int years = (int)n;
    const double recovery = hn_equivalent_annual_cost(13000, market[years - 1], 0, rate, years);
    if (strstr(row->quantity, "recovery"))
        return check_number(result, -recovery);
    if (!row_is(row, "total annual worth"))
        return check_cannot(result, "no function gives %s", row->quantity);
    for (int k = 0; k < years; k++)
        value += hn_present_value(yearly[k], rate, k + 1, 0);
    return check_number(result, -recovery - value * hn_factor_ap(rate, years));
}

static check_state inflation_row(const check_row *row, check_result *result)
{
    const double nominal = row_si(row, "nominal", "%"), real = row_si(row, "real", "%");

    if (!strstr(row->quantity, "inflation"))
        return check_cannot(result, "no function gives %s", row->quantity);
    return number_or_missing(result, 100 * hn_implied_inflation(nominal, real));
}

static check_state markup_row(const check_row *row, check_result *result)
{
    static const char *const names[] = {"markup", "contingency", "project costs"};
    double base = row_plain(row, "construction");
    hn_percent_step steps[3];
    size_t count = 0;

    if (isnan(base))
        base = row_plain(row, "baseline");
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const double percent = row_plain(row, names[i]);
        if (!isnan(percent))
            steps[count++] = (hn_percent_step){percent, 1};
    }
    return number_or_missing(result, hn_add_markups(base, steps, count, 0, NULL));
}

static check_state extension_row(const check_row *row, check_result *result)
{
    const double scale = strncmp(check_unit(row), "M ", 2) == 0 ? 1e-6 : 1;

    return number_or_missing(result, row_plain(row, "L") * row_plain(row, "unit") * scale);
}

static check_state allocation_row(const check_row *row, check_result *result)
{
    return number_or_missing(result, row_plain(row, "CIP") * row_si(row, "users", "%"));
}

static check_state chain_row(const check_row *row, check_result *result)
{
    hn_chain_plan plan = {.then = {NAN, NAN, NAN}, .rate = rate_of(row), .keep_residual = 1};

    plan.horizon_years = row_plain(row, "H");
    plan.first.cost = row_plain(row, "P");
    plan.first.life_years = row_plain(row, "n");
    plan.first.yearly_cost = row_plain(row, "OM");
    if (row_is(row, "PV")) {
        plan.first.cost = row_plain(row, "lining");
        plan.first.life_years = row_plain(row, "each");
        plan.first.yearly_cost = 0;
    }
    const hn_chain chain = hn_replacement_chain(&plan);
    return number_or_missing(result, row_is(row, "PV") ? chain.present_value : chain.annual_cost);
}

static check_state break_even_row(const check_row *row, check_result *result)
{
    return number_or_missing(result,
                             hn_break_even_ratio(row_plain(row, "lining life"),
                                                 row_plain(row, "replacement life"), rate_of(row)));
}

static check_state escalation_row(const check_row *row, check_result *result)
{
    const double n = row_plain(row, "n");
    double e = row_si(row, "e", "%"), d = row_si(row, "d", "%");

    if (isnan(e))
        e = row_si(row, "escalates", "%");
    if (isnan(d))
        d = row_si(row, "real rate", "%");
    if (row_is(row, "effective P/F"))
        return number_or_missing(result, hn_factor_escalating_pf(d, e, n));
    return number_or_missing(result, hn_factor_escalating_pa(d, e, n));
}

static check_state yearly_total(const check_row *row, check_result *result)
{
    const double inspect = row_plain(row, "inspect"), replace = row_plain(row, "replace");

    return number_or_missing(result, inspect + replace);
}

/* What the rows of one source say about a total: the parts of the sum that other
 * rows give, and how many of them were found. */
typedef struct found_parts {
    double sum;
    int count;
} found_parts;

static void take(found_parts *parts, double value)
{
    if (!isnan(value)) {
        parts->sum += value;
        parts->count++;
    }
}

static double published(const check_row *row)
{
    double value;

    return sscanf(check_cell(row, "published"), "%lf", &value) == 1 ? value : NAN;
}

/* The part of the total in `row` that `other` gives; NaN when none. */
static double part_of(const check_row *row, const check_row *other)
{
    const char *inputs = check_inputs(other), *total = check_inputs(row);
    int last = 5, year;

    if (strstr(total, "categories")) /* first step of each category's mark-ups */
        return strstr(inputs, "baseline=") && !strstr(inputs, "project costs")
                   ? strstr(total, "baseline") ? row_plain(other, "baseline") : published(other)
                   : NAN;
    sscanf(total, "cumulative to year %d", &last);
    if (sscanf(inputs, "year %d: inspect", &year) != 1 || year > last)
        return NAN;
    const double inspect = row_plain(other, "inspect"), replace = row_plain(other, "replace");
    if (strncmp(total, "inspection", 10) == 0)
        return inspect;
    return strncmp(total, "replacement", 11) == 0 ? replace : inspect + replace;
}

static found_parts find_parts(const check_row *row)
{
    found_parts parts = {0, 0};

    for (size_t i = 1; i < row->table->rows; i++) {
        const check_row other = {.table = row->table, .index = i};
        if (strcmp(check_cell(&other, "source"), check_cell(row, "source")) == 0)
            take(&parts, part_of(row, &other));
    }
    return parts;
}

/* The last year's running total is also the sum of the two kinds of work. */
static found_parts both_kinds(const check_row *row)
{
    found_parts parts = {0, 0};

    for (size_t i = 1; i < row->table->rows; i++) {
        const check_row other = {.table = row->table, .index = i};
        if (strcmp(check_inputs(&other), "inspection 5 years") == 0 ||
            strcmp(check_inputs(&other), "replacement 5 years") == 0)
            take(&parts, published(&other));
    }
    return parts;
}

/* A total whose parts stand in other rows: only when all of them are there. */
static check_state total_row(const check_row *row, check_result *result)
{
    int needed = 5;

    if (row_says(row, "inspect ") && row_says(row, "replace "))
        return yearly_total(row, result);
    if (sscanf(check_inputs(row), "cumulative to year %d", &needed) != 1)
        sscanf(check_inputs(row), "%d categories", &needed);
    const found_parts parts = find_parts(row), kinds = both_kinds(row);
    if (parts.count == needed)
        return check_number(result, parts.sum);
    if (row_says(row, "cumulative to year 5") && kinds.count == 2)
        return check_number(result, kinds.sum);
    return check_cannot(result, "the parts of this total are not in the file");
}

typedef struct route {
    const char *name;
    check_state (*compute)(const check_row *row, check_result *result);
} route;

static const route routes[] = {
    {"interest_factor", factor_row},         {"discount_factor", factor_row},
    {"EUAC_unequal_lives", annual_cost_row}, {"economic_service_life", service_life_row},
    {"nominal_vs_real", inflation_row},      {"soft_cost_markup", markup_row},
    {"compound_markup", markup_row},         {"quantity_times_unit_cost", extension_row},
    {"cost_allocation", allocation_row},     {"EUAC_equals_replacement_chain", chain_row},
    {"finite_horizon_residual", chain_row},  {"lining_vs_replacement", break_even_row},
    {"real_escalation", escalation_row},     {"programme_total", total_row},
};

static const route *route_of(const check_row *row)
{
    for (size_t i = 0; i < sizeof routes / sizeof *routes; i++)
        if (strcmp(check_cell(row, "case"), routes[i].name) == 0)
            return &routes[i];
    return NULL;
}

static int claims_economics(const check_row *row)
{
    return route_of(row) != NULL;
}

static check_state compute_economics(const check_row *row, check_result *result)
{
    return route_of(row)->compute(row, result);
}

const check_family check_economics = {"economics", 9, claims_economics, compute_economics};
