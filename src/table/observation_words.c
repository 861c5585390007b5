/* table/observation_words.c - words of a survey, and the place of what it saw. */
#include "table/observations.h"

#include <stdlib.h>
#include <strings.h>

double hn_observed_place_m(const hn_observations *o, size_t i, double length_m)
{
    const size_t v = o->visit[i];
    const hn_visit_piece *piece = hn_observed_piece(o, v);
    double place_m = (double)o->from_m[i] * o->scale[v];

    if (isnan(place_m) || isnan(length_m))
        return (double)NAN;
    if (piece)
        length_m = (double)piece->length_m;
    if (o->direction[v] == HN_SURVEY_AGAINST)
        place_m = length_m - place_m;
    place_m = fmin(fmax(place_m, 0.0), length_m);
    return piece ? (double)piece->begin_m + place_m : place_m;
}

uint8_t hn_survey_direction(const char *text)
{
    static const char *const with[] = {"with", "downstream", "d", "a"};
    static const char *const against[] = {"against", "upstream", "u", "b"};

    for (size_t i = 0; i < sizeof with / sizeof with[0]; i++) {
        if (strcasecmp(text, with[i]) == 0)
            return HN_SURVEY_WITH_FLOW;
        if (strcasecmp(text, against[i]) == 0)
            return HN_SURVEY_AGAINST;
    }
    return (uint8_t)HN_CODE_MISSING;
}

uint8_t hn_survey_mark_of(const char *text)
{
    const int begins = text[0] == 'A' || text[0] == 'S', ends = text[0] == 'B' || text[0] == 'F';
    char *end;
    long number;

    if (!begins && !ends)
        return HN_MARK_NONE;
    number = strtol(text + 1, &end, 10);
    if (end == text + 1 || *end || number < 1 || number >= HN_MARK_END)
        return HN_MARK_NONE;
    return (uint8_t)(ends ? HN_MARK_END + number : number);
}
