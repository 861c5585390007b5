/* The arithmetic of a points scheme; what a row scores is in scheme_run.c. */
#include "consequence/scheme.h"

double hn_side_score(const hn_score_side *side, const double *scores, size_t count, double *limited)
{
    const int is_sum = side->combine == HN_COMBINE_SUM;
    double free_score = is_sum ? 0.0 : 1.0, held;

    for (size_t i = 0; i < count; i++)
        free_score = is_sum ? free_score + scores[i] : free_score * scores[i];
    held = free_score = hn_round_score(free_score);
    if (held < side->least)
        held = side->least;
    if (held > side->most)
        held = side->most;
    if (limited)
        *limited = hn_round_score(held - free_score);
    return held;
}

int hn_score_class_of(const hn_score_side *side, double score)
{
    int class_of = 1;

    if (isnan(score))
        return 0;
    for (size_t i = 0; i < side->limits; i++)
        class_of += score >= side->class_from[i];
    return class_of;
}

double hn_scheme_score(hn_scheme scheme, const hn_score_side sides[HN_SIDES],
                       const double score[HN_SIDES])
{
    int likelihood, consequence;

    switch (scheme) {
    case HN_SCHEME_ADDITIVE:
        return hn_round_score(score[HN_LIKELIHOOD] + score[HN_CONSEQUENCE]);
    case HN_SCHEME_MULTIPLICATIVE:
        return hn_round_score(score[HN_LIKELIHOOD] * score[HN_CONSEQUENCE]);
    case HN_SCHEME_MATRIX:
        likelihood = hn_score_class_of(&sides[HN_LIKELIHOOD], score[HN_LIKELIHOOD]);
        consequence = hn_score_class_of(&sides[HN_CONSEQUENCE], score[HN_CONSEQUENCE]);
        return likelihood && consequence ? (double)likelihood * consequence : (double)NAN;
    default:
        return (double)NAN;
    }
}
