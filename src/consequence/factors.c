/* Factors, classes, points and money. The first class of a factor whose
 * condition holds is taken. A class whose condition is unknown is passed over,
 * but the low and high totals keep it in view. */
#include "base/alloc.h"
#include "base/parallel.h"
#include "consequence/consequence.h"
#include "table/condition_run.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CLASSES_MAX = 250 };

typedef struct factor_job {
    hn_table *table;
    const hn_plan *plan;
    hn_consequence_parts *parts;
    double *fixed;                           /* per class: constant money or NaN */
    const char *expression[2 * CLASSES_MAX]; /* conditions, then the money that varies */
    const char *where[2 * CLASSES_MAX];
    char where_text[CLASSES_MAX][128];
    size_t classes, numbers;
    int number_of[CLASSES_MAX]; /* class -> its number expression, -1 fixed */
} factor_job;

/* A part is worth whole units of money: cents would feign a sharpness that no
 * such estimate has, and whole numbers stay exact in 32 bits up to 16 million;
 * dearer parts are kept to seven digits. */
static double to_whole(double money)
{
    return (double)(float)round(money);
}

static double to_cents(double money)
{
    return round(money * 100.0) / 100.0;
}

/* A plain number is worth the same for every row: no column is kept for it. */
static double constant_of(const char *money)
{
    char *end;
    double value = strtod(money, &end);

    while (*end == ' ')
        end++;
    return end != money && *end == '\0' ? to_whole(value) : (double)NAN;
}

static hn_status gather(factor_job *job, hn_error *err)
{
    const hn_config *config = &job->plan->config;
    hn_consequence_parts *parts = job->parts;
    hn_status rc = HN_OK;

    job->classes = config->factor_class_count;
    parts->factors = config->factor_count;
    if (job->classes > CLASSES_MAX || parts->factors > HN_PARTS_MAX)
        return hn_fail(err, HN_ERR_PLAN, "consequence: more than %d classes or %d factors",
                       CLASSES_MAX, HN_PARTS_MAX);
    job->fixed = hn_alloc(job->classes, sizeof *job->fixed);
    HN_TRY_ALLOC(job->fixed);
    parts->fixed_money = job->fixed;
    parts->negative = hn_alloc(job->classes, sizeof *parts->negative);
    HN_TRY_ALLOC(parts->negative);
    for (size_t i = 0; i < job->classes; i++) {
        const hn_factor_class *c = &config->factors[i];

        snprintf(job->where_text[i], sizeof job->where_text[0],
                 "consequence, factor %.40s, class %.40s", c->factor, c->name);
        job->expression[i] = c->condition;
        job->where[i] = job->where_text[i];
        job->fixed[i] = constant_of(c->money);
        job->number_of[i] = -1;
        if (isnan(job->fixed[i])) {
            job->number_of[i] = (int)job->numbers;
            job->expression[CLASSES_MAX + job->numbers] = c->money;
            job->where[CLASSES_MAX + job->numbers++] = job->where_text[i];
            if (!parts->money[c->factor_index])
                parts->money[c->factor_index] = hn_alloc(job->table->rows, sizeof(float));
            HN_TRY_ALLOC(parts->money[c->factor_index]);
        }
    }
    for (size_t f = 0; f < parts->factors; f++) {
        parts->class_of[f] = hn_alloc(job->table->rows, 1);
        HN_TRY_ALLOC(parts->class_of[f]);
        memset(parts->class_of[f], 255, job->table->rows);
    }
out:
    return rc;
}

static void take_classes(void *context, size_t begin, size_t end, const uint8_t *truth,
                         size_t stride)
{
    factor_job *job = context;
    const hn_factor_class *classes = job->plan->config.factors;

    for (size_t i = 0; i < job->classes; i++) {
        uint8_t *class_of = job->parts->class_of[classes[i].factor_index];

        for (size_t row = begin; row < end; row++)
            if (class_of[row] == 255 && truth[i * stride + (row - begin)] == HN_TRUE)
                class_of[row] = (uint8_t)i;
    }
}

/* Low and high look at fixed money only: a class that may hold but is unknown
 * could have cost this much. */
static void take_range(void *context, size_t begin, size_t end, const uint8_t *truth, size_t stride)
{
    factor_job *job = context;
    const hn_factor_class *classes = job->plan->config.factors;

    for (size_t row = begin; row < end; row++) {
        double low = 0.0, high = 0.0;

        for (size_t i = 0; i < job->classes;) {
            size_t factor = (size_t)classes[i].factor_index;
            double chosen, least, most;

            chosen = hn_part_money(job->parts, factor, row);
            chosen = isnan(chosen) ? 0.0 : chosen * classes[i].share[HN_STRUCTURAL];
            least = most = chosen;
            for (; i < job->classes && (size_t)classes[i].factor_index == factor; i++) {
                double money = job->fixed[i] * classes[i].share[HN_STRUCTURAL];

                if (truth[i * stride + (row - begin)] != HN_UNKNOWN || isnan(money))
                    continue;
                least = fmin(least, money);
                most = fmax(most, money);
            }
            low += least;
            high += most;
        }
        HN_F32(job->table, CONSEQUENCE_LOW)[row] = (float)low;
        HN_F32(job->table, CONSEQUENCE_HIGH)[row] = (float)high;
    }
}

/* A failure that pays comes of bad data, such as a depth below 0: not known. */
static double varying_money(factor_job *job, uint8_t c, double money)
{
    if (!(money < 0.0))
        return to_whole(money);
    __atomic_fetch_add(&job->parts->negative[c], 1, __ATOMIC_RELAXED);
    return (double)NAN;
}

static void take_money(void *context, size_t begin, size_t end, const double *values, size_t stride)
{
    factor_job *job = context;
    const hn_factor_class *classes = job->plan->config.factors;

    for (size_t f = 0; f < job->parts->factors; f++) {
        for (size_t row = begin; job->parts->money[f] && row < end; row++) {
            uint8_t c = job->parts->class_of[f][row];
            double money = (double)NAN;

            if (c != 255)
                money =
                    job->number_of[c] < 0
                        ? job->fixed[c]
                        : varying_money(job, c,
                                        values[(size_t)job->number_of[c] * stride + (row - begin)]);
            job->parts->money[f][row] = (float)money;
        }
    }
    (void)classes;
}

static void add_up(void *context, size_t begin, size_t end, int worker)
{
    const factor_job *job = context;
    hn_table *t = job->table;
    const hn_factor_class *classes = job->plan->config.factors;
    double *total[HN_DRIVERS] = {HN_F64(t, CONSEQUENCE_MONEY), HN_F64(t, CONSEQUENCE_SERVICE),
                                 HN_F64(t, CONSEQUENCE_TIGHTNESS)};

    (void)worker;
    for (size_t row = begin; row < end; row++) {
        double sum[HN_DRIVERS] = {0}, points = 0.0;

        for (size_t f = 0; f < job->parts->factors; f++) {
            uint8_t c = job->parts->class_of[f][row];
            double money = hn_part_money(job->parts, f, row);

            if (c == 255)
                continue;
            points += classes[c].points;
            for (int d = 0; d < HN_DRIVERS && !isnan(money); d++)
                sum[d] += to_cents(money * classes[c].share[d]);
        }
        HN_F32(t, CONSEQUENCE_POINTS)[row] = (float)points;
        for (int d = 0; d < HN_DRIVERS; d++)
            total[d][row] = to_cents(sum[d]);
    }
}

hn_status hn_consequence(hn_table *table, const hn_plan *plan, int threads,
                         hn_consequence_parts *parts, hn_error *err)
{
    static const hn_column_id mine[] = {HN_COL_CONSEQUENCE_POINTS,  HN_COL_CONSEQUENCE_MONEY,
                                        HN_COL_CONSEQUENCE_SERVICE, HN_COL_CONSEQUENCE_TIGHTNESS,
                                        HN_COL_CONSEQUENCE_LOW,     HN_COL_CONSEQUENCE_HIGH};
    factor_job *job = hn_alloc(1, sizeof *job);
    hn_status rc = HN_OK;

    memset(parts, 0, sizeof *parts);
    HN_TRY_ALLOC(job);
    job->table = table;
    job->plan = plan;
    job->parts = parts;
    for (size_t i = 0; i < sizeof mine / sizeof mine[0]; i++)
        HN_TRY(hn_table_want(table, mine[i], err));
    HN_TRY(gather(job, err));
    HN_TRY(hn_condition_run_truth(table, job->expression, job->where, job->classes, threads,
                                  take_classes, job, err));
    HN_TRY(hn_condition_run_number(table, job->expression + CLASSES_MAX, job->where + CLASSES_MAX,
                                   job->numbers, threads, take_money, job, err));
    HN_TRY(hn_condition_run_truth(table, job->expression, job->where, job->classes, threads,
                                  take_range, job, err));
    hn_parallel(threads, table->rows, add_up, job);
out:
    hn_free(job);
    if (rc != HN_OK)
        hn_consequence_parts_clear(parts);
    return rc;
}

void hn_consequence_parts_clear(hn_consequence_parts *parts)
{
    for (size_t f = 0; f < HN_PARTS_MAX; f++) {
        hn_free(parts->class_of[f]);
        hn_free(parts->money[f]);
    }
    hn_free((void *)(uintptr_t)parts->fixed_money);
    hn_free(parts->negative);
    memset(parts, 0, sizeof *parts);
}
