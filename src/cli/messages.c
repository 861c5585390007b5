#include "cli/messages.h"

#include <errno.h>
#include <stdarg.h>
#include <string.h>

int hn_report_error(const hn_error *err)
{
    const char *kind = err->status == HN_FINDINGS ? "attention" : "error";

    fprintf(stderr, "haunch: %s: %s\n", kind, err->message);
    if (err->hint[0])
        fprintf(stderr, "haunch: hint: %s\n", err->hint);
    return hn_status_exit_code(err->status);
}

int hn_wrong_use(const char *format, ...)
{
    va_list args;

    fputs("haunch: error: ", stderr);
    va_start(args, format);
    vfprintf(stderr, format, args);
    va_end(args);
    fputs("\nhaunch: hint: haunch --help lists commands and options\n", stderr);
    return hn_status_exit_code(HN_ERR_USAGE);
}

int hn_finish_stdout(int code)
{
    if (fflush(stdout) == 0 && !ferror(stdout))
        return code;
    fprintf(stderr, "haunch: error: could not write to standard output: %s\n", strerror(errno));
    return hn_status_exit_code(HN_ERR_OUTPUT);
}
