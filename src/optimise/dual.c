/* optimise/dual.c - finds good prices: L softened at falling temperatures, each minimised by
 * projected Newton steps. Every look gives a proven bound, so an end too early costs
 * sharpness, never truth.
 *
 * Source: projected Newton after D. P. Bertsekas, SIAM Journal on Control and Optimization 20
 * (1982) 221-246 (from memory); the schedule is a local rule, from trials.
 */
#include "optimise/dual.h"

#include <math.h>
#include <string.h>

#include "base/alloc.h"

enum {
    SMALL_ITEMS = 5000,
    SAMPLE_ABOVE = 40000, /* items: above it the first temperatures look at a sample */
    SAMPLE_ITEMS = 10000,
    STEPS_COLD = 20,
    STEPS_WARM = 4
};

hn_status hn_dual_new(hn_dual *dual, const hn_model *model, int threads, hn_error *err)
{
    const size_t rows = model->rows;
    hn_status rc;

    *dual = (hn_dual){0};
    dual->model = model;
    dual->threads = threads > 1 ? threads : 1;
    dual->best = INFINITY;
    dual->blocks = hn_pass_blocks(rows);
    dual->block_size = hn_pass_block_size(rows);
    HN_TRY(hn_row_prices_new(model, &dual->prices, err));
    HN_TRY_ALLOC(dual->pass.gradient = hn_alloc(rows, sizeof(double)));
    HN_TRY_ALLOC(dual->pass.hessian = hn_alloc(rows * rows, sizeof(double)));
    HN_TRY_ALLOC(dual->block = hn_alloc(dual->blocks * dual->block_size, sizeof(double)));
    HN_TRY_ALLOC(dual->best_row = hn_alloc(rows, sizeof(double)));
    HN_TRY_ALLOC(dual->work = hn_alloc(rows * (2 * rows + 8) + 1, sizeof(double)));
out:
    if (rc != HN_OK)
        hn_dual_clear(dual);
    return rc;
}

void hn_dual_clear(hn_dual *dual)
{
    hn_row_prices_clear(&dual->prices);
    hn_free(dual->pass.gradient);
    hn_free(dual->pass.hessian);
    hn_free(dual->block);
    hn_free(dual->best_row);
    hn_free(dual->work);
    *dual = (hn_dual){0};
}

double hn_dual_floor(const hn_model *model)
{
    double floor_value = 0;

    for (size_t i = 0; i < model->items; i++) {
        double least = model->must[i] ? INFINITY : 0.0;

        if (model->table)
            continue; /* benefits are never negative */
        for (size_t a = 0; a < hn_model_width(model, i); a++)
            if (hn_model_open(model, i, a))
                least = fmin(least, hn_model_value(model, i, a));
        floor_value += isfinite(least) ? least : 0.0;
    }
    return floor_value;
}

/* In place Cholesky of the count x count matrix (lower half); 0 when not positive. */
static int cholesky(double *a, size_t count)
{
    for (size_t j = 0; j < count; j++) {
        double d = a[j * count + j];

        for (size_t k = 0; k < j; k++)
            d -= a[j * count + k] * a[j * count + k];
        if (!(d > 0))
            return 0;
        d = sqrt(d);
        a[j * count + j] = d;
        for (size_t i = j + 1; i < count; i++) {
            double s = a[i * count + j];

            for (size_t k = 0; k < j; k++)
                s -= a[i * count + k] * a[j * count + k];
            a[i * count + j] = s / d;
        }
    }
    return 1;
}

static void solve_lower(const double *a, size_t count, double *x)
{
    for (size_t i = 0; i < count; i++) {
        for (size_t k = 0; k < i; k++)
            x[i] -= a[i * count + k] * x[k];
        x[i] /= a[i * count + i];
    }
    for (size_t i = count; i-- > 0;) {
        for (size_t k = i + 1; k < count; k++)
            x[i] -= a[k * count + i] * x[k];
        x[i] /= a[i * count + i];
    }
}

/* Step of the free rows in units where every limit has size 1. Returns g.d, which is below
 * 0, or 0 when there is none. */
static double newton(hn_dual *dual, const double *row, double *step)
{
    const size_t rows = dual->model->rows;
    const double *size = dual->model->size, *g = dual->pass.gradient;
    double *matrix = dual->work, *d = matrix + rows * rows, slope = 0, trace = 0;
    size_t *free_row = (size_t *)(void *)(d + rows), count = 0;

    for (size_t r = 0; r < rows; r++) {
        const double high = dual->high ? dual->high[r] : INFINITY;

        step[r] = 0;
        if ((row[r] > 0 || g[r] < 0) && (row[r] < high || g[r] > 0))
            free_row[count++] = r;
    }
    for (size_t k = 0; k < count; k++)
        trace += dual->pass.hessian[free_row[k] * rows + free_row[k]] /
                 (size[free_row[k]] * size[free_row[k]]);
    for (double eps = 1e-9 * trace / (double)(count ? count : 1) + 1e-300; count > 0;
         eps = eps * 30) {
        for (size_t k = 0; k < count; k++) {
            for (size_t l = 0; l <= k; l++)
                matrix[k * count + l] = dual->pass.hessian[free_row[l] * rows + free_row[k]] /
                                        (size[free_row[k]] * size[free_row[l]]);
            matrix[k * count + k] += eps + 1e-7 * matrix[k * count + k];
            d[k] = -g[free_row[k]] / size[free_row[k]];
        }
        if (cholesky(matrix, count)) {
            solve_lower(matrix, count, d);
            break;
        }
        if (!(eps < 1e300))
            return 0;
    }
    for (size_t k = 0; k < count; k++) {
        step[free_row[k]] = d[k] / size[free_row[k]];
        slope += g[free_row[k]] * step[free_row[k]];
    }
    return slope < 0 && isfinite(slope) ? slope : 0;
}

/* No price falls or rises by too much at once: far from the old one the curvature is another. */
static void clamp(const hn_dual *dual, const double *row, double *step)
{
    const size_t rows = dual->model->rows;
    double top = 0;

    for (size_t r = 0; r < rows; r++)
        top = fmax(top, row[r] * dual->model->size[r]);
    for (size_t r = 0; r < rows; r++) {
        const double size = dual->model->size[r];
        const double down = 0.7 * fmax(row[r], 0.05 * top / size);
        const double up = 2.0 * fmax(row[r], 0.3 * top / size);

        step[r] = fmax(-down, fmin(up, step[r]));
    }
}

static void keep_best(hn_dual *dual, const double *row)
{
    if (dual->pass.bound < dual->best) {
        dual->best = dual->pass.bound;
        memcpy(dual->best_row, row, dual->model->rows * sizeof *row);
    }
}

typedef struct schedule {
    size_t stride;
    double share;
    int steps;
    double tolerance;
} schedule;

static double moved(const hn_dual *dual, const double *row, const double *step, double alpha,
                    double *to)
{
    double slope = 0;

    for (size_t r = 0; r < dual->model->rows; r++) {
        const double high = dual->high ? dual->high[r] : INFINITY;

        to[r] = fmin(high, fmax(0.0, row[r] + alpha * step[r]));
        slope += dual->pass.gradient[r] * (to[r] - row[r]);
    }
    return slope;
}

static void look(hn_dual *dual, const double *row, double theta, const schedule *plan)
{
    hn_dual_pass(dual, row, theta, plan->stride, plan->share, 1);
    if (plan->stride == 1)
        keep_best(dual, row);
}

/* Minimises L softened at one temperature, from the prices in `row`. */
static void settle(hn_dual *dual, double *row, double theta, const schedule *plan)
{
    const size_t rows = dual->model->rows;
    double *step = dual->work + rows * (rows + 2) + 1, *next = step + rows, *saved = next + rows;

    look(dual, row, theta, plan);
    for (int k = 0; k < plan->steps; k++) {
        const double value = dual->pass.smooth, slope = newton(dual, row, step);
        double alpha = 1;
        int taken = 0;

        if (!(-slope > plan->tolerance * fabs(value)))
            return;
        clamp(dual, row, step);
        memcpy(saved, dual->pass.gradient, rows * sizeof *saved);
        for (int trial = 0; trial < 12 && !taken; trial++, alpha *= 0.4) {
            double gain;

            memcpy(dual->pass.gradient, saved, rows * sizeof *saved);
            gain = moved(dual, row, step, alpha, next);
            look(dual, next, theta, plan);
            taken = dual->pass.smooth <= value + 1e-4 * gain;
        }
        if (!taken)
            return;
        memcpy(row, next, rows * sizeof *row);
        if (dual->progress && plan->stride == 1 &&
            dual->progress(dual->context, NAN, dual->best) != 0) {
            dual->stop = 1;
            return;
        }
    }
}

/* Prices to begin with: what the items' best alternatives are worth per use of each row. */
static void first_prices(hn_dual *dual, double *row)
{
    const hn_model *model = dual->model;
    const size_t stride = model->items > SAMPLE_ABOVE ? model->items / SAMPLE_ITEMS : 1;
    double *used = dual->work, total = 0;
    hn_choice_use uses[HN_CHOICE_ROWS_MAX];
    double reduced[HN_CHOICE_WIDTH_MAX];

    memset(used, 0, model->rows * sizeof *used);
    memset(row, 0, model->rows * sizeof *row);
    hn_row_prices_set(model, &dual->prices, row);
    for (size_t i = 0; i < model->items; i += stride) {
        const size_t width = hn_model_reduced(model, &dual->prices, i, reduced);
        size_t best = width;

        for (size_t a = 0; a < width; a++)
            if (reduced[a] > (best < width ? reduced[best] : -INFINITY))
                best = a;
        if (best == width)
            continue;
        total += fmax(0.0, reduced[best]);
        for (size_t u = 0, n = hn_model_uses(model, i, best, uses); u < n; u++)
            used[uses[u].row] += fmax(0.0, uses[u].amount);
    }
    for (size_t r = 0; r < model->rows; r++) {
        if (!(used[r] > 0) || !(model->sign[r] > 0))
            continue;
        row[r] = used[r] * (double)stride > model->limit[r] ? total / used[r] : 0.0;
        if (!model->table)
            row[r] /= (double)model->rows;
    }
    for (size_t n = 0; n < model->rows; n++) { /* later years of a chain or a scope */
        const uint32_t r = model->order[n];
        const int cost = model->table && model->table->scopes[r].basis == HN_BASIS_COST;

        if (row[r] == 0 && cost && model->sign[r] > 0 && n > 0)
            row[r] = 0.97 * row[model->order[n - 1]];
    }
    for (size_t r = 0; dual->high && r < model->rows; r++)
        row[r] = fmin(row[r], dual->high[r]);
}

static double sample_share(const hn_model *model, size_t stride)
{
    double all = 0, part = 0;

    for (size_t i = 0; i < model->items; i++) {
        const double reference = hn_model_reference(model, i);

        all += reference;
        part += i % stride == 0 ? reference : 0.0;
    }
    return all > 0 ? part / all : 1.0;
}

void hn_dual_solve(hn_dual *dual)
{
    const size_t n = dual->model->items, rows = dual->model->rows;
    const double coldest = n <= SMALL_ITEMS ? 1e-6 : n <= 50000 ? 3e-5 : 1e-4;
    schedule plan = {1, 1.0, STEPS_COLD, n <= SAMPLE_ABOVE ? 1e-10 : 1e-7};
    double *row = dual->work + rows * (2 * rows + 7), theta = 0.1, before;

    first_prices(dual, row);
    if (n > SAMPLE_ABOVE) {
        plan.stride = n / SAMPLE_ITEMS;
        plan.share = sample_share(dual->model, plan.stride);
        for (; theta > 0.003; theta *= 0.3)
            settle(dual, row, theta, &plan);
        plan = (schedule){1, 1.0, STEPS_WARM, 1e-7};
    }
    do {
        before = dual->best;
        settle(dual, row, theta, &plan);
        theta *= 0.3;
    } while (theta > coldest && !dual->stop &&
             !(n > SMALL_ITEMS && theta < 1e-3 && before - dual->best < 1e-7 * fabs(dual->best)));
}
