/* Scores of all rows. The first class of a factor whose condition holds is taken;
 * a class passed over because its condition is unknown stays in view of the low
 * and the high score. */
#include "base/alloc.h"
#include "consequence/scheme.h"
#include "table/condition_run.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CLASSES_MAX = 250 };

typedef struct scheme_job {
    hn_table *table;
    const hn_plan *plan;
    hn_scheme_parts *parts;
    const char *condition[CLASSES_MAX], *where[CLASSES_MAX];
    const char *number[CLASSES_MAX], *number_where[CLASSES_MAX];
    char where_text[CLASSES_MAX][128];
    int number_of[CLASSES_MAX]; /* class -> its number expression, -1 fixed */
    size_t classes, numbers;
} scheme_job;

static double constant_of(const char *points)
{
    char *end;
    double value = strtod(points, &end);

    while (*end == ' ')
        end++;
    return end != points && *end == '\0' ? value : (double)NAN;
}

static hn_status take_class(scheme_job *job, size_t i, hn_error *err)
{
    const hn_score_class *c = &job->plan->config.scores[i];
    hn_scheme_parts *parts = job->parts;

    snprintf(job->where_text[i], sizeof job->where_text[0], "scoring, factor %.40s, class %.40s",
             c->factor, c->name);
    job->condition[i] = c->condition;
    job->where[i] = job->where_text[i];
    parts->fixed[i] = constant_of(c->points);
    job->number_of[i] = -1;
    if (!isnan(parts->fixed[i]))
        return HN_OK;
    job->number_of[i] = (int)job->numbers;
    job->number[job->numbers] = c->points;
    job->number_where[job->numbers++] = job->where_text[i];
    if (!parts->points[c->factor_index])
        parts->points[c->factor_index] = hn_alloc(job->table->rows, sizeof(double));
    return parts->points[c->factor_index] ? HN_OK : hn_fail(err, HN_ERR_MEMORY, "out of memory");
}

static hn_status gather(scheme_job *job, hn_error *err)
{
    const hn_config *config = &job->plan->config;
    hn_scheme_parts *parts = job->parts;
    hn_status rc = HN_OK;

    job->classes = config->score_class_count;
    parts->factors = config->score_factor_count;
    if (job->classes > CLASSES_MAX)
        return hn_fail(err, HN_ERR_PLAN, "scoring: more than %d classes", CLASSES_MAX);
    parts->fixed = hn_alloc(job->classes, sizeof *parts->fixed);
    HN_TRY_ALLOC(parts->fixed);
    for (size_t i = 0; i < job->classes; i++)
        HN_TRY(take_class(job, i, err));
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
    scheme_job *job = context;
    const hn_score_class *classes = job->plan->config.scores;

    for (size_t i = 0; i < job->classes; i++) {
        uint8_t *class_of = job->parts->class_of[classes[i].factor_index];

        for (size_t row = begin; row < end; row++)
            if (class_of[row] == 255 && truth[i * stride + (row - begin)] == HN_TRUE)
                class_of[row] = (uint8_t)i;
    }
}

static void take_points(void *context, size_t begin, size_t end, const double *values,
                        size_t stride)
{
    scheme_job *job = context;

    for (size_t f = 0; f < job->parts->factors; f++) {
        for (size_t row = begin; job->parts->points[f] && row < end; row++) {
            uint8_t c = job->parts->class_of[f][row];
            double points = (double)NAN;

            if (c != 255)
                points = job->number_of[c] < 0
                             ? job->parts->fixed[c]
                             : values[(size_t)job->number_of[c] * stride + (row - begin)];
            job->parts->points[f][row] = points;
        }
    }
}

typedef struct span {
    double low, high;
} span;

static void widen(span *s, double value)
{
    s->low = fmin(s->low, value);
    s->high = fmax(s->high, value);
}

/* All corners, since points may be negative. */
static span joined(span a, span b, int is_sum)
{
    span s = {a.low + b.low, a.high + b.high};

    if (is_sum)
        return s;
    s.low = s.high = a.low * b.low;
    widen(&s, a.low * b.high);
    widen(&s, a.high * b.low);
    widen(&s, a.high * b.high);
    return s;
}

/* What the factor may have scored: the class taken, and those before it that
 * cannot be told. Points that vary are left out of it. */
static span span_of(const scheme_job *job, size_t factor, size_t row, double taken,
                    const uint8_t *truth, size_t stride)
{
    const hn_config *config = &job->plan->config;
    const uint8_t chosen = job->parts->class_of[factor][row];
    span s = {taken, taken};

    for (size_t i = 0; i < job->classes && i < chosen; i++)
        if ((size_t)config->scores[i].factor_index == factor && truth[i * stride] == HN_UNKNOWN &&
            !isnan(job->parts->fixed[i]))
            widen(&s, hn_factor_score(&config->score_factors[factor], job->parts->fixed[i]));
    return s;
}

static double held(const hn_score_side *side, double score)
{
    return hn_side_score(&(hn_score_side){.least = side->least, .most = side->most}, &score, 1,
                         NULL);
}

/* Score of one side of one row, and the span that unknown classes leave it. */
static double side_of_row(const scheme_job *job, int side, size_t row, const uint8_t *truth,
                          size_t stride, span *range)
{
    const hn_config *config = &job->plan->config;
    const hn_score_side *rule = &job->plan->side[side];
    const int is_sum = rule->combine == HN_COMBINE_SUM;
    double scores[HN_MAX_SCORE_FACTORS];
    size_t count = 0;

    range->low = range->high = is_sum ? 0.0 : 1.0;
    for (size_t f = 0; f < job->parts->factors; f++) {
        if (config->score_factors[f].side != side)
            continue;
        scores[count] =
            hn_factor_score(&config->score_factors[f], hn_scheme_points(job->parts, f, row));
        *range = joined(*range, span_of(job, f, row, scores[count], truth, stride), is_sum);
        count++;
    }
    range->low = held(rule, range->low);
    range->high = held(rule, range->high);
    return hn_side_score(rule, scores, count, NULL);
}

static void score_row(const scheme_job *job, size_t row, const uint8_t *truth, size_t stride)
{
    const hn_scheme scheme = job->plan->risk_scheme;
    const hn_score_side *sides = job->plan->side;
    hn_table *t = job->table;
    double score[HN_SIDES];
    span range[HN_SIDES], total;

    for (int s = 0; s < HN_SIDES; s++)
        score[s] = side_of_row(job, s, row, truth, stride, &range[s]);
    HN_F64(t, SCORE_LIKELIHOOD)[row] = score[HN_LIKELIHOOD];
    HN_F64(t, SCORE_CONSEQUENCE)[row] = score[HN_CONSEQUENCE];
    HN_F64(t, SCORE)[row] = hn_scheme_score(scheme, sides, score);
    if (scheme == HN_SCHEME_MATRIX)
        for (int s = 0; s < HN_SIDES; s++)
            range[s] = (span){hn_score_class_of(&sides[s], range[s].low),
                              hn_score_class_of(&sides[s], range[s].high)};
    total = joined(range[HN_LIKELIHOOD], range[HN_CONSEQUENCE], scheme == HN_SCHEME_ADDITIVE);
    HN_F64(t, SCORE_LOW)
    [row] = isnan(HN_F64(t, SCORE)[row]) ? (double)NAN : hn_round_score(total.low);
    HN_F64(t, SCORE_HIGH)
    [row] = isnan(HN_F64(t, SCORE)[row]) ? (double)NAN : hn_round_score(total.high);
    for (int s = 0; s < HN_SIDES; s++) {
        int32_t *class_of =
            s == HN_LIKELIHOOD ? HN_I32(t, CLASS_LIKELIHOOD) : HN_I32(t, CLASS_CONSEQUENCE);
        if (class_of && !isnan(score[s]))
            class_of[row] = hn_score_class_of(&sides[s], score[s]);
    }
}

static void take_scores(void *context, size_t begin, size_t end, const uint8_t *truth,
                        size_t stride)
{
    for (size_t row = begin; row < end; row++)
        score_row(context, row, truth + (row - begin), stride);
}

static hn_status want_columns(hn_table *table, const hn_plan *plan, hn_error *err)
{
    static const hn_column_id mine[] = {HN_COL_SCORE_LIKELIHOOD, HN_COL_SCORE_CONSEQUENCE,
                                        HN_COL_SCORE, HN_COL_SCORE_LOW, HN_COL_SCORE_HIGH};
    hn_status rc = HN_OK;

    for (size_t i = 0; i < sizeof mine / sizeof mine[0]; i++)
        HN_TRY(hn_table_want(table, mine[i], err));
    if (plan->side[HN_LIKELIHOOD].limits)
        HN_TRY(hn_table_want(table, HN_COL_CLASS_LIKELIHOOD, err));
    if (plan->side[HN_CONSEQUENCE].limits)
        HN_TRY(hn_table_want(table, HN_COL_CLASS_CONSEQUENCE, err));
out:
    return rc;
}

hn_status hn_scheme_run(hn_table *table, const hn_plan *plan, int threads, hn_scheme_parts *parts,
                        hn_error *err)
{
    scheme_job *job;
    hn_status rc = HN_OK;

    memset(parts, 0, sizeof *parts);
    if (plan->risk_scheme == HN_SCHEME_MONEY)
        return HN_OK;
    job = hn_alloc(1, sizeof *job);
    HN_TRY_ALLOC(job);
    job->table = table;
    job->plan = plan;
    job->parts = parts;
    HN_TRY(want_columns(table, plan, err));
    HN_TRY(gather(job, err));
    HN_TRY(hn_condition_run_truth(table, job->condition, job->where, job->classes, threads,
                                  take_classes, job, err));
    HN_TRY(hn_condition_run_number(table, job->number, job->number_where, job->numbers, threads,
                                   take_points, job, err));
    HN_TRY(hn_condition_run_truth(table, job->condition, job->where, job->classes, threads,
                                  take_scores, job, err));
out:
    hn_free(job);
    if (rc != HN_OK)
        hn_scheme_parts_clear(parts);
    return rc;
}

void hn_scheme_parts_clear(hn_scheme_parts *parts)
{
    for (size_t f = 0; f < HN_MAX_SCORE_FACTORS; f++) {
        hn_free(parts->class_of[f]);
        hn_free(parts->points[f]);
    }
    hn_free(parts->fixed);
    memset(parts, 0, sizeof *parts);
}
