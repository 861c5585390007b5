/* optimise/pass.c - one look at all items: the exact bound L(y), and L with each greatest
 * reduced value softened, with gradient and curvature.
 *
 *     L(y) = sum_i max_a s_ia(y) + sum_r y_r limit_r + sum_arcs carry (y_to - y_from)^+
 *     soft max_i = max + th_i log sum_a exp((s_ia - max) / th_i),  th_i = theta * reference_i
 *
 * Source: weak duality; softening by log-sum-exp is common practice, no source. Items are cut
 * into blocks that do not depend on the number of threads, and summed in order of the blocks.
 */
#include <math.h>
#include <string.h>

#include "base/alloc.h"
#include "base/parallel.h"
#include "optimise/dual.h"

/* Alternatives this many temperatures below the best add less than e^-20: left out. */
static const double REACH = 20.0;

typedef struct pass_job {
    hn_dual *dual;
    double theta;
    size_t stride;
    int curvature;
} pass_job;

enum { EXACT, SMOOTH, ABSOLUTE, SUMS }; /* then gradient, then the upper half of the hessian */

static size_t upper(size_t rows, size_t r, size_t q)
{
    return r * (2 * rows - r - 1) / 2 + q;
}

size_t hn_pass_block_size(size_t rows)
{
    return SUMS + rows + rows * (rows + 1) / 2;
}

/* Few rows: 128 blocks; many: fewer, or their matrices would fill the memory. */
size_t hn_pass_blocks(size_t rows)
{
    return rows <= 128 ? 128 : 16;
}

static double *pair_at(double *hessian, size_t rows, uint32_t r, uint32_t q)
{
    return r <= q ? &hessian[upper(rows, r, q)] : &hessian[upper(rows, q, r)];
}

typedef struct soft_item {
    uint32_t touched[HN_CHOICE_ROWS_MAX];
    size_t count;
    double mean[HN_CHOICE_ROWS_MAX]; /* zero between items */
    double reduced[HN_CHOICE_WIDTH_MAX];
    hn_choice_use uses[HN_CHOICE_ROWS_MAX];
} soft_item;

static void add_use(soft_item *soft, const hn_choice_use *use, double weight)
{
    if (soft->mean[use->row] == 0.0) {
        int known = 0;

        for (size_t k = 0; k < soft->count && !known; k++)
            known = soft->touched[k] == use->row;
        if (!known)
            soft->touched[soft->count++] = use->row;
    }
    soft->mean[use->row] += weight * use->amount;
}

/* Adds p (u u') / th for one alternative to the hessian. */
static void add_square(double *hessian, size_t rows, const hn_choice_use *uses, size_t count,
                       double weight)
{
    for (size_t u = 0; u < count; u++)
        for (size_t v = 0; v < count; v++)
            if (uses[u].row <= uses[v].row)
                hessian[upper(rows, uses[u].row, uses[v].row)] +=
                    weight * uses[u].amount * uses[v].amount;
}

/* The item's mean use goes to the gradient, and - mean mean' / th to the hessian. */
static void flush(soft_item *soft, double *block, size_t rows, double temperature, int square)
{
    double *gradient = block + SUMS, *hessian = gradient + rows;

    for (size_t k = 0; k < soft->count; k++) {
        const uint32_t r = soft->touched[k];

        gradient[r] -= soft->mean[r];
        for (size_t l = k; square && l < soft->count; l++) {
            const uint32_t q = soft->touched[l];

            *pair_at(hessian, rows, r, q) -= soft->mean[r] * soft->mean[q] / temperature;
        }
    }
    for (size_t k = 0; k < soft->count; k++)
        soft->mean[soft->touched[k]] = 0.0;
    soft->count = 0;
}

static void soften(const pass_job *job, soft_item *soft, double *block, size_t item, size_t width,
                   double best, double temperature)
{
    const hn_model *model = job->dual->model;
    double *hessian = block + SUMS + model->rows;
    double sum = model->must[item] ? 0.0 : exp(fmax(-best / temperature, -2 * REACH));
    const double least = best - REACH * temperature;

    for (size_t a = 0; a < width; a++)
        if (soft->reduced[a] > least)
            sum += exp((soft->reduced[a] - best) / temperature);
    block[SMOOTH] += best + temperature * log(sum);
    for (size_t a = 0; a < width; a++) {
        double share;
        size_t count;

        if (!(soft->reduced[a] > least))
            continue;
        share = exp((soft->reduced[a] - best) / temperature) / sum;
        count = hn_model_uses(model, item, a, soft->uses);
        for (size_t u = 0; u < count; u++)
            add_use(soft, &soft->uses[u], share);
        if (job->curvature)
            add_square(hessian, model->rows, soft->uses, count, share / temperature);
    }
    flush(soft, block, model->rows, temperature, job->curvature);
}

/* Greatest of a row of numbers, four at a time; -INFINITY for none. */
static double greatest(const double *values, size_t count)
{
    double top[4] = {-INFINITY, -INFINITY, -INFINITY, -INFINITY};
    size_t a = 0;

    for (; a + 4 <= count; a += 4)
        for (size_t k = 0; k < 4; k++)
            top[k] = values[a + k] > top[k] ? values[a + k] : top[k];
    for (; a < count; a++)
        top[0] = values[a] > top[0] ? values[a] : top[0];
    top[0] = top[1] > top[0] ? top[1] : top[0];
    top[2] = top[3] > top[2] ? top[3] : top[2];
    return top[2] > top[0] ? top[2] : top[0];
}

static void one_item(const pass_job *job, soft_item *soft, double *block, size_t item)
{
    const hn_model *model = job->dual->model;
    const double temperature = job->theta * hn_model_reference(model, item);
    const size_t width = hn_model_reduced(model, &job->dual->prices, item, soft->reduced);
    double best;
    size_t near_best = 0, last = 0;

    if (job->dual->values_off)
        for (size_t a = 0; a < width; a++)
            if (soft->reduced[a] > -INFINITY)
                soft->reduced[a] -= hn_model_value(model, item, a);
    best = greatest(soft->reduced, width);
    if (!model->must[item] && !(best > 0))
        best = 0;
    if (best == -INFINITY)
        return; /* told as a clash of its own */
    block[EXACT] += best;
    block[ABSOLUTE] += fabs(best);
    if (!model->must[item] && best == 0 && temperature <= 0) {
        return;
    }
    for (size_t a = 0; a < width; a++)
        if (soft->reduced[a] > best - REACH * temperature ||
            (temperature <= 0 && soft->reduced[a] == best && near_best == 0)) {
            near_best++;
            last = a;
        }
    if (near_best == 0 ||
        (near_best == 1 && (model->must[item] || temperature <= 0 || best > REACH * temperature))) {
        const size_t count = near_best ? hn_model_uses(model, item, last, soft->uses) : 0;

        block[SMOOTH] += best;
        for (size_t u = 0; u < count; u++)
            block[SUMS + soft->uses[u].row] -= soft->uses[u].amount;
        return;
    }
    soften(job, soft, block, item, width, best, temperature);
}

static void run_block(void *context, size_t begin, size_t end, int worker)
{
    const pass_job *job = context;
    hn_dual *dual = job->dual;
    const size_t items = dual->model->items;
    soft_item soft;

    (void)worker;
    soft.count = 0;
    memset(soft.mean, 0, dual->model->rows * sizeof *soft.mean);
    for (size_t b = begin; b < end; b++) {
        double *block = dual->block + b * dual->block_size;
        const size_t first = b * items / dual->blocks, last = (b + 1) * items / dual->blocks;

        memset(block, 0, dual->block_size * sizeof *block);
        for (size_t i = (first + job->stride - 1) / job->stride * job->stride; i < last;
             i += job->stride)
            one_item(job, &soft, block, i);
    }
}

/* The rows' own part: limits at their prices, and what may be carried on. */
static void add_rows(hn_dual *dual, double theta, double share, double *exact, double *absolute)
{
    const hn_model *model = dual->model;
    const double *row = dual->prices.row;
    double top = 0;

    for (size_t r = 0; r < model->rows; r++)
        top = fmax(top, row[r] * model->size[r]);
    for (size_t r = 0; r < model->rows; r++) {
        const int32_t to = model->carry_to[r];
        const double part = row[r] * model->limit[r] * share;

        *exact += part;
        *absolute += fabs(part);
        dual->pass.smooth += part;
        dual->pass.gradient[r] += model->limit[r] * share;
        if (to >= 0 && model->carry_limit[r] > 0) {
            const double cap = model->carry_limit[r] * share, rise = row[to] - row[r];
            const double tau = fmax(theta * top / model->size[r], 1e-300);
            const double z = rise / tau;
            const double sigma = z > 40 ? 1.0 : z < -40 ? 0.0 : 1.0 / (1.0 + exp(-z));
            const double curve = cap * sigma * (1 - sigma) / tau;

            *exact += cap * fmax(0.0, rise);
            *absolute += cap * fabs(rise);
            dual->pass.smooth += cap * (z > 40 ? rise : z < -40 ? 0.0 : tau * log1p(exp(z)));
            dual->pass.gradient[to] += cap * sigma;
            dual->pass.gradient[r] -= cap * sigma;
            dual->pass.hessian[(size_t)to * model->rows + (size_t)to] += curve;
            dual->pass.hessian[r * model->rows + r] += curve;
            *(r < (size_t)to ? &dual->pass.hessian[r * model->rows + (size_t)to]
                             : &dual->pass.hessian[(size_t)to * model->rows + r]) -= curve;
        }
    }
}

void hn_dual_pass(hn_dual *dual, const double *row, double theta, size_t stride, double share,
                  int curvature)
{
    const size_t rows = dual->model->rows;
    pass_job job = {dual, theta, stride, curvature};
    double exact = 0, absolute = 0;

    hn_row_prices_set(dual->model, &dual->prices, row);
    hn_parallel_blocks(dual->threads, dual->blocks, 1, run_block, &job);
    dual->pass.smooth = 0;
    memset(dual->pass.gradient, 0, rows * sizeof *dual->pass.gradient);
    memset(dual->pass.hessian, 0, rows * rows * sizeof *dual->pass.hessian);
    for (size_t b = 0; b < dual->blocks; b++) {
        const double *block = dual->block + b * dual->block_size;

        exact += block[EXACT];
        absolute += block[ABSOLUTE];
        dual->pass.smooth += block[SMOOTH];
        for (size_t r = 0; r < rows; r++)
            dual->pass.gradient[r] += block[SUMS + r];
        for (size_t r = 0; curvature && r < rows; r++)
            for (size_t q = r; q < rows; q++)
                dual->pass.hessian[r * rows + q] += block[SUMS + rows + upper(rows, r, q)];
    }
    add_rows(dual, theta, share, &exact, &absolute);
    dual->pass.bound = exact + 1e-9 * fabs(exact) + 1e-12 * absolute;
    dual->passes++;
}
