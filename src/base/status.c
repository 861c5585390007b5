#include "base/status.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const struct {
    const char *name;
    int exit_code;
    const char *text;
} status_rows[] = {
#define HN_STATUS_ROW(name, exit_code, text) {#name, exit_code, text},
    HN_STATUS_LIST(HN_STATUS_ROW)
#undef HN_STATUS_ROW
};

static unsigned row_of(hn_status status)
{
    unsigned row = (unsigned)status;

    return row < HN_STATUS_COUNT ? row : HN_ERR_INTERNAL;
}

const char *hn_status_name(hn_status status)
{
    return status_rows[row_of(status)].name;
}

const char *hn_status_text(hn_status status)
{
    return status_rows[row_of(status)].text;
}

int hn_status_exit_code(hn_status status)
{
    return status_rows[row_of(status)].exit_code;
}

hn_status hn_fail(hn_error *err, hn_status status, const char *format, ...)
{
    va_list args;

    if (!err)
        return status;
    err->status = status;
    err->hint[0] = '\0';
    va_start(args, format);
    vsnprintf(err->message, sizeof err->message, format, args);
    va_end(args);
    return status;
}

void hn_hint(hn_error *err, const char *format, ...)
{
    va_list args;

    if (!err)
        return;
    va_start(args, format);
    vsnprintf(err->hint, sizeof err->hint, format, args);
    va_end(args);
}

void hn_context(hn_error *err, const char *format, ...)
{
    char cause[HN_ERROR_TEXT_MAX];
    size_t used, room;
    va_list args;

    if (!err || err->status == HN_OK)
        return;
    memcpy(cause, err->message, sizeof cause);
    va_start(args, format);
    vsnprintf(err->message, sizeof err->message, format, args);
    va_end(args);
    used = strlen(err->message);
    room = sizeof err->message - used;
    if (room > 3)
        snprintf(err->message + used, room, ": %.*s", (int)(room - 3), cause);
}
