/* tests/bench/fit_pass.c - a fit of ageing beside one plain pass over its records.
 *
 * usage: fit_pass RECORDS
 *
 * The pass is one evaluation of the log-likelihood, record by record: a matrix
 * exponential and a logarithm each, nothing counted together and nothing kept. The fit is
 * all that haunch fit does for a cohort: equal records counted, rates, standard errors and
 * profile intervals. Records: half first readings of pipes of a known age, half pairs on
 * one pipe, from a known chain. Prints: seconds of the pass, of the fit, ln L by either.
 */
#include "base/hash.h"
#include "engineering/chain_fit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

typedef struct record {
    uint16_t tenths;  /* of a year */
    uint8_t from, to; /* grades 0 to 4 */
} record;

#define GRID_YEARS 0.1
static const double rates[HN_CHAIN_RATES] = {0.03, 0.04, 0.05, 0.02};

static double years_of(const record *r)
{
    return r->tenths * GRID_YEARS;
}

static double now_s(void)
{
    struct timespec t;

    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double draw(uint64_t number)
{
    return (double)(hn_hash_mix(number) >> 11) * 0x1p-53;
}

/* Times in tenths of a year, as the fit keeps them. */
static record make_record(uint64_t number)
{
    const int is_pair = number % 2 == 1;
    const double span = is_pair ? 1.0 + 15.0 * draw(3 * number) : 1.0 + 129.0 * draw(3 * number);
    record r = {.tenths = (uint16_t)(span / GRID_YEARS),
                .from = is_pair ? (uint8_t)(4.0 * draw(3 * number + 1)) : 0};
    double move[HN_GRADES][HN_GRADES], u = draw(3 * number + 2);

    hn_chain_matrix(rates, years_of(&r), move);
    for (r.to = r.from; r.to + 1 < HN_GRADES && u >= move[r.from][r.to]; r.to++)
        u -= move[r.from][r.to];
    return r;
}

static double plain_pass(const record *list, size_t count, const double *rate)
{
    double move[HN_GRADES][HN_GRADES], sum = 0.0;

    for (size_t i = 0; i < count; i++) {
        hn_chain_matrix(rate, years_of(&list[i]), move);
        sum += log(move[list[i].from][list[i].to]);
    }
    return sum;
}

static int fit(const record *list, size_t count, hn_chain_fit *out)
{
    hn_chain_data data = {.grid_years = GRID_YEARS};
    hn_chain_fit_spec spec = {
        .data = &data, .start = {0.02, 0.02, 0.02, 0.02}, .with_intervals = 1};
    int ok = 1;

    for (size_t i = 0; ok && i < count; i++) {
        const hn_reading reading[2] = {{0.0, HN_GRADE_ONLY(list[i].from + 1)},
                                       {years_of(&list[i]), HN_GRADE_ONLY(list[i].to + 1)}};
        const int is_first = i % 2 == 0;

        ok = hn_chain_data_add(&data, reading + is_first, is_first ? 1 : 2, is_first, 1.0, NULL) ==
             HN_OK;
    }
    ok = ok && hn_chain_data_pack(&data, NULL) == HN_OK &&
         hn_chain_fit_rates(&spec, out, NULL) == HN_OK;
    hn_chain_data_clear(&data);
    return ok;
}

int main(int argc, char **argv)
{
    const long long count = argc == 2 ? atoll(argv[1]) : 0;
    record *list = count > 0 ? calloc((size_t)count, sizeof *list) : NULL;
    double began, pass_s, fit_s, sum;
    hn_chain_fit out;

    if (!list) {
        fputs("usage: fit_pass RECORDS\n", stderr);
        return 2;
    }
    for (long long i = 0; i < count; i++)
        list[i] = make_record((uint64_t)i);
    began = now_s();
    if (!fit(list, (size_t)count, &out) || !out.has_converged) {
        fputs("fit_pass: the fit failed\n", stderr);
        return 1;
    }
    fit_s = now_s() - began;
    began = now_s();
    sum = plain_pass(list, (size_t)count, out.rate_per_year);
    pass_s = now_s() - began;
    printf("%.4f %.4f %.6f %.6f\n", pass_s, fit_s, sum, out.log_likelihood);
    free(list);
    return fabs(sum - out.log_likelihood) < 1e-9 * fabs(sum) ? 0 : 1;
}
