/* chainfit - likelihood and fit of readings in a text file, for tests that hold
 * them against other programs.
 *
 *   chainfit at|fit|pairs FILE aged|given MATRIX|- RATE RATE RATE RATE
 *
 * FILE: lines "pipe age lowest highest weight", the lines of a pipe together and in
 * order of age. aged: grade 1 at age 0; given: the first reading is taken as given.
 * MATRIX: 25 numbers, row = true grade. at: -2 ln L at the rates; fit: from the rates,
 * estimates with standard error and interval; pairs: how many go from which grade to
 * which. */
#include "engineering/chain_fit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST = 200 };

static int fail(const char *what)
{
    fprintf(stderr, "chainfit: %s\n", what);
    return 2;
}

static int read_matrix(const char *path, double out[HN_GRADES][HN_GRADES])
{
    FILE *f = fopen(path, "r");
    int n = 0;

    while (f && n < HN_GRADES * HN_GRADES &&
           fscanf(f, "%lf", &out[n / HN_GRADES][n % HN_GRADES]) == 1)
        n++;
    if (f)
        fclose(f);
    return n == HN_GRADES * HN_GRADES;
}

static uint8_t set_of(int lowest, int highest)
{
    return (uint8_t)(HN_GRADE_AT_LEAST(lowest) & HN_GRADE_AT_MOST(highest));
}

static int read_data(const char *path, int aged, hn_chain_data *data)
{
    FILE *f = fopen(path, "r");
    hn_reading reading[MOST];
    size_t count = 0;
    long pipe, last = 0;
    int lowest, highest, ok = f != NULL;
    double age, weight, last_weight = 0;

    while (ok && fscanf(f, "%ld %lf %d %d %lf", &pipe, &age, &lowest, &highest, &weight) == 5) {
        if (count && (pipe != last || count == MOST)) {
            ok = hn_chain_data_add(data, reading, count, aged, last_weight, NULL) == HN_OK;
            count = 0;
        }
        reading[count++] = (hn_reading){age, set_of(lowest, highest)};
        last = pipe;
        last_weight = weight;
    }
    if (ok && count)
        ok = hn_chain_data_add(data, reading, count, aged, last_weight, NULL) == HN_OK;
    if (f)
        fclose(f);
    return ok && hn_chain_data_pack(data, NULL) == HN_OK;
}

static void print_pairs(const hn_chain_data *data)
{
    double count[32][32] = {{0}};

    for (size_t i = 0; i < data->cells; i++)
        count[data->cell[i].given][data->step[data->cell[i].first].grades] += data->cell[i].weight;
    for (int a = 1; a <= HN_GRADES; a++)
        for (int b = 1; b <= HN_GRADES; b++)
            printf("%d %d %.0f\n", a, b, count[HN_GRADE_ONLY(a)][HN_GRADE_ONLY(b)]);
}

static int print_at(const hn_chain_data *data, const hn_chain_fit_spec *spec)
{
    double(*move)[HN_GRADES][HN_GRADES] = calloc(data->spans, sizeof *move);
    hn_chain_model model = {.read = spec->read};

    if (!move)
        return fail("out of memory");
    memcpy(model.rate_per_year, spec->start, sizeof model.rate_per_year);
    printf("minus2lnl %.10f\n", -2 * hn_chain_log_likelihood(data, &model, move));
    free(move);
    return 0;
}

static int print_fit(const hn_chain_fit_spec *spec)
{
    hn_chain_fit fit;
    hn_error err = {0};

    if (hn_chain_fit_rates(spec, &fit, &err) != HN_OK)
        return fail(err.message);
    printf("minus2lnl %.10f\n", -2 * fit.log_likelihood);
    for (int k = 0; k < HN_CHAIN_RATES; k++)
        printf("rate %d %.9g %.9g %.9g %.9g\n", k + 1, fit.rate_per_year[k], fit.se_log_rate[k],
               fit.low[k], fit.high[k]);
    return 0;
}

int main(int argc, char **argv)
{
    static double read[HN_GRADES][HN_GRADES];
    hn_chain_data data = {0};
    hn_chain_fit_spec spec = {.data = &data, .with_intervals = 1};
    int code = 0;

    if (argc != 9)
        return fail("wrong arguments");
    if (strcmp(argv[4], "-") != 0) {
        if (!read_matrix(argv[4], read))
            return fail("no matrix");
        spec.read = (const double(*)[HN_GRADES])read;
        data.whole = 1;
    }
    for (int k = 0; k < HN_CHAIN_RATES; k++)
        spec.start[k] = strtod(argv[5 + k], NULL);
    if (!read_data(argv[2], strcmp(argv[3], "aged") == 0, &data))
        return fail("no data");
    if (strcmp(argv[1], "pairs") == 0)
        print_pairs(&data);
    else
        code = strcmp(argv[1], "at") == 0 ? print_at(&data, &spec) : print_fit(&spec);
    hn_chain_data_clear(&data);
    return code;
}
