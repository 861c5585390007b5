#include "engineering/flow_circle.h"

#include <math.h>

static const double PI = 3.14159265358979323846;
/* Root of 3 theta - 5 theta cos theta + 2 sin theta, computed with 30 digits. */
static const double MOST_ANGLE = 5.27810713793379552;

const double hn_circle_most_flow_ratio = 1.07570612940046477;
const double hn_circle_most_flow_depth = 0.938181216160607098;

enum { STEPS = 100 };

/* theta - sin theta without losing the digits of a thin film. */
static double angle_less_sine(double angle)
{
    const double square = angle * angle;

    if (angle > 0.05)
        return angle - sin(angle);
    return angle * square / 6.0 * (1.0 - square / 20.0 * (1.0 - square / 42.0));
}

/* Newton on the logarithm of the formula, inside a shrinking bracket: it rises
 * from minus infinity to its greatest value at MOST_ANGLE. */
static double angle_of_flow(double ratio)
{
    const double scaled = 2.0 * PI * ratio, wanted = scaled * scaled * scaled;
    double low = 0.0, high = MOST_ANGLE;
    /* 6^5 wanted: exact for a thin film, where sin theta = theta - theta^3/6 */
    double angle = exp((log(7776.0) + 3.0 * log(scaled)) / 13.0);

    if (scaled < 1e-30) /* its cube may be nothing; the film is exact to 1e-15 */
        return angle;
    for (int i = 0; i < STEPS; i++) {
        double part, square, excess, step;

        if (!(angle > low && angle < high))
            angle = 0.5 * (low + high);
        part = angle_less_sine(angle);
        square = part * part;
        excess = log(square * square * part / (angle * angle * wanted));
        if (excess < 0.0)
            low = angle;
        else
            high = angle;
        step = excess / (5.0 * (1.0 - cos(angle)) / part - 2.0 / angle);
        /* the error of the next angle is of the order of the step squared */
        if (fabs(step) <= 1e-9 * angle || high - low <= 4e-16 * high)
            return angle - step > 0.0 && angle - step < MOST_ANGLE ? angle - step : angle;
        angle -= step;
    }
    return angle;
}

double hn_circle_depth_of_flow(double ratio)
{
    double half_sine;

    if (!(ratio >= 0.0 && ratio <= hn_circle_most_flow_ratio))
        return NAN;
    if (ratio <= 0.0)
        return 0.0;
    half_sine = sin(angle_of_flow(ratio) / 4.0);
    return half_sine * half_sine; /* (1 - cos(theta/2)) / 2 */
}

double hn_circle_area_share(double depth)
{
    if (!(depth >= 0.0 && depth <= 1.0))
        return NAN;
    return angle_less_sine(4.0 * asin(sqrt(depth))) / (2.0 * PI);
}
