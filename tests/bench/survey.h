/* tests/bench/survey.h - inspections with their observations for the town of town.h:
 * 1.3 visits and 10 observations a sewer, over sixteen years. As there, every figure is
 * a pure function of the seed and of the number of the thing. All shares are made up
 * (local rule). */
#ifndef HN_BENCH_SURVEY_H
#define HN_BENCH_SURVEY_H

#include "town.h"

enum { OBSERVATIONS_MOST = 32 };

typedef struct visit {
    char inspection_id[16], segment_id[16], inspected_on[16];
    const char *complete;
    double length_seen_m;
    uint64_t segment;
    int observations;
} visit;

/* Texts are static or NULL; NaN and -1 are gaps. */
typedef struct observation {
    const char *code, *characterisation, *mark, *remark;
    double quantity, at_m;
    int clock_from, clock_to;
} observation;

uint64_t survey_visits(const town *t); /* 1.3 a sewer */
/* length_m: of every sewer as drawn. */
void survey_visit(const town *t, uint64_t number, const float *length_m, visit *out);
/* Along the pipe; the first is its begin and the last its end, or why it ends. */
void survey_observations(const town *t, uint64_t number, const visit *v,
                         observation out[OBSERVATIONS_MOST]);

#endif
