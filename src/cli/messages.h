/* cli/messages.h - the only place that prints errors. */
#ifndef HN_CLI_MESSAGES_H
#define HN_CLI_MESSAGES_H

#include "base/status.h"

#include <stdio.h>

/* Prints error and hint to stderr; returns the exit code. */
int hn_report_error(const hn_error *err);
/* Wrong use: message, hint to --help; returns the exit code. */
int hn_wrong_use(const char *format, ...) HN_PRINTF(1, 2);
/* Closes stdout and says when that fails; returns `code` or the output code. */
int hn_finish_stdout(int code);

#endif
