#include "cli/messages.h"

#include <errno.h>
#include <stdarg.h>
#include <string.h>

/* U+202A to U+202E and U+2066 to U+2069 turn the order of what is shown. */
static int turns_text(const unsigned char *at)
{
    return at[0] == 0xe2 && ((at[1] == 0x80 && at[2] >= 0xaa && at[2] <= 0xae) ||
                             (at[1] == 0x81 && at[2] >= 0xa6 && at[2] <= 0xa9));
}

/* Names out of files and arguments must not drive the terminal or look like a
 * second message: what is no plain character shows as "?". */
static void put_shown(const char *text)
{
    for (const unsigned char *at = (const unsigned char *)text; *at; at++) {
        if (*at < 0x20 || *at == 0x7f || (*at == 0xc2 && at[1] >= 0x80 && at[1] < 0xa0)) {
            fputc('?', stderr);
            at += *at == 0xc2;
        } else if (turns_text(at)) {
            fputc('?', stderr);
            at += 2;
        } else {
            fputc(*at, stderr);
        }
    }
}

static void put_line(const char *kind, const char *text)
{
    fprintf(stderr, "haunch: %s: ", kind);
    put_shown(text);
    fputc('\n', stderr);
}

int hn_report_error(const hn_error *err)
{
    put_line(err->status == HN_FINDINGS ? "attention" : "error", err->message);
    if (err->hint[0])
        put_line("hint", err->hint);
    return hn_status_exit_code(err->status);
}

int hn_wrong_use(const char *format, ...)
{
    char text[1024];
    va_list args;

    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    put_line("error", text);
    put_line("hint", "haunch --help lists commands and options; what begins with - and is no option "
                     "goes after --");
    return hn_status_exit_code(HN_ERR_USAGE);
}

int hn_finish_stdout(int code)
{
    if (fflush(stdout) == 0 && !ferror(stdout))
        return code;
    fprintf(stderr, "haunch: error: could not write to standard output: %s\n", strerror(errno));
    return hn_status_exit_code(HN_ERR_OUTPUT);
}
