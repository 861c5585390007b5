#include "engineering/grading.h"

#include "engineering/range.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

enum { GRADES = 5, FIRST_LETTER_COUNT = 10, LETTER_STEP = 5 };

/* ---- lengths and sums ---- */

double hn_defect_length(double from_m, double to_m, double point_m, double least_m)
{
    const double length = isnan(to_m) ? point_m : fabs(to_m - from_m);

    if (isnan(length))
        return (double)NAN;
    return least_m > length ? least_m : length;
}

double hn_defects_total(const hn_defect *defects, size_t count)
{
    double sum = 0.0;

    for (size_t i = 0; i < count; i++)
        sum += defects[i].value;
    return sum;
}

double hn_defects_mean(const hn_defect *defects, size_t count)
{
    return count ? hn_defects_total(defects, count) / (double)count : (double)NAN;
}

double hn_defects_per_metre(const hn_defect *defects, size_t count, double surveyed_m)
{
    return hn_is_positive(surveyed_m) ? hn_defects_total(defects, count) / surveyed_m : (double)NAN;
}

double hn_defects_length_sum(const hn_defect *defects, size_t count)
{
    double sum = 0.0;

    for (size_t i = 0; i < count; i++)
        sum += defects[i].value * defects[i].length_m;
    return sum;
}

double hn_defects_length_mean(const hn_defect *defects, size_t count)
{
    double length = 0.0;

    for (size_t i = 0; i < count; i++)
        length += defects[i].length_m;
    return hn_is_positive(length) ? hn_defects_length_sum(defects, count) / length : (double)NAN;
}

/* ---- peak and worst ---- */

static double end_of(const hn_defect *d)
{
    return isnan(d->to_m) ? d->from_m : fmax(d->from_m, d->to_m);
}

static double begin_of(const hn_defect *d)
{
    return isnan(d->to_m) ? d->from_m : fmin(d->from_m, d->to_m);
}

static int by_place(const void *left, const void *right)
{
    const hn_defect_edge *a = left, *b = right;

    return (a->at_m > b->at_m) - (a->at_m < b->at_m);
}

/* Begins into edges[0 .. n), ends into edges[n .. 2n), each in order. */
static size_t sort_edges(const hn_defect *defects, size_t count, hn_defect_edge *edges)
{
    size_t n = 0;

    for (size_t i = 0; i < count; i++)
        if (!isnan(begin_of(&defects[i])))
            edges[n++] = (hn_defect_edge){begin_of(&defects[i]), defects[i].value};
    for (size_t i = 0, k = n; i < count; i++)
        if (!isnan(begin_of(&defects[i])))
            edges[k++] = (hn_defect_edge){end_of(&defects[i]), defects[i].value};
    qsort(edges, n, sizeof *edges, by_place);
    qsort(edges + n, n, sizeof *edges, by_place);
    return n;
}

/* The greatest window can be moved until it begins at a defect. What meets it has begun
 * before its end and has not ended before its begin. */
double hn_defects_peak(const hn_defect *defects, size_t count, double window_m,
                       hn_defect_edge *edges)
{
    const size_t n = sort_edges(defects, count, edges);
    double peak = 0.0, begun = 0.0, ended = 0.0;
    size_t in = 0, out = n;

    for (size_t i = 0; i < count; i++)
        peak = fmax(peak, defects[i].value);
    for (size_t i = 0; i < n; i++) {
        for (; in < n && edges[in].at_m < edges[i].at_m + window_m; in++)
            begun += edges[in].value;
        for (; out < 2 * n && edges[out].at_m < edges[i].at_m; out++)
            ended += edges[out].value;
        peak = fmax(peak, begun - ended);
    }
    return peak;
}

double hn_defects_worst(const hn_defect *defects, size_t count, double best, double worst)
{
    double found = (double)NAN;

    for (size_t i = 0; i < count; i++)
        if (isnan(found) || (worst > best ? defects[i].value > found : defects[i].value < found))
            found = defects[i].value;
    return found;
}

/* ---- surcharge ---- */

double hn_damage_density(const hn_defect *defects, size_t count, double best, double worst,
                         double length_m)
{
    const double class = hn_defects_worst(defects, count, best, worst);
    double sum = 0.0;

    if (isnan(class) || !hn_is_positive(length_m) || !hn_is_positive(fabs(best - class)))
        return (double)NAN;
    for (size_t i = 0; i < count; i++)
        sum += (best - defects[i].value) * defects[i].length_m;
    return sum / ((best - class) * length_m);
}

double hn_damage_surcharge(double density)
{
    return 50.0 * density;
}

/* ---- grades ---- */

double hn_grade_of_bands(double value, const double least[4])
{
    double grade = 1.0;

    if (isnan(value))
        return (double)NAN;
    for (int g = 0; g < 4; g++)
        if (value >= least[g])
            grade = 2.0 + g;
    return grade;
}

double hn_grade_on_scale(double value, double best, double worst)
{
    const double grade = 1.0 + 4.0 * (value - best) / (worst - best);

    if (!(grade >= 1.0 - 1e-9) || !(grade <= 5.0 + 1e-9))
        return (double)NAN;
    return fmin(fmax(grade, 1.0), 5.0);
}

/* ---- quick rating ---- */

static char count_sign(int count)
{
    const int letter = (count - FIRST_LETTER_COUNT) / LETTER_STEP;

    if (count < FIRST_LETTER_COUNT)
        return (char)('0' + count);
    return (char)('A' + (letter < 26 ? letter : 25));
}

void hn_quick_rating_write(const int count[6], char out[HN_QUICK_RATING_TEXT])
{
    int at = 0;

    memcpy(out, "0000", HN_QUICK_RATING_TEXT);
    for (int g = GRADES; g >= 1 && at < 4; g--) {
        if (count[g] <= 0)
            continue;
        out[at++] = (char)('0' + g);
        out[at++] = count_sign(count[g]);
    }
}

static int read_pair(const char *text, hn_quick_rating *out, int pair)
{
    const char grade = text[0], sign = text[1];

    if (grade < '0' || grade > '5')
        return 0;
    out->grade[pair] = grade - '0';
    if (isdigit((unsigned char)sign)) {
        out->least[pair] = out->most[pair] = sign - '0';
    } else if (isupper((unsigned char)sign)) {
        out->least[pair] = FIRST_LETTER_COUNT + LETTER_STEP * (sign - 'A');
        out->most[pair] = out->least[pair] + LETTER_STEP - 1;
    } else {
        return 0;
    }
    return (out->grade[pair] > 0) == (out->least[pair] > 0);
}

int hn_quick_rating_read(const char *text, hn_quick_rating *out)
{
    memset(out, 0, sizeof *out);
    if (strlen(text) != 4 || !read_pair(text, out, 0) || !read_pair(text + 2, out, 1))
        return 0;
    return out->grade[1] == 0 || out->grade[1] < out->grade[0];
}

int hn_quick_rating_score(const hn_quick_rating *rating)
{
    return rating->grade[0] * rating->least[0] + rating->grade[1] * rating->least[1];
}
