/* Observed against predicted by age, and the back-test. */
#include "condition/fit_parts.h"

#include "base/alloc.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const double hn_fit_bin_from[HN_FIT_BINS + 1] = {0.0, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 1.0};

void hn_fit_predict(const hn_cohort_fit *fit, const double (*read)[HN_GRADES], uint8_t given,
                    double from_years, double to_years, double out[HN_GRADES])
{
    double move[HN_GRADES][HN_GRADES], share[HN_GRADES] = {given ? 0.0 : 1.0}, sum = 0.0;

    hn_chain_aged_matrix(fit->rate_per_year, fit->growth_per_year, from_years, to_years, move);
    for (int g = 0; given && g < HN_GRADES; g++)
        for (int r = 0; r < HN_GRADES; r++)
            if (given >> r & 1u)
                share[g] += read ? read[g][r] : (double)(r == g);
    for (int g = 0; g < HN_GRADES; g++)
        sum += share[g];
    for (int g = 0; g < HN_GRADES; g++)
        share[g] /= sum;
    hn_chain_move(share, move, share);
    for (int r = 0; r < HN_GRADES; r++) {
        out[r] = read ? 0.0 : share[r];
        for (int g = 0; read && g < HN_GRADES; g++)
            out[r] += share[g] * read[g][r];
    }
}

/* ---- by age ---- */

static int first_of(uint8_t grades)
{
    int g = 0;

    while (!(grades >> g & 1u))
        g++;
    return g;
}

static int count_of(uint8_t grades)
{
    int n = 0;

    for (; grades; grades = (uint8_t)(grades >> 1))
        n += grades & 1u;
    return n;
}

static void add_reading(hn_fit_band *b, uint8_t grades, double weight,
                        const double predicted[HN_GRADES])
{
    b->readings++;
    b->weight += weight;
    b->count[first_of(grades)]++;
    for (int g = 0; g < HN_GRADES; g++) {
        b->observed[g] += grades >> g & 1u ? weight / count_of(grades) : 0.0;
        b->predicted[g] += weight * predicted[g];
    }
}

/* Complete inspections at a known age; each reading by itself. */
static void compare_sequence(const hn_fit_spec *spec, hn_fit *fit, size_t cohort, int driver,
                             const hn_fit_sequence *s)
{
    for (size_t i = 0; s->age_known && i < s->count; i++) {
        const double age = s->reading[i].age_years;
        const size_t decade = (size_t)(age / HN_FIT_BAND_YEARS);
        const size_t band = decade < HN_FIT_BANDS ? decade : HN_FIT_BANDS - 1;
        double predicted[HN_GRADES];

        if (count_of(s->reading[i].grades) > 2)
            continue; /* "at least": no share to compare with */
        hn_fit_predict(&fit->of[cohort * HN_DRIVERS + (size_t)driver], spec->read, 0, 0.0, age,
                       predicted);
        for (int all = 0; all < 2; all++) {
            const size_t at = (all ? fit->cohorts : cohort) * HN_DRIVERS + (size_t)driver;

            add_reading(&fit->band[at * HN_FIT_BANDS + band], s->reading[i].grades, s->weight,
                        predicted);
        }
    }
}

hn_status hn_fit_compare(const hn_fit_spec *spec, hn_fit *fit, hn_error *err)
{
    hn_fit_walk walk = {.spec = spec};
    hn_fit_sequence s;
    hn_status rc = HN_OK;

    fit->band = hn_alloc((fit->cohorts + 1) * HN_DRIVERS * HN_FIT_BANDS, sizeof *fit->band);
    HN_TRY_ALLOC(fit->band);
    while (hn_fit_next(&walk))
        for (int d = 0; d < HN_DRIVERS; d++) {
            if (!hn_fit_take(&walk, d, &s))
                HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory for readings"));
            if (s.weight > 0.0)
                compare_sequence(spec, fit, spec->cohort[walk.row], d, &s);
        }
out:
    hn_fit_walk_clear(&walk);
    return rc;
}

/* ---- back-test ---- */

typedef struct judged {
    double chance;
    int is_bad;
} judged;

typedef struct judging {
    judged *list;
    size_t count, room;
    size_t fitted_bad, fitted_readings;
    hn_fit_reliability *out;
} judging;

static const uint8_t BAD = HN_GRADE_AT_LEAST(4);

static size_t bin_of(double chance)
{
    size_t bin = 0;

    while (bin + 1 < HN_FIT_BINS && chance >= hn_fit_bin_from[bin + 1])
        bin++;
    return bin;
}

static int judge_reading(judging *j, double chance, int is_bad)
{
    hn_fit_bin *bin = &j->out->bin[bin_of(chance)];

    bin->readings++;
    bin->bad += (size_t)is_bad;
    bin->predicted += chance;
    if (!hn_grow((void **)&j->list, j->count, &j->room, sizeof *j->list))
        return 0;
    j->list[j->count++] = (judged){chance, is_bad};
    return 1;
}

static int is_clear(uint8_t grades)
{
    return (grades & BAD) == 0 || (grades & (uint8_t)~BAD) == 0;
}

/* The first reading of each pipe from its age, each later one from the one before. With
 * growth nothing can be said of a pipe of unknown age. */
static int judge_sequence(const hn_fit_spec *spec, const hn_cohort_fit *fit,
                          const hn_fit_sequence *s, int is_held_out, judging *j)
{
    int ok = 1;

    for (size_t i = s->age_known ? 0 : 1; ok && i < s->count; i++) {
        const int is_bad = (s->reading[i].grades & (uint8_t)~BAD) == 0;
        double predicted[HN_GRADES];

        if (!is_clear(s->reading[i].grades) || (fit->growth_per_year != 0.0 && !s->age_known))
            continue;
        j->fitted_readings += !is_held_out;
        j->fitted_bad += !is_held_out && is_bad;
        if (!is_held_out)
            continue;
        hn_fit_predict(fit, spec->read, i > 0 ? s->reading[i - 1].grades : 0,
                       i > 0 ? s->reading[i - 1].age_years : 0.0, s->reading[i].age_years,
                       predicted);
        ok = judge_reading(j, predicted[3] + predicted[4], is_bad);
    }
    return ok;
}

static int by_chance(const void *a, const void *b)
{
    const judged *left = a, *right = b;

    return (left->chance > right->chance) - (left->chance < right->chance);
}

/* Share of pairs of a bad and a good pipe that stand in the right order, ties as
 * half. Source: J. A. Hanley, B. J. McNeil, Radiology 143 (1982) 29-36 (area under
 * the curve; from memory). */
static double right_order(judged *list, size_t count)
{
    double good_below = 0.0, sum = 0.0, bad = 0.0;

    if (count > 0)
        qsort(list, count, sizeof *list, by_chance);
    for (size_t from = 0, to; from < count; from = to) {
        double good_here = 0.0, bad_here = 0.0;

        for (to = from; to < count && list[to].chance == list[from].chance; to++)
            *(list[to].is_bad ? &bad_here : &good_here) += 1.0;
        sum += bad_here * (good_below + 0.5 * good_here);
        good_below += good_here;
        bad += bad_here;
    }
    return bad > 0.0 && good_below > 0.0 ? sum / (bad * good_below) : (double)NAN;
}

/* Source: G. W. Brier, "Verification of forecasts expressed in terms of
 * probability", Monthly Weather Review 78 (1950) 1-3, for two classes. */
static void score(judging *j)
{
    const double share =
        j->fitted_readings ? (double)j->fitted_bad / (double)j->fitted_readings : 0.0;
    double own = 0.0, of_share = 0.0;

    for (size_t i = 0; i < j->count; i++) {
        own += (j->list[i].chance - j->list[i].is_bad) * (j->list[i].chance - j->list[i].is_bad);
        of_share += (share - j->list[i].is_bad) * (share - j->list[i].is_bad);
    }
    j->out->brier = j->count ? own / (double)j->count : (double)NAN;
    j->out->brier_share = j->count ? of_share / (double)j->count : (double)NAN;
    j->out->right_order = right_order(j->list, j->count);
}

static hn_status judge_driver(const hn_fit_spec *spec, const hn_fit *fit, int driver,
                              hn_fit_reliability *out, hn_error *err)
{
    hn_fit_walk walk = {.spec = spec};
    judging j = {.out = out};
    hn_fit_sequence s;
    hn_status rc = HN_OK;

    while (hn_fit_next(&walk)) {
        const int is_held_out = hn_fit_is_held_out(spec, (size_t)walk.row);
        const size_t at = (size_t)spec->cohort[walk.row] * HN_DRIVERS + (size_t)driver;

        if (!hn_fit_take(&walk, driver, &s))
            HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory for readings"));
        if (s.count <= (s.age_known ? 0u : 1u))
            continue;
        *(is_held_out ? &out->held_out : &out->fitted) += 1;
        if (!judge_sequence(spec, &fit->of[at], &s, is_held_out, &j))
            HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory for readings"));
    }
    score(&j);
out:
    hn_fit_walk_clear(&walk);
    hn_free(j.list);
    return rc;
}

hn_status hn_fit_backtest(const hn_fit_spec *spec, hn_fit_reliability out[HN_DRIVERS],
                          hn_error *err)
{
    hn_fit fit = {0};
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out * HN_DRIVERS);
    HN_TRY(hn_fit_cohorts(spec, 1, &fit, err));
    for (int d = 0; d < HN_DRIVERS; d++)
        HN_TRY(judge_driver(spec, &fit, d, &out[d], err));
out:
    hn_fit_clear(&fit);
    return rc;
}
