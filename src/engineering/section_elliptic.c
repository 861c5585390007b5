/* engineering/section_elliptic.c - elliptic integrals of the second kind, as
 * far as sections need them. */
#include "engineering/section_elliptic.h"

#include "engineering/range.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

double hn_ellipse_perimeter(double a, double b)
{
    if (!hn_is_positive(a) || !hn_is_positive(b))
        return NAN; /* fmax would lose it */
    double mean = fmax(a, b), geometric = fmin(a, b);
    double weight = 0.5, sum = mean * mean;
    double c2 = (mean - geometric) * (mean + geometric);

    /* Convergence is quadratic; 8 rounds cover axes of 1e6 to 1. */
    for (int round = 0; round < 12 && c2 > 0.0; round++) {
        sum -= weight * c2;
        weight *= 2.0;
        const double half = 0.5 * (mean - geometric);
        const double next = 0.5 * (mean + geometric);
        geometric = sqrt(mean * geometric);
        mean = next;
        c2 = half * half;
        if (half < 1e-17 * mean)
            break;
    }
    return 2.0 * pi * sum / mean;
}

/* Symmetric integrals RF(x, y, z) and RD(x, y, z) by duplication until the
 * arguments agree, then a fifth-order series. Each round shrinks the spread to
 * a quarter; the bound only stops arguments that are both 0. */
enum { DUPLICATIONS = 600 };

static int spread(double x, double y, double z, double mean)
{
    return fmax(fabs(mean - x), fmax(fabs(mean - y), fabs(mean - z))) > 1e-3 * mean;
}

static double carlson_rf(double x, double y, double z)
{
    double mean = (x + y + z) / 3.0;

    for (int i = 0; i < DUPLICATIONS && spread(x, y, z, mean); i++) {
        const double root = sqrt(x * y) + sqrt(y * z) + sqrt(z * x);
        x = 0.25 * (x + root);
        y = 0.25 * (y + root);
        z = 0.25 * (z + root);
        mean = (x + y + z) / 3.0;
    }
    const double u = (mean - x) / mean, v = (mean - y) / mean, w = -u - v;
    const double e2 = u * v - w * w, e3 = u * v * w;
    return (1.0 - e2 / 10.0 + e3 / 14.0 + e2 * e2 / 24.0 - 3.0 * e2 * e3 / 44.0) / sqrt(mean);
}

static double carlson_rd(double x, double y, double z)
{
    double sum = 0.0, power = 1.0;
    double mean = (x + y + 3.0 * z) / 5.0;

    for (int i = 0; i < DUPLICATIONS && spread(x, y, z, mean); i++) {
        const double root = sqrt(x * y) + sqrt(y * z) + sqrt(z * x);
        sum += power / (sqrt(z) * (z + root));
        power *= 0.25;
        x = 0.25 * (x + root);
        y = 0.25 * (y + root);
        z = 0.25 * (z + root);
        mean = (x + y + 3.0 * z) / 5.0;
    }
    const double u = (mean - x) / mean, v = (mean - y) / mean, w = -(u + v) / 3.0;
    const double uv = u * v, w2 = w * w;
    const double e2 = uv - 6.0 * w2, e3 = (3.0 * uv - 8.0 * w2) * w;
    const double e4 = 3.0 * (uv - w2) * w2, e5 = uv * w2 * w;
    const double series = 1.0 - 3.0 * e2 / 14.0 + e3 / 6.0 + 9.0 * e2 * e2 / 88.0 -
                          3.0 * e4 / 22.0 - 9.0 * e2 * e3 / 52.0 + 3.0 * e5 / 26.0;
    return 3.0 * sum + power * series / (mean * sqrt(mean));
}

double hn_ellipse_arc_length(double a, double b, double y)
{
    if (!hn_is_positive(a) || !hn_is_positive(b) || !isfinite(y))
        return NAN;
    const double sine = fmax(-1.0, fmin(1.0, y / b));
    const double m = 1.0 - (a / b) * (a / b);
    const double cosine2 = (1.0 - sine) * (1.0 + sine), q = 1.0 - m * sine * sine;

    if (sine == 0.0)
        return 0.0;
    return b * (sine * carlson_rf(cosine2, q, 1.0) -
                m * sine * sine * sine / 3.0 * carlson_rd(cosine2, q, 1.0));
}
