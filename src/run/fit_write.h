/* run/fit_write.h - the folder of haunch fit; shared by the files of it only. */
#ifndef HN_RUN_FIT_WRITE_H
#define HN_RUN_FIT_WRITE_H

#include "condition/fit.h"
#include "run/state.h"
#include "write/text_out.h"

typedef struct hn_fit_result {
    const hn_state *state;
    const hn_history *history;
    const hn_fit *fit;
    const hn_fit_reliability *test; /* [HN_DRIVERS] */
    const char *misreading;         /* file name without folder, or NULL */
    int seed;
    size_t read;                 /* inspections used by any driver */
    void (*tick)(void *context); /* called between files; may be NULL */
    void *tick_context;
} hn_fit_result;

/* Errors as of a result folder. */
HN_MUST_CHECK hn_status hn_fit_folder_check(const hn_plan *plan, const char *folder, hn_error *err);
HN_MUST_CHECK hn_status hn_fit_write(const hn_fit_result *result, const char *folder,
                                     hn_error *err);

/* Removes the partial folder of a fit that is being written; from its tick. */
void hn_fit_abandon(void);

/* The account on standard output. */
void hn_fit_account(const hn_fit_result *result, const char *folder, FILE *out);

/* The table of rates as a plan reads it. */
void hn_fit_deterioration_csv(const hn_fit_result *result, hn_out *out);

enum {
    HN_FIT_TABLE_FIT,
    HN_FIT_TABLE_BY_AGE,
    HN_FIT_TABLE_TEST,
    HN_FIT_TABLE_WARNINGS,
    HN_FIT_TABLE_IMPLIED,
    HN_FIT_TABLE_COUNT
};
/* Fills the grids; hn_grid_view tells of short memory. */
void hn_fit_tables(const hn_fit_result *result, hn_grid grid[HN_FIT_TABLE_COUNT]);

/* "all cohorts" for the last. */
const char *hn_fit_cohort_name(const hn_fit_result *result, size_t cohort);

#endif
