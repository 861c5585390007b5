#include "engineering/chain_likelihood.h"

#include <math.h>
#include <string.h>

typedef double grade_matrix[HN_GRADES][HN_GRADES];

double hn_chain_operational_years(double growth, double from_years, double to_years)
{
    double years = to_years - from_years;

    /* expm1 keeps the digits of a growth near 0 */
    if (growth == 0.0)
        return years;
    return exp(growth * from_years) * expm1(growth * years) / growth;
}

void hn_chain_aged_matrix(const double rate_per_year[HN_GRADES - 1], double growth_per_year,
                          double from_years, double to_years, double out[HN_GRADES][HN_GRADES])
{
    double years = hn_chain_operational_years(growth_per_year, from_years, to_years);
    double most = 0.0;

    for (int k = 0; k < HN_GRADES - 1; k++)
        most = fmax(most, rate_per_year[k]);
    if (years * most > HN_CHAIN_STEPS_MOST)
        years = HN_CHAIN_STEPS_MOST / most * (1.0 - 1e-15);
    hn_chain_matrix(rate_per_year, years, out);
}

/* Both are upper triangular. Written out for the compiler to unroll: this is the
 * inner loop of a fit. */
static void multiply(double a[HN_GRADES][HN_GRADES], double b[HN_GRADES][HN_GRADES],
                     double out[HN_GRADES][HN_GRADES])
{
    for (int i = 0; i < HN_GRADES; i++) {
        for (int j = 0; j < i; j++)
            out[i][j] = 0.0;
        for (int j = i; j < HN_GRADES; j++) {
            double sum = 0.0;

            for (int k = i; k <= j; k++)
                sum += a[i][k] * b[k][j];
            out[i][j] = sum;
        }
    }
}

/* Each table from the one before, by one step of the grid: rounding grows by
 * 1e-16 a step. */
static void fill_grid(const hn_chain_data *d, const hn_chain_model *m, grade_matrix *move)
{
    grade_matrix step;

    hn_chain_matrix(m->rate_per_year, 0.0, move[0]);
    hn_chain_matrix(m->rate_per_year, d->grid_years, step);
    for (size_t i = 1; i < d->spans; i++)
        multiply(move[i - 1], step, move[i]);
}

static void fill_moves(const hn_chain_data *d, const hn_chain_model *m, grade_matrix *move)
{
    if (!d->by_age && d->grid_years > 0.0) {
        fill_grid(d, m, move);
        return;
    }
    for (size_t i = 0; i < d->spans; i++)
        hn_chain_matrix(
            m->rate_per_year,
            hn_chain_operational_years(m->growth_per_year, d->span_from[i], d->span_to[i]),
            move[i]);
}

/* table[grades][g]: chance that true grade g + 1 is read as one of `grades`. */
static void fill_readings(const hn_chain_model *m, double table[32][HN_GRADES])
{
    for (unsigned grades = 0; grades < 32; grades++)
        for (int g = 0; g < HN_GRADES; g++) {
            double sum = 0.0;

            for (int r = 0; r < HN_GRADES; r++)
                if (grades >> r & 1u)
                    sum += m->read ? m->read[g][r] : (double)(r == g);
            table[grades][g] = sum;
        }
}

static void start_of(const hn_chain_cell *cell, double reading[32][HN_GRADES],
                     double alpha[HN_GRADES])
{
    double sum = 0.0;

    memset(alpha, 0, sizeof(double) * HN_GRADES);
    alpha[0] = 1.0;
    if (!cell->given)
        return;
    for (int g = 0; g < HN_GRADES; g++)
        sum += reading[cell->given & 31u][g];
    for (int g = 0; g < HN_GRADES; g++)
        alpha[g] = reading[cell->given & 31u][g] / sum;
}

static double log_chance(const hn_chain_data *d, const hn_chain_cell *cell, grade_matrix *move,
                         double reading[32][HN_GRADES])
{
    double alpha[HN_GRADES], log_sum = 0.0;

    start_of(cell, reading, alpha);
    for (uint32_t k = 0; k < cell->steps; k++) {
        const hn_chain_step *step = &d->step[cell->first + k];
        double sum = 0.0;

        hn_chain_move(alpha, move[step->span], alpha);
        for (int g = 0; g < HN_GRADES; g++)
            sum += alpha[g] *= reading[step->grades & 31u][g];
        if (!(sum > 0.0))
            return (double)-INFINITY;
        for (int g = 0; g < HN_GRADES; g++)
            alpha[g] /= sum;
        log_sum += log(sum);
    }
    return log_sum;
}

/* Most cells are one step from one grade to a set of grades, all read right: a sum of
 * entries of a table. -1: not such a cell. */
static int plain_start(const hn_chain_model *m, const hn_chain_cell *cell)
{
    if (m->read || cell->steps != 1)
        return -1;
    for (int g = 0; g < HN_GRADES; g++)
        if (cell->given == 1u << g || (cell->given == 0 && g == 0))
            return g;
    return -1;
}

static double plain_log_chance(const hn_chain_step *step, const double row[HN_GRADES])
{
    double sum = 0.0;

    for (int g = 0; g < HN_GRADES; g++)
        sum += step->grades >> g & 1u ? row[g] : 0.0;
    return sum > 0.0 ? log(sum) : (double)-INFINITY;
}

double hn_chain_log_likelihood(const hn_chain_data *d, const hn_chain_model *m,
                               double (*move)[HN_GRADES][HN_GRADES])
{
    double reading[32][HN_GRADES], sum = 0.0;

    fill_moves(d, m, move);
    fill_readings(m, reading);
    for (size_t i = 0; i < d->cells; i++) {
        const hn_chain_cell *cell = &d->cell[i];
        const hn_chain_step *first = &d->step[cell->first];
        const int from = plain_start(m, cell);

        sum += cell->weight * (from >= 0 ? plain_log_chance(first, move[first->span][from])
                                         : log_chance(d, cell, move, reading));
    }
    return sum;
}
