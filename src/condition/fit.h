/* condition/fit.h - rates of ageing per cohort and driver from the user's own
 * inspections: what haunch fit does between reading and writing.
 *
 *   hn_fit_run        fits, methods, observed against predicted, what is doubtful
 *   hn_fit_backtest   the same on four fifths, judged by the last fifth
 */
#ifndef HN_CONDITION_FIT_H
#define HN_CONDITION_FIT_H

#include "condition/history.h"
#include "engineering/chain_fit.h"

/* Local rules; docs/engineering/deterioration.md gives the reasons. */
enum {
    HN_FIT_OWN_RECORDS = 200,  /* fewer take the prior */
    HN_FIT_LEAST_RECORDS = 10, /* fewer take the pooled fit as it is */
    HN_FIT_BAND_YEARS = 10,
    HN_FIT_BANDS = 15, /* the last is open */
    HN_FIT_BINS = 7
};
#define HN_FIT_GRID_YEARS 0.1
/* Growth needs both ages of a pair, which makes many more different ones; both sides of
 * the comparison use these ages. */
#define HN_FIT_GROWTH_GRID_YEARS 0.5
/* Growth is used where it lowers AIC by more than this. Source: K. P. Burnham, D. R.
 * Anderson, Model Selection and Multimodel Inference (2002), section 2.6: above 10 the
 * poorer model has essentially no support (from memory). */
#define HN_FIT_GROWTH_AIC     10.0
#define HN_FIT_PRIOR_WEIGHT   4.0 /* 1 / 0.5^2: a standard deviation of 0.5 of ln(rate) */
#define HN_FIT_HELD_OUT_SHARE 0.2

typedef enum hn_fit_method {
    HN_FIT_OWN,
    HN_FIT_PRIOR,  /* with a prior at the pooled rates */
    HN_FIT_POOLED, /* the pooled rates */
    HN_FIT_KEPT,   /* the row of the table in force */
    HN_FIT_METHOD_COUNT
} hn_fit_method;

extern const char *const hn_fit_method_names[HN_FIT_METHOD_COUNT];

/* What the readings of a cohort are. */
typedef struct hn_fit_records {
    size_t segments, readings; /* used */
    size_t cross_section, pairs, partial;
    size_t improving;           /* a better grade than before; left out without misreading */
    size_t no_age;              /* first readings that only serve as the start of a pair */
    double effective;           /* segments, by Kish's formula for the weights by length */
    size_t by_grade[HN_GRADES]; /* single grades */
    size_t pairs_same;          /* pairs of one single grade */
} hn_fit_records;

typedef struct hn_cohort_fit {
    hn_fit_method method;
    hn_fit_records records;
    hn_chain_fit fit;         /* of own and prior; of the pooled rates for `pooled` */
    hn_chain_fit growth;      /* own fit with exp(b age) on pipes of known age; parameters 0:
                               * none was made */
    double growth_aic_change; /* against constant rates on the same pipes; below 0: better */
    double rate_per_year[HN_CHAIN_RATES];     /* to be used; at age 0 where there is growth */
    double growth_per_year;                   /* to be used; 0: constant rates */
    double constant_per_year[HN_CHAIN_RATES]; /* without growth: the prior of other cohorts */
    int not_seen[HN_CHAIN_RATES]; /* 1: the records do not bound this rate; the prior speaks */
} hn_cohort_fit;

/* Readings of one age band, weights by length. */
typedef struct hn_fit_band {
    size_t readings;
    double weight, observed[HN_GRADES], predicted[HN_GRADES]; /* sums of weight x share */
    size_t count[HN_GRADES]; /* a reading between two grades counts for the better */
} hn_fit_band;

typedef struct hn_fit_spec {
    const hn_table *table;
    const hn_history *history;
    const uint8_t *cohort; /* per row: number of its cohort */
    const hn_plan *plan;
    const double (*read)[HN_GRADES]; /* misreading matrix or NULL */
    uint64_t seed;                   /* of the back-test */
    int threads;                     /* nothing depends on them */
    /* Called by the calling thread after each cohort that it has fitted; may be NULL. */
    void (*tick)(void *context);
    void *tick_context;
    /* For the back-test: the fit of all segments, which says where growth is tried; NULL:
     * nowhere. Only that choice is taken from it, no rate. */
    const struct hn_fit *whole;
} hn_fit_spec;

typedef struct hn_fit_warning {
    int driver, cohort; /* -1: all */
    const char *rule;
    char text[256];
} hn_fit_warning;

typedef struct hn_fit {
    size_t cohorts; /* of the table */
    hn_cohort_fit
        *of; /* [cohorts + 1][HN_DRIVERS]; the last cohort is all of them: the pooled fit */
    hn_fit_band *band;   /* [cohorts + 1][HN_DRIVERS][HN_FIT_BANDS] */
    size_t before_built; /* inspections with a date before the pipe was new */
    hn_fit_warning *warning;
    size_t warnings, warning_room;
} hn_fit;

typedef struct hn_fit_bin {
    size_t readings, bad;
    double predicted; /* sum of chances */
} hn_fit_bin;

typedef struct hn_fit_reliability {
    size_t held_out, fitted; /* segments */
    hn_fit_bin bin[HN_FIT_BINS];
    double brier;       /* mean of (chance - outcome)^2 */
    double brier_share; /* of one chance for every pipe: the share among the fitted */
    double right_order; /* chance that a pipe in 4 or 5 has the higher chance of two; NaN */
} hn_fit_reliability;

extern const double hn_fit_bin_from[HN_FIT_BINS + 1];

HN_MUST_CHECK hn_status hn_fit_run(const hn_fit_spec *spec, hn_fit *out, hn_error *err);
HN_MUST_CHECK hn_status hn_fit_backtest(const hn_fit_spec *spec, hn_fit_reliability out[HN_DRIVERS],
                                        hn_error *err);
void hn_fit_clear(hn_fit *fit);

#endif
