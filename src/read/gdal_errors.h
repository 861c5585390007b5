/* read/gdal_errors.h - what GDAL has to say, kept instead of printed.
 *
 * GDAL reports through a handler that prints to stderr unless told otherwise.
 * Every use of GDAL in this folder lies between begin and end.
 */
#ifndef HN_READ_GDAL_ERRORS_H
#define HN_READ_GDAL_ERRORS_H

#include "base/status.h"

#include <stddef.h>

typedef struct hn_gdal_log {
    size_t failures, warnings;
    char failure[HN_ERROR_TEXT_MAX]; /* the first one, secrets masked */
    char warning[HN_ERROR_TEXT_MAX];
} hn_gdal_log;

/* Registers the drivers on the first call. Per thread; must be paired. */
void hn_gdal_log_begin(hn_gdal_log *log);
void hn_gdal_log_end(void);
void hn_gdal_log_forget(hn_gdal_log *log); /* as if nothing had been said */

/* First failure, else first warning, else "no reason given". */
const char *hn_gdal_log_text(const hn_gdal_log *log);

#endif
