#include "engineering/progressive_chain.h"

#include "engineering/range.h"

#include <math.h>
#include <string.h>

enum { TAYLOR_TERMS = 14 };

typedef double grade_matrix[HN_GRADES][HN_GRADES];

/* Both factors are upper triangular, so is the product. */
static void multiply(grade_matrix a, grade_matrix b, grade_matrix out)
{
    grade_matrix product = {{0}};

    for (int i = 0; i < HN_GRADES; i++)
        for (int k = i; k < HN_GRADES; k++)
            for (int j = k; j < HN_GRADES; j++)
                product[i][j] += a[i][k] * b[k][j];
    memcpy(out, product, sizeof product);
}

static void fill_nan(grade_matrix out)
{
    for (int i = 0; i < HN_GRADES; i++)
        for (int j = 0; j < HN_GRADES; j++)
            out[i][j] = (double)NAN;
}

/* exp(A) = 1 + A (1 + A/2 (1 + A/3 (...))), for a small A with two diagonals, so that
 * each product has two terms. */
static void taylor(const double step[HN_GRADES], grade_matrix out)
{
    grade_matrix sum = {{0}};

    for (int i = 0; i < HN_GRADES; i++)
        sum[i][i] = 1.0;
    for (int n = TAYLOR_TERMS; n >= 1; n--)
        for (int i = 0; i < HN_GRADES; i++) {
            /* row i needs the old row below it, which is still there */
            for (int j = i; j < HN_GRADES; j++)
                sum[i][j] =
                    (-step[i] * sum[i][j] + (i + 1 < HN_GRADES ? step[i] * sum[i + 1][j] : 0.0)) /
                    n;
            sum[i][i] += 1.0;
        }
    memcpy(out, sum, sizeof sum);
}

void hn_chain_matrix(const double rate_per_year[HN_GRADES - 1], double years,
                     double out[HN_GRADES][HN_GRADES])
{
    double scaled[HN_GRADES] = {0}, largest = 0.0;
    int squarings = 0;

    for (int k = 0; k < HN_GRADES - 1; k++) {
        double step = rate_per_year[k] * years;

        if (!(step >= 0.0 && step <= HN_CHAIN_STEPS_MOST) || !hn_is_not_negative(years)) {
            fill_nan(out);
            return;
        }
        largest = fmax(largest, step);
    }
    while (ldexp(largest, -squarings) > 0.25 && squarings < 60)
        squarings++;
    for (int k = 0; k < HN_GRADES - 1; k++)
        scaled[k] = ldexp(rate_per_year[k] * years, -squarings);
    taylor(scaled, out);
    for (; squarings > 0; squarings--)
        multiply(out, out, out);
}

void hn_chain_move(const double from[HN_GRADES], double matrix[HN_GRADES][HN_GRADES],
                   double out[HN_GRADES])
{
    double moved[HN_GRADES] = {0};

    for (int i = 0; i < HN_GRADES; i++)
        for (int j = i; j < HN_GRADES; j++)
            moved[j] += from[i] * matrix[i][j];
    memcpy(out, moved, sizeof moved);
}

void hn_chain_start(double grade_1_5, double out[HN_GRADES])
{
    int below;
    double part;

    for (int g = 0; g < HN_GRADES; g++)
        out[g] = grade_1_5 >= 1.0 && grade_1_5 <= HN_GRADES ? 0.0 : (double)NAN;
    if (isnan(out[0]))
        return;
    below = (int)floor(grade_1_5);
    part = grade_1_5 - below;
    out[below - 1] = 1.0 - part;
    if (part > 0.0)
        out[below] = part;
}

double hn_chain_mean_grade(const double share[HN_GRADES])
{
    double sum = 0.0;

    for (int g = 0; g < HN_GRADES; g++)
        sum += (g + 1) * share[g];
    return sum;
}

double hn_chain_mean_stay_steps(double matrix[HN_GRADES][HN_GRADES], int grade)
{
    double stay;

    if (grade < 1 || grade > HN_GRADES)
        return (double)NAN;
    stay = matrix[grade - 1][grade - 1];
    return stay < 1.0 ? 1.0 / (1.0 - stay) : (double)INFINITY;
}

double hn_chain_mean_steps_to_worst(double matrix[HN_GRADES][HN_GRADES], int from_grade)
{
    double mean[HN_GRADES] = {0};

    if (from_grade < 1 || from_grade > HN_GRADES)
        return (double)NAN;
    for (int g = HN_GRADES - 2; g >= from_grade - 1; g--) {
        double later = 0.0;

        for (int h = g + 1; h < HN_GRADES; h++)
            later += matrix[g][h] > 0.0 ? matrix[g][h] * mean[h] : 0.0;
        mean[g] = (1.0 + later) * hn_chain_mean_stay_steps(matrix, g + 1);
    }
    return mean[from_grade - 1];
}
