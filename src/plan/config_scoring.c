/* plan/config_scoring.c - the factors of a points scheme: classes with points,
 * weights that add up, plain multipliers. */
#include "plan/config_table.h"
#include "plan/config_tables.h"

#include <math.h>
#include <string.h>

static const char *const sides[] = {"likelihood", "consequence", NULL};

static const hn_cell_spec score_cells[] = {
    {"side", HN_CELL_CHOICE, HN_CELL_VALUE, (long)offsetof(hn_score_class, side), 0, 0, sides, 0},
    HN_TEXT_CELL(hn_score_class, factor, HN_CELL_VALUE),
    {"class", HN_CELL_TEXT, HN_CELL_VALUE, (long)offsetof(hn_score_class, name), 0, 0, NULL, 0},
    HN_TEXT_CELL(hn_score_class, condition, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_score_class, points, HN_CELL_VALUE),
    HN_NUMBER_CELL(hn_score_class, weight, HN_CELL_OPTIONAL, 0, 100),
    HN_NUMBER_CELL(hn_score_class, times, HN_CELL_OPTIONAL, -1e6, 1e6),
    HN_TEXT_CELL(hn_score_class, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

static int same_factor(const hn_score_class *a, const hn_score_class *b)
{
    return a->side == b->side && strcmp(a->factor, b->factor) == 0;
}

static hn_status begin_factor(const hn_config_input *in, size_t i, const hn_score_class *row,
                              hn_config *out, hn_error *err)
{
    for (size_t f = 0; f < out->score_factor_count; f++)
        if (strcmp(out->score_factors[f].name, row->factor) == 0)
            return hn_config_fail(in, i, "factor", err,
                                  "the classes of factor \"%s\" do not stand together, on one side",
                                  row->factor);
    if (out->score_factor_count == HN_MAX_SCORE_FACTORS)
        return hn_config_fail(in, i, "factor", err, "at most %d factors are accepted",
                              HN_MAX_SCORE_FACTORS);
    out->score_factors[out->score_factor_count++] = (hn_score_factor){
        row->factor, row->side, row->weight, isnan(row->times) ? 1.0 : row->times};
    return HN_OK;
}

/* Weight and multiplier belong to the factor: later classes repeat them or leave
 * them blank. */
static hn_status check_repeated(const hn_config_input *in, size_t i, const char *column,
                                double here, double first, hn_error *err)
{
    hn_status rc;

    if (isnan(here) || here == first)
        return HN_OK;
    rc = hn_config_fail(in, i, column, err, "%g differs from the first class of the factor", here);
    hn_hint(err, "all classes of a factor share one %s; leave it blank after the first", column);
    return rc;
}

static hn_status check_last(const hn_config_input *in, size_t i, const hn_score_class *row,
                            hn_error *err)
{
    hn_status rc;

    if (strcmp(row->condition, "1") == 0)
        return HN_OK;
    rc = hn_config_fail(in, i, "condition", err,
                        "the last class of factor \"%s\" must have the condition 1", row->factor);
    hn_hint(err, "add a class for values that are not known");
    return rc;
}

static hn_status number_factors(const hn_config_input *in, hn_score_class *rows, hn_config *out,
                                hn_error *err)
{
    size_t first = 0;
    hn_status rc = HN_OK;

    for (size_t i = 0; i < in->count; i++) {
        if (i == 0 || !same_factor(&rows[i], &rows[i - 1])) {
            HN_TRY(begin_factor(in, i, &rows[i], out, err));
            first = i;
        }
        rows[i].factor_index = (int)out->score_factor_count - 1;
        HN_TRY(check_repeated(in, i, "weight", rows[i].weight, rows[first].weight, err));
        HN_TRY(check_repeated(in, i, "times", rows[i].times, rows[first].times, err));
        if (i + 1 == in->count || !same_factor(&rows[i], &rows[i + 1]))
            HN_TRY(check_last(in, i, &rows[i], err));
    }
out:
    return rc;
}

/* Weights of a side are shares of it: they add up to 1, or to 100 when they are
 * per cent. Ones that do not are refused, since scaling them would hide a slip. */
static hn_status settle_weights(const hn_config_input *in, hn_config *out, int side, hn_error *err)
{
    static const double tolerance = 1e-6; /* of decimals added up; local rule */
    double sum = 0.0, whole;
    size_t weighted = 0;
    hn_status rc;

    for (size_t f = 0; f < out->score_factor_count; f++) {
        if (out->score_factors[f].side != side || isnan(out->score_factors[f].weight))
            continue;
        sum += out->score_factors[f].weight;
        weighted++;
    }
    if (weighted == 0)
        return HN_OK;
    whole = fabs(sum - 1.0) <= tolerance ? 1.0 : 100.0;
    if (fabs(sum - whole) > tolerance * whole) {
        rc = hn_fail(err, HN_ERR_PLAN, "%s, column weight: the weights on the side %s add up to %g",
                     in->path, sides[side], sum);
        hn_hint(err, "make them add up to 1, or to 100 in per cent; plain multipliers, which need "
                     "not add up, go into the column times");
        return rc;
    }
    for (size_t f = 0; f < out->score_factor_count; f++)
        if (out->score_factors[f].side == side)
            out->score_factors[f].weight /= whole;
    return HN_OK;
}

hn_status hn_config_scoring(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    /* 250: the class is kept as one byte a row and factor */
    static const hn_table_spec spec = {score_cells, sizeof(hn_score_class), 0, 250};
    static const char *const key[] = {"factor", "class", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;

    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    HN_TRY(number_factors(&in, rows, out, err));
    for (int side = 0; side < HN_SIDES; side++)
        HN_TRY(settle_weights(&in, out, side, err));
    out->scores = rows;
    out->score_class_count = in.count;
out:
    return rc;
}

double hn_round_score(double score)
{
    return round(score * 1e6) / 1e6;
}

double hn_factor_score(const hn_score_factor *factor, double points)
{
    return hn_round_score(points * factor->times * (isnan(factor->weight) ? 1.0 : factor->weight));
}
