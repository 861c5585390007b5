/* bench/choose.c - `choose ITEMS [limits]`: an invented network of ITEMS x 3 methods x 20
 * years; with "limits" also carrying, 40 crew rows and 4 district shares. Prints
 * gap, time and memory. All figures are invented. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#include "base/alloc.h"
#include "optimise/optimise.h"

enum { METHODS = 3, YEARS = 20, CLASSES = 40, DISTRICTS = 4 };

static uint64_t seed = 7;

static double draw(void)
{
    seed = seed * 6364136223846793005u + 1442695040888963407u;
    return (double)(seed >> 11) / 9007199254740992.0;
}

static void *need(size_t count, size_t size)
{
    void *block = hn_alloc(count, size);

    if (!block)
        exit(5);
    return block;
}

static void fill_tables(double *benefit, double *escalation)
{
    for (int k = 0; k < CLASSES; k++)
        for (int m = 0; m < METHODS; m++)
            for (int t = 0; t < YEARS; t++) {
                const double chance = 0.002 * (1 + k), worse = 0.02 + 0.01 * (k % 5);
                double sum = 0;

                for (int y = t; y < 50; y++)
                    sum += pow(0.97, y) * fmax(0, chance * exp(fmin(worse * y, 3)) -
                                                      0.001 * (3 - m) * (1 + 0.02 * (y - t)));
                benefit[(k * METHODS + m) * YEARS + t] = sum;
            }
    for (int a = 0; a < METHODS * YEARS; a++)
        escalation[a] = pow(1.02, a % YEARS);
}

static size_t make_rows(hn_choice_row *rows, hn_row_scope *scopes, double money, double metres,
                        int limits)
{
    size_t n = 0;

    for (int t = 0; t < YEARS; t++) {
        scopes[n] = (hn_row_scope){HN_BASIS_COST, 7, (uint64_t)1 << t, {15}};
        rows[n++] = (hn_choice_row){HN_ROW_AT_MOST, money, limits && t + 1 < YEARS ? t + 1 : -1,
                                    0.1 * money};
    }
    for (int m = 0; limits && m < 2; m++)
        for (int t = 0; t < YEARS; t++) {
            scopes[n] = (hn_row_scope){HN_BASIS_QUANTITY, 1u << m, (uint64_t)1 << t, {15}};
            rows[n++] = (hn_choice_row){HN_ROW_AT_MOST, metres, -1, 0};
        }
    for (int d = 0; limits && d < DISTRICTS; d++) {
        scopes[n] = (hn_row_scope){HN_BASIS_COST, 7, ~(uint64_t)0, {(uint64_t)1 << d}};
        rows[n++] = (hn_choice_row){HN_ROW_AT_LEAST, 0.2 * YEARS * money, -1, 0};
    }
    return n;
}

int main(int argc, char **argv)
{
    const size_t items = argc > 1 ? strtoull(argv[1], NULL, 10) : 100000;
    const int limits = argc > 2 && strcmp(argv[2], "limits") == 0;
    double *weight = need(items, sizeof *weight), *cost = need(items * METHODS, sizeof *cost);
    double *quantity = need(items, sizeof *quantity), benefit[CLASSES * METHODS * YEARS];
    double escalation[METHODS * YEARS], money = 0, metres = 0, used[100], value, excess;
    uint16_t *class_of = need(items, sizeof *class_of);
    uint8_t *group = need(items, 1);
    hn_choice_row rows[100];
    hn_row_scope scopes[100];
    hn_choice_options options = {.threads = 2};
    hn_choice_result result;
    struct timespec a, b;
    struct rusage usage;
    hn_error err = {0};

    fill_tables(benefit, escalation);
    for (size_t i = 0; i < items; i++) {
        quantity[i] = 20 + 80 * draw();
        weight[i] = quantity[i] * exp(6 * draw());
        class_of[i] = (uint16_t)(CLASSES * draw() * draw());
        group[i] = (uint8_t)(DISTRICTS * draw());
        cost[i * METHODS] = quantity[i] * (100 + 200 * draw());
        cost[i * METHODS + 1] = cost[i * METHODS] * (1.2 + 0.5 * draw());
        cost[i * METHODS + 2] = cost[i * METHODS] * (1.8 + draw());
        money += cost[i * METHODS] * 0.3 / YEARS;
        metres += quantity[i] * 0.12 / YEARS;
    }
    const hn_choice_table table = {.items = items,
                                   .methods = METHODS,
                                   .years = YEARS,
                                   .classes = CLASSES,
                                   .groups = DISTRICTS,
                                   .weight = weight,
                                   .cost = cost,
                                   .quantity = quantity,
                                   .class_of = class_of,
                                   .group_of = group,
                                   .benefit = benefit,
                                   .escalation = escalation,
                                   .scopes = scopes};
    const hn_choice_problem problem = {make_rows(rows, scopes, money, metres, limits), rows, NULL,
                                       &table};

    clock_gettime(CLOCK_MONOTONIC, &a);
    if (hn_choice_solve(&problem, &options, &result, &err) != HN_OK) {
        fprintf(stderr, "%s\n", err.message);
        return 1;
    }
    clock_gettime(CLOCK_MONOTONIC, &b);
    getrusage(RUSAGE_SELF, &usage);
    hn_choice_check(&problem, result.choice, &value, used, &excess);
    printf("%zu items, %zu limits: state %d gap %.5f %% time %.2f s memory %ld MB passes %zu "
           "nodes %zu excess %g\n",
           items, problem.row_count, (int)result.state, 100 * result.gap,
           (double)(b.tv_sec - a.tv_sec) + 1e-9 * (double)(b.tv_nsec - a.tv_nsec),
           usage.ru_maxrss / 1024, result.passes, result.nodes, excess);
    hn_choice_result_clear(&result);
    hn_free(weight);
    hn_free(cost);
    hn_free(quantity);
    hn_free(class_of);
    hn_free(group);
    return 0;
}
