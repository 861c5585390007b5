/* run/run.h - the whole job, stage by stage. Read stages.c first. */
#ifndef HN_RUN_RUN_H
#define HN_RUN_RUN_H

#include "base/status.h"

#include <stddef.h>
#include <stdio.h>

typedef struct hn_run_options {
    int threads;  /* 0: as many as there are cores, at most 8 */
    int strict;   /* findings that need attention end in HN_FINDINGS */
    /* Called as work goes on; may be NULL. stage is a short name; share is of
     * the whole run, 0 to 1. */
    void (*progress)(void *context, const char *stage, double share_0_1);
    void *progress_context;
    /* Called after each stage, with its time, the processor time of all threads
     * in it and the memory of the segment table; may be NULL. */
    void (*timing)(void *context, const char *stage, double seconds, double processor_seconds,
                   size_t table_bytes);
    void *timing_context;
} hn_run_options;

enum { HN_SUMMARY_LINES = 24, HN_SUMMARY_BYTES = 512 };

/* What a person wants to know at the end, one fact a line. */
typedef struct hn_summary {
    char line[HN_SUMMARY_LINES][HN_SUMMARY_BYTES];
    size_t count;
    size_t peak_table_bytes, segments;
} hn_summary;

/* Reads the plan, does everything, writes the result. Errors as exit codes of
 * base/status.h; on any error the previous result is untouched. */
HN_MUST_CHECK hn_status hn_run(const char *plan_path, const hn_run_options *options,
                               hn_summary *summary, hn_error *err);

/* Reads everything, computes nothing beyond what the data-quality rules need,
 * and writes a report of what is missing or doubtful to `out`. */
HN_MUST_CHECK hn_status hn_check(const char *plan_path, const hn_run_options *options, FILE *out,
                                 hn_error *err);

/* Prints the catalogue in force; plan_path NULL: the shipped tables. */
HN_MUST_CHECK hn_status hn_methods(const char *plan_path, FILE *out, hn_error *err);

/* Gives up the result that a run or a fit is writing: removes its partial folder. From
 * the thread that runs, for example in its progress call. */
void hn_run_abandon(void);

/* Versions of haunch and its libraries, one a line. */
void hn_versions(FILE *out);

#endif
