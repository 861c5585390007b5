/* cli/progress.h - one line on a terminal: stage, share, time left. Silent
 * where standard error is no terminal, and with --quiet. */
#ifndef HN_CLI_PROGRESS_H
#define HN_CLI_PROGRESS_H

typedef struct hn_progress {
    int is_on;
    double started_s, shown_s;
} hn_progress;

void hn_progress_start(hn_progress *progress, int quiet);
/* For hn_run_options.progress; context is an hn_progress. */
void hn_progress_show(void *context, const char *stage, double share_0_1);
/* Removes the line. */
void hn_progress_stop(hn_progress *progress);

#endif
