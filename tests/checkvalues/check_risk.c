/* checkvalues/check_risk.c - rows of points schemes, cost shares and matrices.
 *
 * Scores are made by consequence/scheme, weights are read by the reader of
 * scoring.csv, expected losses are those of table/loss. The row risk_reduction of
 * the collection is not here: it goes on from a row that is not in print.
 */
#include "loose_rows.h"

#include "base/arena.h"
#include "consequence/consequence.h"
#include "consequence/scheme.h"
#include "plan/config_tables.h"
#include "table/loss.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define WEIGHTS HN_SOURCE_DIR "/tests/checkvalues/weights.csv"

static check_state number_or_missing(check_result *result, double number)
{
    if (isnan(number))
        return check_cannot(result, "an input is not in the row");
    return check_number(result, number);
}

static check_state product_row(const check_row *row, check_result *result)
{
    const double score[HN_SIDES] = {row_plain(row, "PoF"), row_plain(row, "CoF")};

    return number_or_missing(result, hn_scheme_score(HN_SCHEME_MULTIPLICATIVE, NULL, score));
}

static check_state cap_row(const check_row *row, check_result *result)
{
    static const hn_score_side side = {.combine = HN_COMBINE_SUM, .least = NAN, .most = 10};
    double base = NAN, customers = NAN;

    if (sscanf(check_inputs(row), "diameter score %lf + %lf", &base, &customers) != 2)
        return check_cannot(result, "an input is not in the row");
    return check_number(result, hn_side_score(&side, (double[]){base, customers}, 2, NULL));
}

static check_state scaling_row(const check_row *row, check_result *result)
{
    static const hn_score_factor factor = {.weight = NAN, .times = 5};
    const char *count = strchr(check_inputs(row), ':');
    double sites = NAN;

    if (count)
        sscanf(count + 1, "%lf", &sites);
    return number_or_missing(result, hn_factor_score(&factor, sites));
}

/* Weights as the engine holds them, in per cent. */
static check_state weights_row(const check_row *row, check_result *result)
{
    static hn_arena arena; /* lives as long as the program */
    static hn_config config;
    const char *wanted = strstr(check_inputs(row), ": ");
    double sum = 0;

    if (!config.scores && hn_config_scoring(WEIGHTS, &arena, &config, NULL) != HN_OK)
        return check_cannot(result, "the table of weights cannot be read");
    for (size_t f = 0; f < config.score_factor_count; f++) {
        const hn_score_factor *factor = &config.score_factors[f];

        if (wanted ? strcmp(factor->name, wanted + 2) == 0 : factor->side == HN_LIKELIHOOD)
            sum += 100 * factor->weight;
    }
    return sum > 0 ? check_number(result, sum) : check_cannot(result, "no such factor");
}

/* Two factors of money, as a run adds them up. */
static double money_of(const char *direct, const char *indirect)
{
    hn_factor_class classes[2] = {
        {"direct", "every segment", "1", direct, "s", 0, 0, {1, 0, 0}},
        {"indirect", "every segment", "1", indirect, "s", 1, 0, {1, 0, 0}}};
    hn_plan plan = {.config = {.factors = classes, .factor_class_count = 2, .factor_count = 2}};
    hn_consequence_parts parts;
    hn_table *table = NULL;
    double money = NAN;

    if (hn_table_new(&table, NULL) == HN_OK && hn_table_reserve(table, 1, NULL) == HN_OK) {
        table->rows = 1;
        if (hn_consequence(table, &plan, 1, &parts, NULL) == HN_OK) {
            money = HN_F64(table, CONSEQUENCE_MONEY)[0];
            hn_consequence_parts_clear(&parts);
        }
    }
    hn_table_free(table);
    return money;
}

static check_state share_row(const check_row *row, check_result *result)
{
    const double total = money_of("41", "59"), direct = money_of("41", "0");

    if (!row_is(row, "sum %") && !row_is(row, "total/direct"))
        return check_cannot(result, "no function gives %s", row->quantity);
    return check_number(result, row_is(row, "sum %") ? total : total / direct);
}

/* Expected loss of a year with this chance (or number a year) and cost. */
static double expected_loss(double chance, double cost)
{
    static float share[HN_OUTLOOK_GRADES] = {1};
    static uint16_t other[HN_OUTLOOK_GRADES] = {HN_SHARE_UNIT};
    uint8_t cohort = 0;
    double annual[HN_OUTLOOK_DRIVERS * HN_OUTLOOK_GRADES] = {0};
    const double costs[HN_OUTLOOK_DRIVERS] = {cost, 0, 0};
    const hn_treatment none = {.cohort_after = HN_NO_WORK};
    hn_outlook outlook = {.rows = 1, .cohorts = 1, .years = 1, .cohort = &cohort, .annual = annual};
    hn_loss loss;
    double result = NAN;

    annual[0] = chance;
    for (int g = 0; g < HN_OUTLOOK_GRADES; g++) {
        outlook.structural[g] = &share[g];
        for (int d = 1; d < HN_OUTLOOK_DRIVERS; d++)
            outlook.other[d][g] = &other[g];
    }
    if (hn_loss_init(&loss, &outlook, &none, 1, 0, NULL) == HN_OK) {
        result = hn_loss_of_year(&loss, &outlook, 0, SIZE_MAX, 0, 0, costs);
        hn_loss_clear(&loss);
    }
    return result;
}

static check_state traffic_row(const check_row *row, check_result *result)
{
    double breaks = NAN, cost = NAN, thousands = NAN, rest = NAN;

    if (sscanf(check_inputs(row), "%lf breaks/yr x %lf USD", &breaks, &cost) != 2 ||
        sscanf(check_cell(row, "note"), "population %lf %lf", &thousands, &rest) != 2)
        return check_cannot(result, "an input is not in the row");
    return check_number(result, expected_loss(breaks, cost) / (1000 * thousands + rest));
}

/* 5 x 5 with equal bins on 0 to 1. */
static double matrix_score(double chance, double cost)
{
    static const double from[] = {0.2, 0.4, 0.6, 0.8};
    static const hn_score_side sides[HN_SIDES] = {{.class_from = from, .limits = 4},
                                                  {.class_from = from, .limits = 4}};

    return hn_scheme_score(HN_SCHEME_MATRIX, sides, (double[]){chance, cost});
}

/* The row whose inputs a row that says "same" goes on with. */
static check_row first_of(const check_row *row)
{
    check_row first = *row;

    while (first.index > 1 && strcmp(check_inputs(&first), "same") == 0)
        first.index--;
    return first;
}

static check_state matrix_row(const check_row *row, check_result *result)
{
    double p[2], c[2];
    const int i = row->quantity[0] == 'B';
    const check_row first = first_of(row);

    if (sscanf(check_inputs(&first), "A: p=%lf,c=%lf; B: p=%lf,c=%lf", &p[0], &c[0], &p[1],
               &c[1]) != 4)
        return check_cannot(result, "an input is not in the row");
    if (strcmp(row->quantity + 1, ": p*c") == 0)
        return check_number(result, expected_loss(p[i], c[i]));
    if (strcmp(row->quantity + 1, ": matrix score") == 0)
        return check_number(result, matrix_score(p[i], c[i]));
    return check_cannot(result, "no function gives %s", row->quantity);
}

static check_state compression_row(const check_row *row, check_result *result)
{
    double p[2], c[2];

    if (sscanf(check_inputs(row), "two risks in one 5x5 cell: p=%lf,c=%lf and p=%lf,c=%lf", &p[0],
               &c[0], &p[1], &c[1]) != 4)
        return check_cannot(result, "an input is not in the row");
    if (matrix_score(p[0], c[0]) != matrix_score(p[1], c[1]))
        return check_cannot(result, "the two are not in one cell");
    return check_number(result, expected_loss(p[1], c[1]) / expected_loss(p[0], c[0]));
}

static const struct {
    const char *topic;
    check_state (*compute)(const check_row *row, check_result *result);
} topics[] = {
    {"score_product", product_row},       {"score_cap", cap_row},
    {"score_scaling", scaling_row},       {"weights", weights_row},
    {"failure_cost_share", share_row},    {"traffic_cost", traffic_row},
    {"matrix_rank_reversal", matrix_row}, {"range_compression", compression_row},
};

enum { TOPICS = sizeof topics / sizeof *topics };

static size_t topic_of(const check_row *row)
{
    size_t i = 0;

    while (i < TOPICS && strcmp(topics[i].topic, check_case(row)) != 0)
        i++;
    return i;
}

static int claims(const check_row *row)
{
    return topic_of(row) < TOPICS;
}

static check_state compute(const check_row *row, check_result *result)
{
    return topics[topic_of(row)].compute(row, result);
}

const check_family check_risk = {"risk", 0, claims, compute};
