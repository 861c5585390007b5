#include "engineering/chain_likelihood.h"

#include <math.h>
#include <string.h>

typedef double grade_matrix[HN_GRADES][HN_GRADES];

enum { FINE_STEPS = 64, FINE = 128, COARSE = 256, SERIES = 8 };
static const double one_over[SERIES + 1] = {0,       1,       1.0 / 2, 1.0 / 3, 1.0 / 4,
                                            1.0 / 5, 1.0 / 6, 1.0 / 7, 1.0 / 8};

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

/* Row i of a product of upper triangular factors. Written out for the compiler to
 * unroll: this is the inner loop of a fit. */
static inline void multiply_row(int i, const double *a, double b[HN_GRADES][HN_GRADES], double *out)
{
    for (int j = 0; j < i; j++)
        out[j] = 0.0;
    for (int j = i; j < HN_GRADES; j++) {
        double sum = 0.0;

        for (int k = i; k <= j; k++)
            sum += a[k] * b[k][j];
        out[j] = sum;
    }
}

/* Each table from the one before, by one step of the grid: rounding grows by
 * 1e-16 a step. Only the rows that a cell asks for. */
static void fill_grid(const hn_chain_data *d, const hn_chain_model *m, grade_matrix *move)
{
    grade_matrix step;

    hn_chain_matrix(m->rate_per_year, 0.0, move[0]);
    hn_chain_matrix(m->rate_per_year, d->grid_years, step);
#define FILL_ROW(i)                                                     \
    for (size_t n = 1; n < (m->read ? d->spans : d->row_spans[i]); n++) \
    multiply_row(i, move[n - 1][i], step, move[n][i])
    /* the number of the row is a constant for the compiler */
    FILL_ROW(0);
    FILL_ROW(1);
    FILL_ROW(2);
    FILL_ROW(3);
    FILL_ROW(4);
#undef FILL_ROW
}

/* exp(Q u) for many u and one Q, whose greatest rate is 1: three factors, of which two
 * come from tables and the last is a short series. */
typedef struct chance_tables {
    double rate[HN_GRADES]; /* of Q; the last is 0 */
    grade_matrix fine[FINE], coarse[COARSE];
} chance_tables;

static void next_table(grade_matrix a, grade_matrix b, grade_matrix out)
{
    for (int i = 0; i < HN_GRADES; i++)
        multiply_row(i, a[i], b, out[i]);
}

static void make_tables(const hn_chain_model *m, double greatest, chance_tables *t)
{
    grade_matrix step;

    t->rate[HN_GRADES - 1] = 0.0;
    for (int k = 0; k < HN_GRADES - 1; k++)
        t->rate[k] = m->rate_per_year[k] / greatest;
    hn_chain_matrix(t->rate, 0.0, t->fine[0]);
    memcpy(t->coarse[0], t->fine[0], sizeof t->fine[0]);
    hn_chain_matrix(t->rate, 1.0 / FINE_STEPS, step);
    for (int k = 1; k < FINE; k++)
        next_table(t->fine[k - 1], step, t->fine[k]);
    hn_chain_matrix(t->rate, (double)FINE / FINE_STEPS, step);
    for (int k = 1; k < COARSE; k++)
        next_table(t->coarse[k - 1], step, t->coarse[k]);
}

/* row x exp(Q r), 0 <= r < 1/64: eight terms leave less than 1e-17. */
static void finish_row(const chance_tables *t, double r, const double *row, double *out)
{
    double sum[HN_GRADES];

    memcpy(sum, row, sizeof sum);
    for (int n = SERIES; n >= 1; n--) {
        const double part = r * one_over[n];

        for (int j = HN_GRADES - 1; j > 0; j--)
            sum[j] = row[j] + part * (t->rate[j - 1] * sum[j - 1] - t->rate[j] * sum[j]);
        sum[0] = row[0] - part * t->rate[0] * sum[0];
    }
    memcpy(out, sum, sizeof sum);
}

static void fill_rows(chance_tables *t, double u, unsigned rows, grade_matrix out)
{
    const int steps = (int)(u * FINE_STEPS);
    const double rest = u - (double)steps / FINE_STEPS;

    for (int i = 0; i < HN_GRADES; i++) {
        double row[HN_GRADES];

        if (!(rows >> i & 1u))
            continue;
        hn_chain_move(t->coarse[steps / FINE][i], t->fine[steps % FINE], row);
        finish_row(t, rest, row, out[i]);
    }
}

/* Times off a grid, as operational years are. */
static void fill_spans(const hn_chain_data *d, const hn_chain_model *m, grade_matrix *move)
{
    const double *rate = m->rate_per_year;
    const double greatest = fmax(fmax(rate[0], rate[1]), fmax(rate[2], rate[3]));
    chance_tables t;

    if (greatest > 0.0)
        make_tables(m, greatest, &t);
    for (size_t i = 0; i < d->spans; i++) {
        const double years =
            hn_chain_operational_years(m->growth_per_year, d->span_from[i], d->span_to[i]);
        const double u = years * greatest;

        if (greatest > 0.0 && u >= 0.0 && u < (double)FINE * COARSE / FINE_STEPS)
            fill_rows(&t, u, m->read ? 31u : d->span_rows[i], move[i]);
        else
            hn_chain_matrix(rate, years, move[i]);
    }
}

static void fill_moves(const hn_chain_data *d, const hn_chain_model *m, grade_matrix *move)
{
    if (!d->by_age && d->grid_years > 0.0)
        fill_grid(d, m, move);
    else
        fill_spans(d, m, move);
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

/* Of a plain cell, all being read right: a sum of entries of a table. */
static double plain_log_chance(const hn_chain_cell *cell, const double *row)
{
    double sum = row[cell->low - 1];

    for (int g = cell->low; g < cell->high; g++)
        sum += row[g];
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

        sum += cell->weight * (cell->high && !m->read
                                   ? plain_log_chance(cell, move[cell->span][cell->from])
                                   : log_chance(d, cell, move, reading));
    }
    return sum;
}
