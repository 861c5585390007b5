/* checkvalues/check_deterioration.c - rows of Markov chains of five grades:
 * published chains by steps, the chain in continuous time, and estimates. */
#include "checkvalues.h"

#include "engineering/chain_fit.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef double grade_matrix[HN_GRADES][HN_GRADES];

/* Source: Jimenez-Roa, doctoral thesis, University of Twente, Fig. 5.1, p. 114. */
static const struct {
    const char *name;
    grade_matrix step;
} chains[] = {
    {"Single",
     {{0.955, 0.045, 0, 0, 0},
      {0, 0.972, 0.028, 0, 0},
      {0, 0, 0.979, 0.021, 0},
      {0, 0, 0, 0.988, 0.012},
      {0, 0, 0, 0, 1}}},
    {"Multi",
     {{0.9571, 0.0347, 0.0074, 0.0006, 0.0002},
      {0, 0.9995, 0.0005, 0, 0},
      {0, 0, 0.9999, 0.0001, 0},
      {0, 0, 0, 0.9999, 0.0001},
      {0, 0, 0, 0, 1}}},
};

static int chain_of(const check_row *row, grade_matrix out)
{
    char name[16];

    if (sscanf(check_inputs(row), "chain %15s", name) != 1)
        return 0;
    for (size_t i = 0; i < sizeof chains / sizeof *chains; i++)
        if (strcmp(chains[i].name, name) == 0) {
            memcpy(out, chains[i].step, sizeof(grade_matrix));
            return 1;
        }
    return 0;
}

static check_state row_sum_row(const check_row *row, check_result *result)
{
    grade_matrix step;
    double share[HN_GRADES] = {0}, sum = 0;
    int from;

    if (!chain_of(row, step) || sscanf(check_inputs(row), "chain %*s row %d", &from) != 1)
        return check_cannot(result, "no such chain");
    share[from - 1] = 1;
    hn_chain_move(share, step, share);
    for (int g = 0; g < HN_GRADES; g++)
        sum += share[g];
    return check_number(result, sum);
}

static check_state sojourn_row(const check_row *row, check_result *result)
{
    grade_matrix step;
    int state;

    if (!chain_of(row, step) || sscanf(check_inputs(row), "chain %*s state %d", &state) != 1)
        return check_cannot(result, "no such chain");
    return check_number(result, hn_chain_mean_stay_steps(step, state));
}

static check_state absorption_row(const check_row *row, check_result *result)
{
    grade_matrix step;
    int state;

    if (!chain_of(row, step) || sscanf(check_inputs(row), "chain %*s from state %d", &state) != 1)
        return check_cannot(result, "no such chain");
    return check_number(result, hn_chain_mean_steps_to_worst(step, state));
}

static int after_steps(const check_row *row, double share[HN_GRADES])
{
    grade_matrix step;
    int n;

    if (!chain_of(row, step) || sscanf(check_inputs(row), "chain %*s n=%d", &n) != 1)
        return 0;
    for (int g = 0; g < HN_GRADES; g++)
        share[g] = g == 0;
    for (int i = 0; i < n; i++)
        hn_chain_move(share, step, share);
    return 1;
}

static check_state distribution_row(const check_row *row, check_result *result)
{
    double share[HN_GRADES];
    int state;

    if (!after_steps(row, share) || sscanf(row->quantity, "P(state %d)", &state) != 1)
        return check_cannot(result, "no such chain");
    return check_number(result, share[state - 1]);
}

static check_state severity_row(const check_row *row, check_result *result)
{
    double share[HN_GRADES];

    if (!after_steps(row, share))
        return check_cannot(result, "no such chain");
    return check_number(result, hn_chain_mean_grade(share));
}

static check_state continuous_row(const check_row *row, check_result *result)
{
    double rate[HN_CHAIN_RATES], years;
    grade_matrix p;
    int state;

    if (sscanf(check_inputs(row), "lambda=%lf,%lf,%lf,%lf per yr; t=%lf", &rate[0], &rate[1],
               &rate[2], &rate[3], &years) != 5 ||
        sscanf(row->quantity, "P(state %d)", &state) != 1)
        return check_cannot(result, "rates or time are not in the row");
    hn_chain_matrix(rate, years, p);
    return check_number(result, p[0][state - 1]);
}

/* The rate at which a share is gone after some years. */
static check_state horizon_row(const check_row *row, check_result *result)
{
    double years, share;

    if (sscanf(check_inputs(row), "grade %*d: P(fail within %lf yr)=%lf", &years, &share) != 2)
        return check_cannot(result, "years or share are not in the row");
    return check_number(result, hn_chain_rate_of_share(share, 1, years));
}

static check_state closed_form_row(const check_row *row, check_result *result)
{
    double pipes, age, left;

    if (sscanf(check_inputs(row), "n=%lf pipes all inspected once at age %lf; %lf left", &pipes,
               &age, &left) != 3)
        return check_cannot(result, "counts are not in the row");
    return check_number(result, hn_chain_rate_of_share(left, pipes, age));
}

/* ---- estimates from counts by age ---- */

static hn_status add_counts(hn_chain_data *data, double age, const double count[HN_GRADES])
{
    hn_status rc = HN_OK;

    for (int g = 0; rc == HN_OK && g < HN_GRADES; g++) {
        const hn_reading reading = {age, HN_GRADE_ONLY(g + 1)};

        rc = hn_chain_data_add(data, &reading, 1, 1, count[g], NULL);
    }
    return rc;
}

static check_state count_row(const check_row *row, check_result *result)
{
    hn_chain_data data = {0};
    double age, count[HN_GRADES];
    int known = sscanf(check_inputs(row), "counts at age %lf: %lf %lf %lf %lf %lf", &age, &count[0],
                       &count[1], &count[2], &count[3], &count[4]) == 6;

    if (known && add_counts(&data, age, count) == HN_OK)
        result->number = data.weight;
    hn_chain_data_clear(&data);
    return known ? CHECK_DONE : check_cannot(result, "counts are not in the row");
}

/* The file prints three of the five ages and says how all were made: 1000 times
 * the chances of these rates, rounded. */
static check_state estimate_row(const check_row *row, check_result *result)
{
    static const double rate[HN_CHAIN_RATES] = {0.045, 0.030, 0.025, 0.020};
    static const double ages[] = {10, 30, 50, 70, 90};
    hn_chain_data data = {.grid_years = 0.1};
    hn_chain_fit_spec spec = {.data = &data, .start = {0.1, 0.1, 0.1, 0.1}};
    hn_chain_fit fit = {.rate_per_year = {NAN, NAN, NAN, NAN}};
    hn_status rc = HN_OK;
    int from;

    if (sscanf(row->quantity, "lambda_hat_%1d", &from) != 1)
        return count_row(row, result);
    for (size_t i = 0; rc == HN_OK && i < sizeof ages / sizeof *ages; i++) {
        grade_matrix p;
        double count[HN_GRADES];

        hn_chain_matrix(rate, ages[i], p);
        for (int g = 0; g < HN_GRADES; g++)
            count[g] = round(1000 * p[0][g]);
        rc = add_counts(&data, ages[i], count);
    }
    if (rc == HN_OK)
        rc = hn_chain_data_pack(&data, NULL);
    if (rc == HN_OK)
        rc = hn_chain_fit_rates(&spec, &fit, NULL);
    hn_chain_data_clear(&data);
    result->digits = 6; /* both optimisers stop at about 1e-7 */
    return rc == HN_OK ? check_number(result, fit.rate_per_year[from - 1])
                       : check_cannot(result, "the fit failed");
}

static const struct route {
    const char *name;
    check_state (*compute)(const check_row *row, check_result *result);
} routes[] = {
    {"row_sum", row_sum_row},
    {"sojourn", sojourn_row},
    {"absorption", absorption_row},
    {"state_distribution", distribution_row},
    {"expected_severity", severity_row},
    {"ctmc_progressive", continuous_row},
    {"failure_horizon", horizon_row},
    {"mle_closed_form", closed_form_row},
    {"mle_cross_section_5state", estimate_row},
};

static const struct route *route_of(const check_row *row)
{
    for (size_t i = 0; i < sizeof routes / sizeof *routes; i++)
        if (strcmp(check_cell(row, "case"), routes[i].name) == 0)
            return &routes[i];
    return NULL;
}

static int claims_deterioration(const check_row *row)
{
    return route_of(row) != NULL;
}

static check_state compute_deterioration(const check_row *row, check_result *result)
{
    return route_of(row)->compute(row, result);
}

const check_family check_deterioration = {"deterioration", 8, claims_deterioration,
                                          compute_deterioration};
