/* condition/outlook_parts.h - shared by the files of the outlook only. */
#ifndef HN_CONDITION_OUTLOOK_PARTS_H
#define HN_CONDITION_OUTLOOK_PARTS_H

#include "condition/condition.h"
#include "engineering/chain_likelihood.h"

enum { HN_OUTLOOK_STEPS_PER_YEAR = 10, HN_OUTLOOK_YEARS_MAX = 250 };
enum { HN_OUTLOOK_STEPS = HN_OUTLOOK_STEPS_PER_YEAR * HN_OUTLOOK_YEARS_MAX + 1 };

typedef struct hn_chain_table {
    double (*move)[HN_GRADES][HN_GRADES]; /* [HN_OUTLOOK_STEPS]: from age 0 */
} hn_chain_table;

typedef struct hn_outlook_job {
    hn_table *table;
    const hn_plan *plan;
    hn_outlook *out;
    hn_chain_table *chains; /* cohort x driver */
    uint32_t *cohort_text;
    const hn_cohort *cohorts;
    size_t cohort_rules;                     /* cohorts with a condition, in order */
    uint8_t rule_cohort[256];                /* rule number -> cohort */
    double mean[256][HN_DRIVERS][HN_GRADES]; /* cohort mean, for segments without data */
    double all[HN_DRIVERS][HN_GRADES];
    uint8_t asked[HN_OUTLOOK_STEPS]; /* steps that somebody will look up */
    double mean_age[256]; /* of a cohort with growth, in the first year of the programme */
} hn_outlook_job;

/* Years from the date of the plan to the first year of the programme, which is year 0
 * of the outlook. */
static inline double hn_outlook_wait(const hn_outlook_job *job)
{
    return job->plan->first_year - job->plan->as_of_year;
}

static inline int hn_cohort_has_growth(const hn_cohort *cohort)
{
    return cohort->growth_per_year[0] != 0.0 || cohort->growth_per_year[1] != 0.0 ||
           cohort->growth_per_year[2] != 0.0;
}

/* Once the cohorts of the rows are known: nothing where no cohort has growth, else
 * mean ages, and the classes of cohorts and rows. A segment of unknown age takes
 * the mean of its cohort by length, that of the network where the cohort has none.
 * HN_ERR_INPUT when no segment has an age. */
HN_MUST_CHECK hn_status hn_outlook_class_rows(hn_outlook_job *job, hn_error *err);

/* Chances by year of every class; after the classes are known. */
HN_MUST_CHECK hn_status hn_outlook_tabulate_years(hn_outlook_job *job, hn_error *err);

#endif
