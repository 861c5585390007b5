/* condition/fit_parts.h - shared by the files of the fit only. */
#ifndef HN_CONDITION_FIT_PARTS_H
#define HN_CONDITION_FIT_PARTS_H

#include "condition/fit.h"

/* The readings of one segment and driver that can be used, in order of age. */
typedef struct hn_fit_sequence {
    hn_reading *reading; /* borrowed until the next call */
    size_t count;
    int age_known;
    double weight; /* length in m */
    size_t partial, improving, before_built;
} hn_fit_sequence;

/* Walks the segments of a history. */
typedef struct hn_fit_walk {
    const hn_fit_spec *spec;
    size_t at;       /* next visit */
    int32_t row;     /* of the segment that the last call gave */
    size_t from, to; /* its visits */
    hn_reading *room;
    size_t room_size;
} hn_fit_walk;

/* 0: no more. */
int hn_fit_next(hn_fit_walk *walk);
/* 0: out of memory. */
int hn_fit_take(hn_fit_walk *walk, int driver, hn_fit_sequence *out);
void hn_fit_walk_clear(hn_fit_walk *walk);

/* 1 when the back-test holds the segment out. By its id, so that neither the
 * order nor the number of segments matters. */
int hn_fit_is_held_out(const hn_fit_spec *spec, size_t row);

/* Fits of every cohort and the pooled one; part: 0 all segments, 1 those not held
 * out, without intervals. */
HN_MUST_CHECK hn_status hn_fit_cohorts(const hn_fit_spec *spec, int part, hn_fit *out,
                                       hn_error *err);

/* Fills bands and warnings of fits that are made. */
HN_MUST_CHECK hn_status hn_fit_compare(const hn_fit_spec *spec, hn_fit *fit, hn_error *err);
HN_MUST_CHECK hn_status hn_fit_warn_all(const hn_fit_spec *spec, hn_fit *fit, hn_error *err);

/* Chance of each grade read at age `to`, from a set of grades read at age `from`, or
 * from grade 1 when `given` is 0. Without growth only the difference of ages counts. */
void hn_fit_predict(const hn_cohort_fit *fit, const double (*read)[HN_GRADES], uint8_t given,
                    double from_years, double to_years, double out[HN_GRADES]);

#endif
